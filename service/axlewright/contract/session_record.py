"""What a weigh ticket carries besides readings: into the core, and echoed beside the reconciliation."""

from collections.abc import Iterator
from datetime import date
from typing import Annotated, Final, Literal

from msgspec import Meta, Struct

from axlewright.contract.faults import Fault, given_text
from axlewright.contract.output import MassOut, NameOut, UnknownOut
from axlewright.contract.session_request import PassInput, ScaleInput, SessionInput
from axlewright.core.rig import CouplingState
from axlewright.core.sessions.record import PassRecord, PassTotal, SessionRecord

TOTAL: Final = "total"
"""The platform to which independent totals count as readings."""


class PassRecordAnswer(Struct, frozen=True, kw_only=True):
    """One pass as it was recorded; null where it was not sent."""

    name: Annotated[NameOut, Meta(description="As in the request.")]
    ticket: Annotated[NameOut | None, Meta(description="Number of its own ticket.")]
    time: Annotated[NameOut | None, Meta(description="Time of day at the scale.")]
    zero_seen: Annotated[bool | None, Meta(description="Whether the empty scale showed zero before it.")]
    state: Annotated[Literal["solo", "hitched", "hitched_levelled"], Meta(description="How the rig was coupled.")]
    total: Annotated[MassOut | None, Meta(description="As printed.")]
    total_independent: Annotated[bool | None, Meta(description="Whether it counts as one more reading.")]
    sum_of_readings: Annotated[MassOut, Meta(description="What the readings of the pass add up to, without the total.")]
    total_agrees: Annotated[
        bool | None, Meta(description="The total differs from that sum by no more than rounding explains.")
    ]
    unknown_because: UnknownOut


class RecordAnswer(Struct, frozen=True, kw_only=True):
    """What the tickets carry besides readings, as it was sent."""

    weighed_on: Annotated[date | None, Meta(description="Day of the weigh.")]
    ticket: Annotated[NameOut | None, Meta(description="Number of the ticket of the whole weigh.")]
    scale_identity: Annotated[NameOut | None, Meta(description="Which scale.")]
    sealed_on: Annotated[date | None, Meta(description="Day of the scale's seal.")]
    passes: Annotated[list[PassRecordAnswer], Meta(max_length=512, description="In the order of the request.")]
    unknown_because: UnknownOut


def record_faults(session: SessionInput) -> Iterator[Fault]:
    """Yield what contradicts itself in what stands beside the readings."""
    sealed_on, weighed_on = session.scale.sealed_on, session.weighed_on
    if sealed_on is not None and weighed_on is not None and sealed_on > weighed_on:
        yield Fault(
            "inconsistent_day",
            "/session/scale/sealed_on",
            f"The seal is later than the weigh, {weighed_on}: send the one that the scale had then.",
            given_text(sealed_on.isoformat()),
            f"{weighed_on} or before",
        )
    if not any(each.total and each.total.independent for each in session.passes):
        return
    named = [(f"/session/scale/platforms/{place}/name", one.name) for place, one in enumerate(session.scale.platforms)]
    for place, each in enumerate(session.passes):
        pointer = f"/session/passes/{place}/readings"
        named += [(f"{pointer}/{position}/platform", one.platform) for position, one in enumerate(each.readings)]
    for pointer, name in named:
        if name == TOTAL:
            yield Fault(
                "inconsistent_name",
                pointer,
                f"Independent totals count as readings of a platform `{TOTAL}`; no other may have that name.",
                given_text(name),
                "another name",
            )


def session_record(session: SessionInput) -> SessionRecord:
    """Return what the tickets carry besides readings; the session is in SI and has no faults."""
    return SessionRecord(
        passes=tuple(_pass_record(each, session.scale) for each in session.passes),
        weighed_on=session.weighed_on,
        ticket=session.ticket,
        scale_identity=session.scale.identity,
        sealed_on=session.scale.sealed_on,
    )


def record_answer(record: SessionRecord) -> RecordAnswer:
    """Return what the tickets carry besides readings, in SI."""
    return RecordAnswer(
        weighed_on=record.weighed_on,
        ticket=record.ticket,
        scale_identity=record.scale_identity,
        sealed_on=record.sealed_on,
        passes=[_pass_answer(each) for each in record.passes],
        unknown_because=_not_sent(record, ("weighed_on", "ticket", "scale_identity", "sealed_on")),
    )


def _pass_record(sent: PassInput, scale: ScaleInput) -> PassRecord:
    divisions = {each.name: each.division for each in scale.platforms}
    return PassRecord(
        name=sent.name,
        readings_kg=tuple(each.value for each in sent.readings),
        divisions_kg=tuple(divisions.get(each.platform) or scale.division for each in sent.readings),
        state=CouplingState(sent.state),
        ticket=sent.ticket,
        time=sent.time,
        zero_seen=sent.zero_seen,
        total=None if sent.total is None else PassTotal(sent.total.value, scale.division, sent.total.independent),
    )


def _pass_answer(each: PassRecord) -> PassRecordAnswer:
    reasons = [_not_sent(each, ("ticket", "time", "zero_seen", "total"))]
    if each.total is not None and each.total.independent:
        reasons.append("An independent total is judged among the readings.")
    return PassRecordAnswer(
        name=each.name,
        ticket=each.ticket,
        time=each.time,
        zero_seen=each.zero_seen,
        state=each.state.value,
        total=None if each.total is None else each.total.value_kg,
        total_independent=None if each.total is None else each.total.independent,
        sum_of_readings=each.sum_kg,
        total_agrees=each.total_agrees,
        unknown_because=" ".join(reason for reason in reasons if reason) or None,
    )


def _not_sent(record: Struct, names: tuple[str, ...]) -> str | None:
    missing = [name for name in names if getattr(record, name) is None]
    return f"Not sent: {', '.join(missing)}." if missing else None
