"""Loads before they happen: predicted wheel ends, limits, balance and pressures."""

from typing import Annotated

from msgspec import Meta, Struct

from axlewright.contract.aboard import (
    AssumptionAnswer,
    ChangeAnswer,
    assumption_answers,
    change_answers,
    changes_faults,
    core_levels,
    core_moves,
    declared_masses,
    weighed_levels,
)
from axlewright.contract.balance import BalanceAnswer, balance_answers
from axlewright.contract.computation import computed_with
from axlewright.contract.findings import finding_answers
from axlewright.contract.forecast_request import ForecastLoadsRequest
from axlewright.contract.inflation import InflationAnswer, inflation_answers
from axlewright.contract.loads import (
    limit_answers,
    rig_loads,
    summary_answer,
)
from axlewright.contract.output import MassOut, NameOut
from axlewright.contract.rooms import CheckLoadsAnswer
from axlewright.contract.units import in_units
from axlewright.contract.words import COLD, DEFERENCE, NOT_JUDGED, PREDICTED
from axlewright.core.assessment import worst_first
from axlewright.core.estimates import LoadEstimates
from axlewright.core.loads.changes import LoadChange
from axlewright.core.loads.forecast import forecast, place_findings, whole_change
from axlewright.core.loads.statics import rig_statics
from axlewright.core.rig import Rig


class LoadChangeAnswer(Struct, frozen=True, kw_only=True):
    """What the changes together do to one wheel end, or to a trailer's coupling."""

    name: Annotated[NameOut, Meta(description="Wheel end, or `coupling`.")]
    change: Annotated[MassOut, Meta(description="What is added to its load.")]
    standard_uncertainty: Annotated[MassOut, Meta(description="Of the change alone.")]


class ForecastLoadsAnswer(CheckLoadsAnswer, frozen=True, kw_only=True):
    """The loads that are to be expected, and how they stand to every limit."""

    balance: Annotated[list[BalanceAnswer], Meta(max_length=4, description="Every vehicle.")]
    inflation: Annotated[list[InflationAnswer], Meta(max_length=32, description="Every axle.")]
    changes: Annotated[list[ChangeAnswer], Meta(max_length=264, description="What was reckoned with.")]
    load_changes: Annotated[list[LoadChangeAnswer], Meta(max_length=68, description="What that does to each load.")]
    assumptions: Annotated[
        list[AssumptionAnswer], Meta(max_length=96, description="What equilibrium does not settle, and what was taken.")
    ]


def forecast_loads_answer(request: ForecastLoadsRequest) -> ForecastLoadsAnswer:
    """Return the loads to be expected, in the request's units; raises as `computed_with`."""
    request, weighed = computed_with(request, lambda asked: changes_faults(asked.changes, asked.rig, asked.session))
    rig, estimates = weighed.assessment.rig, weighed.assessment.estimates
    statics = rig_statics(rig, estimates)
    moves = core_moves(request.changes, rig)
    levels = core_levels(request.changes, rig, weighed_levels(request.session, request.rig))
    change = whole_change(moves, levels, statics, len(estimates.columns.names))
    expected = forecast(weighed.assessment, change)
    aboard = declared_masses(request.session, request.rig)
    findings = worst_first([*weighed.predicted(expected), *place_findings(rig, moves, aboard)])
    answer = ForecastLoadsAnswer(
        units=weighed.units,
        policy=weighed.policy,
        summary=summary_answer(expected, findings),
        **rig_loads(expected),
        limits=limit_answers(expected),
        balance=balance_answers(expected),
        inflation=inflation_answers(expected),
        changes=change_answers(moves, levels),
        load_changes=load_change_answers(rig, estimates, change),
        assumptions=assumption_answers(statics),
        findings=finding_answers(findings, weighed.units),
        cautions=weighed.cautions(PREDICTED, DEFERENCE, COLD, NOT_JUDGED),
        computed_by=weighed.by(expected),
    )
    return in_units(answer, weighed.units)


def load_change_answers(rig: Rig, estimates: LoadEstimates, change: LoadChange) -> list[LoadChangeAnswer]:
    """Return what a change does to every wheel end and coupling, in SI."""
    rows = {name: estimates.columns.row({name: 1.0}) for name in rig.load_names()}
    return [
        LoadChangeAnswer(name=name, change=change.value(row), standard_uncertainty=change.u(row))
        for name, row in rows.items()
    ]
