"""What falls due on a rig, when and why: as a document, and as a calendar."""

from datetime import date, timedelta
from math import sqrt
from typing import Annotated, Final, Literal

from msgspec import UNSET, Meta, Struct

from axlewright.contract.calendar import calendar_text, entry_uid
from axlewright.contract.computation import CORE, QuestionAnswer
from axlewright.contract.faults import refuse_contradictions
from axlewright.contract.output import CountOut, DistanceOut, NameOut, UnknownOut, WordsOut
from axlewright.contract.units import Units, chosen_units, in_si, in_units, unit_of
from axlewright.contract.upkeep_faults import upkeep_faults
from axlewright.contract.upkeep_request import UpkeepPolicyInput, UpkeepRequest
from axlewright.contract.upkeep_words import (
    BASIS,
    CAUTIONS,
    DUE_UNKNOWN,
    PROJECTION_BASIS,
    action_words,
    entry_words,
    item_message,
    rule_basis,
    unknown_words,
    whole_days,
)
from axlewright.core.upkeep.due import Due, upkeep_due
from axlewright.core.upkeep.events import Event, EventKind, History, OdometerReading
from axlewright.core.upkeep.policy import UpkeepPolicy, Window
from axlewright.core.upkeep.projection import NotProjected, Odometer, odometer_of
from axlewright.core.upkeep.rules import DueState, Rule

DAYS_A_YEAR: Final = 365

State = Literal["overdue", "due", "unknown", "later"]
MonthsOut = Annotated[int, Meta(ge=1, le=1_200, extra_json_schema={"x-quantity": "count"})]
DaysOut = Annotated[int, Meta(ge=0, le=3_653, extra_json_schema={"x-quantity": "count"})]
DoubtDaysOut = Annotated[int, Meta(ge=0, le=1_000_000_000, extra_json_schema={"x-quantity": "count"})]
CalendarText = Annotated[
    str,
    Meta(
        max_length=4_000_000,
        description="An iCalendar file (RFC 5545): an all-day event for each item with a date, a to-do without a day "
        "for each other one.",
    ),
]


class CountsFromAnswer(Struct, frozen=True, kw_only=True):
    """The event from which an item counts."""

    kind: Annotated[NameOut, Meta(description="As sent.")]
    done_on: Annotated[date, Meta(description="As sent.")]
    subject: Annotated[NameOut, Meta(description="As sent.")]
    odometer: Annotated[DistanceOut | None, Meta(description="As sent; null where nobody noted it.")]


class DueRuleAnswer(Struct, frozen=True, kw_only=True):
    """What one rule says of an item."""

    rule: Annotated[NameOut, Meta(description="Which rule; expect more.")]
    state: Annotated[State, Meta(description="How it stands by this rule.")]
    due_on: Annotated[date | None, Meta(description="The day from which it is due.")]
    latest_on: Annotated[date | None, Meta(description="The last day on which it is not overdue.")]
    due_at: Annotated[
        DistanceOut | None,
        Meta(
            description="The same as a reading of the present odometer, of a rule by distance; below 0 where that one "
            "came in later."
        ),
    ]
    latest_at: Annotated[DistanceOut | None, Meta(description="`latest_on` as such a reading.")]
    projected: Annotated[bool, Meta(description="Whether `due_on` is projected from the rate of driving.")]
    estimated: Annotated[
        bool,
        Meta(
            description="Whether the odometer at the event, or the past day on which `due_at` was reached, was not "
            "read but taken from readings of other days: `due_at` and `due_on` may be off by what was driven between."
        ),
    ]
    standard_uncertainty_days: Annotated[
        DoubtDaysOut | None,
        Meta(description="Of a projected `due_on`, rounded up; null with fewer than three readings."),
    ]
    basis: Annotated[WordsOut, Meta(description="What the rule rests on.")]
    unknown_because: UnknownOut


class DueItemAnswer(Struct, frozen=True, kw_only=True):
    """One thing to be done."""

    kind: Annotated[
        NameOut,
        Meta(
            description="`wheel_nut_retorque`, `pressure_check`, `tire_inspection`, `tire_replacement`, `weigh`; "
            "expect more."
        ),
    ]
    subject: Annotated[NameOut, Meta(description="A wheel end (retorque), a tire, or `rig`.")]
    part: Annotated[CountOut, Meta(description="Of several retorques after one work, which; else 1.")]
    state: Annotated[
        State,
        Meta(
            description="The worst of its rules: `overdue`, `due`, `unknown` (a rule has no date, and none is due), "
            "`later`."
        ),
    ]
    due_on: Annotated[date | None, Meta(description="The earliest day of its rules.")]
    due_at: Annotated[DistanceOut | None, Meta(description="The least reading of the present odometer of its rules.")]
    governed_by: Annotated[NameOut | None, Meta(description="The rule whose day `due_on` is.")]
    counts_from: Annotated[CountsFromAnswer | None, Meta(description="Null where no such event was sent.")]
    rules: Annotated[list[DueRuleAnswer], Meta(max_length=8, description="Every rule that asks for it.")]
    message: Annotated[WordsOut, Meta(description="What is to be done, and how it stands.")]
    action: Annotated[WordsOut, Meta(description="How it is done.")]
    uid: Annotated[
        NameOut,
        Meta(
            description="Identifier of its entry in the calendar: the same as long as it counts from the same event of "
            "the same `rig.id`."
        ),
    ]
    unknown_because: UnknownOut


