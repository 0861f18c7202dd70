"""Findings in words, by code: what they mean, say, advise and rest on."""

from axlewright.contract.finding_words import (
    balance,
    calibrations,
    couplings,
    envelopes,
    headroom,
    labels,
    leaks,
    loads,
    monitors,
    pressures,
    sessions,
    shifts,
    tires,
    trips,
    upkeep,
)
from axlewright.contract.finding_words.words import Room, Words

__all__ = ["FINDINGS", "Room", "Words"]

FINDINGS: dict[str, Words] = {
    **sessions.FINDINGS,
    **loads.FINDINGS,
    **couplings.FINDINGS,
    **tires.FINDINGS,
    **labels.FINDINGS,
    **envelopes.FINDINGS,
    **headroom.FINDINGS,
    **calibrations.FINDINGS,
    **balance.FINDINGS,
    **shifts.FINDINGS,
    **pressures.FINDINGS,
    **trips.FINDINGS,
    **monitors.FINDINGS,
    **leaks.FINDINGS,
    **upkeep.FINDINGS,
}