class RetorqueAnswer(Struct, frozen=True, kw_only=True):
    """The stretch after wheel work in which wheel nuts are tightened again."""

    due_after: Annotated[DistanceOut, Meta(description="Distance from which it is due.")]
    overdue_after: Annotated[DistanceOut, Meta(description="Distance beyond which it is overdue.")]


class UpkeepPolicyAnswer(Struct, frozen=True, kw_only=True):
    """The intervals that were used: yours, else those of common practice; null where none was asked for."""

    retorque: Annotated[list[RetorqueAnswer], Meta(max_length=6, description="After wheel work.")]
    retorque_days: Annotated[DaysOut | None, Meta(description="Days after wheel work.")]
    pressure_check_months: Annotated[MonthsOut | None, Meta(description="Between pressure checks.")]
    pressure_check_before_trip_days: Annotated[DaysOut | None, Meta(description="Age of a check when a trip starts.")]
    tire_inspection_from_months: Annotated[MonthsOut, Meta(description="Age from which a tire is inspected.")]
    tire_inspection_every_months: Annotated[MonthsOut, Meta(description="Between inspections from then on.")]
    tire_replacement_months: Annotated[MonthsOut | None, Meta(description="Age at which a tire is replaced.")]
    weigh_months: Annotated[MonthsOut | None, Meta(description="Between weighs.")]
    weigh_after: Annotated[DistanceOut | None, Meta(description="Distance between weighs.")]
    weigh_after_change: Annotated[bool, Meta(description="Whether a change asks for a weigh.")]


class ProjectionAnswer(Struct, frozen=True, kw_only=True):
    """How distance was turned into dates."""

    distance_per_year: Annotated[DistanceOut | None, Meta(description="Rate of driving, in 365 days.")]
    standard_uncertainty: Annotated[
        DistanceOut | None, Meta(description="Of that rate; null with fewer than three readings.")
    ]
    first_read_on: Annotated[date | None, Meta(description="The first reading that it rests on.")]
    last_read_on: Annotated[date | None, Meta(description="The last reading; all days are counted on from there.")]
    last_reading: Annotated[DistanceOut | None, Meta(description="What the odometer showed then.")]
    readings: Annotated[CountOut, Meta(description="How many days with a reading it rests on.")]
    basis: Annotated[WordsOut, Meta(description="What it rests on.")]
    unknown_because: UnknownOut


class ListUpkeepDueAnswer(QuestionAnswer, frozen=True, kw_only=True):
    """Everything that falls due. The same request gives the same bytes."""

    as_of: Annotated[date, Meta(description="As sent.")]
    items: Annotated[
        list[DueItemAnswer],
        Meta(max_length=1_000, description="Most urgent first: overdue, due, unknown, later; of each, earliest first."),
    ]
    projection: Annotated[ProjectionAnswer, Meta(description="How distance was turned into dates.")]
    policy: Annotated[UpkeepPolicyAnswer, Meta(description="The intervals that were used.")]


class _Looked(Struct, frozen=True):
    """A request looked at, in SI; items earliest first."""

    request: UpkeepRequest
    units: Units
    history: History
    policy: UpkeepPolicy
    items: tuple[Due, ...]


def list_upkeep_due_answer(request: UpkeepRequest) -> ListUpkeepDueAnswer:
    """Return what falls due, in the request's units.

    Raises
    ------
    CrossFieldFaults
        With everything in the request that contradicts itself.
    """
    looked = _looked_at(request)
    states = list(DueState)
    answer = ListUpkeepDueAnswer(
        units=looked.units,
        as_of=request.as_of,
        items=[_item(item, looked) for item in sorted(looked.items, key=lambda item: states.index(item.state))],
        projection=_projection(odometer_of(looked.history)),
        policy=_policy_answer(looked.policy),
        basis=list(BASIS),
        cautions=list(CAUTIONS),
        computed_by=CORE,
    )
    return in_units(answer, looked.units)


def write_upkeep_calendar_answer(request: UpkeepRequest) -> CalendarText:
    """Return what falls due as an iCalendar file, earliest first; raises as `list_upkeep_due_answer`."""
    looked = _looked_at(request)
    rig, unit = request.rig, unit_of(looked.units, "distance")
    assert unit is not None
    text = calendar_text(
        looked.items,
        lambda item: entry_words(item, request.as_of, looked.policy, rig.name or rig.id, unit),
        request.as_of,
        rig.id,
    )
    return text.decode()


def _looked_at(request: UpkeepRequest) -> _Looked:
    units = chosen_units(request.units)
    as_sent = request
    request, faults = in_si(request, units)
    history = _history(request)
    refuse_contradictions(upkeep_faults(request, history, units, faults), as_sent)
    policy = _policy(request.policy)
    return _Looked(request, units, history, policy, upkeep_due(history, policy, request.as_of))


def _history(request: UpkeepRequest) -> History:
    events = tuple(
        Event(EventKind(e.kind), e.done_on, e.subject, e.odometer, e.tire_made_on, e.tire_life_months)
        for e in request.events
    )
    odometer = tuple(OdometerReading(one.read_on, one.reading, one.old_reading) for one in request.odometer)
    return History(tuple(request.rig.tires), events, odometer, tuple(request.trips))


def _policy(policy: UpkeepPolicyInput) -> UpkeepPolicy:
    usual = UpkeepPolicy()
    given = policy.retorque
    return UpkeepPolicy(
        retorque=usual.retorque
        if given is UNSET
        else tuple(Window(stretch.due_after, stretch.overdue_after) for stretch in given),
        retorque_days=policy.retorque_days,
        pressure_check_months=policy.pressure_check_months,
        pressure_check_before_trip_days=policy.pressure_check_before_trip_days,
        tire_inspection_from_months=policy.tire_inspection_from_months,
        tire_inspection_every_months=policy.tire_inspection_every_months,
        tire_replacement_months=policy.tire_replacement_months,
        weigh_months=policy.weigh_months,
        weigh_after_m=policy.weigh_after,
        weigh_after_change=policy.weigh_after_change,
    )


def _policy_answer(policy: UpkeepPolicy) -> UpkeepPolicyAnswer:
    return UpkeepPolicyAnswer(
        retorque=[RetorqueAnswer(due_after=each.from_m, overdue_after=each.by_m) for each in policy.retorque],
        retorque_days=policy.retorque_days,
        pressure_check_months=policy.pressure_check_months,
        pressure_check_before_trip_days=policy.pressure_check_before_trip_days,
        tire_inspection_from_months=policy.tire_inspection_from_months,
        tire_inspection_every_months=policy.tire_inspection_every_months,
        tire_replacement_months=policy.tire_replacement_months,
        weigh_months=policy.weigh_months,
        weigh_after=policy.weigh_after_m,
        weigh_after_change=policy.weigh_after_change,
    )


def _item(item: Due, looked: _Looked) -> DueItemAnswer:
    governing = item.governing
    return DueItemAnswer(
        kind=item.kind,
        subject=item.subject,
        part=item.part,
        state=item.state.value,
        due_on=item.due_on,
        due_at=item.due_at_m,
        governed_by=None if governing is None else governing.name,
        counts_from=None if item.origin is None else _counts_from(item.origin),
        rules=[_rule(rule, looked.policy) for rule in item.rules],
        message=item_message(item, looked.request.as_of, looked.policy),
        action=action_words(item),
        uid=entry_uid(item, looked.request.rig.id),
        unknown_because=unknown_words(item),
    )


def _counts_from(origin: Event) -> CountsFromAnswer:
    return CountsFromAnswer(kind=origin.kind, done_on=origin.on, subject=origin.subject, odometer=origin.odometer_m)


def _rule(rule: Rule, policy: UpkeepPolicy) -> DueRuleAnswer:
    return DueRuleAnswer(
        rule=rule.name,
        state=rule.state.value,
        due_on=rule.due_on,
        latest_on=rule.latest_on,
        due_at=rule.due_at_m,
        latest_at=rule.latest_at_m,
        projected=rule.is_projected,
        estimated=rule.is_estimated,
        standard_uncertainty_days=whole_days(rule.u_days),
        basis=rule_basis(rule.name, policy),
        unknown_because=None if rule.unknown_because is None else DUE_UNKNOWN[rule.unknown_because],
    )


def _projection(odometer: Odometer) -> ProjectionAnswer:
    """Return how distance is projected.

    The spread of a day, s2, of a rate over D days leaves that rate the standard uncertainty sqrt(s2 / D).
    """
    rate, used = odometer.rate, list(odometer.stations)
    per_year_m = u_m = because = None
    if isinstance(rate, NotProjected):
        because = DUE_UNKNOWN[rate]
    else:
        per_year_m = rate.m_per_day * DAYS_A_YEAR
        if rate.spread_m2_per_day is not None:
            u_m = sqrt(rate.spread_m2_per_day / rate.days) * DAYS_A_YEAR
        first_on = used[-1].on - timedelta(days=rate.days)
        used = [station for station in used if station.on >= first_on]
    return ProjectionAnswer(
        distance_per_year=per_year_m,
        standard_uncertainty=u_m,
        first_read_on=used[0].on if used else None,
        last_read_on=used[-1].on if used else None,
        last_reading=used[-1].way_m if used else None,
        readings=len(used),
        basis=PROJECTION_BASIS,
        unknown_because=because,
    )
