"""Documents that the contract shows and the tests send: the examples of each operation.

The rigs are invented. The answers are what the service makes of the requests. A room's example is the whole
document, cut to the names that the room takes.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Any

import msgspec

from axlewright import __version__
from axlewright.contract.assessment import assess_answer
from axlewright.contract.calibrate import calibrate_loads_answer
from axlewright.contract.calibrate_request import CalibrateLoadsRequest
from axlewright.contract.envelope import find_envelope_answer
from axlewright.contract.envelope_request import FindEnvelopeRequest
from axlewright.contract.forecast import forecast_loads_answer
from axlewright.contract.forecast_request import ForecastLoadsRequest
from axlewright.contract.headroom import find_headroom_answer
from axlewright.contract.headroom_request import FindHeadroomRequest
from axlewright.contract.itinerary import plan_itinerary_answer
from axlewright.contract.itinerary_request import PlanItineraryRequest
from axlewright.contract.leaks import find_leaks_answer
from axlewright.contract.leaks_request import FindLeaksRequest
from axlewright.contract.merge import merge_sessions_answer
from axlewright.contract.merge_request import MergeSessionsRequest
from axlewright.contract.monitor import set_monitor_answer
from axlewright.contract.monitor_request import SetMonitorRequest
from axlewright.contract.plan import plan_session_answer
from axlewright.contract.plan_request import PlanSessionRequest
from axlewright.contract.request import (
    AssessRequest,
    LoadedRigRequest,
    ReconcileSessionRequest,
)
from axlewright.contract.rooms import (
    assess_balance_answer,
    check_loads_answer,
    recommend_inflation_answer,
    reconcile_session_answer,
)
from axlewright.contract.shift import plan_shift_answer
from axlewright.contract.shift_request import PlanShiftRequest
from axlewright.contract.tire_reading import ReadTireRequest, read_tire_answer
from axlewright.contract.tire_tables import get_tire_table_answer, list_tire_tables_answer
from axlewright.contract.towing import judge_towing_answer
from axlewright.contract.towing_request import JudgeTowingRequest
from axlewright.contract.translation import translate_pressure_answer
from axlewright.contract.translation_request import TranslatePressureRequest
from axlewright.contract.upkeep import list_upkeep_due_answer, write_upkeep_calendar_answer
from axlewright.contract.upkeep_request import UpkeepRequest
from axlewright.contract.walk_round import judge_walk_round_answer
from axlewright.contract.walk_round_request import JudgeWalkRoundRequest


@dataclass(frozen=True)
class Example:
    """One document, as JSON values, and what it shows."""

    summary: str
    value: Any


@dataclass(frozen=True)
class OperationExamples:
    """The examples of an operation by name: what is sent, and the answer of the same name."""

    requests: Mapping[str, Example] = field(default_factory=dict)
    answers: Mapping[str, Example] = field(default_factory=dict)
    parameters: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)


@dataclass(frozen=True)
class Computation:
    """What an operation takes, what makes its answer, and its documents beside the usual two."""

    request_type: type[msgspec.Struct]
    answer: Callable[[Any], msgspec.Struct | str]
    documents: Mapping[str, str]


RIGS = {
    "minimal": "The least that can be sent: a trailer's axle, weighed once. What cannot be known is said.",
    "full": "Every name with a value: a motorhome weighed in three passes, right wheels, left wheels, whole axles.",
}
KNOWN = {"trailer_known_loads": "A trailer on special-trailer tires, its wheel ends weighed before."}
VAN = {"van_axles_only": "A van of which only the axles were weighed: what cannot be known is said."}
READINGS = {
    "minimal": "A tire read in the warm valley, told for a cold morning at altitude.",
    "full": "Every unit named: a tire still warm, read at the coast with stated uncertainty, told for a frosty pass.",
    "set_now": "In the shop now: what to set so that the tire holds its cold pressure on a frosty morning.",
}
TRIPS = {
    "minimal": "The least that can be sent: one night away with one axle.",
    "full": "A motorhome from the coast over a pass into the desert: one axle goes on one fill, the other does not.",
}
MONITORS = {
    "minimal": "The least that can be sent: set points of one axle.",
    "full": "Every name with a value: a van with sealed sensors, a cold night at altitude, its own telltale.",
}
CHECKS = {
    "minimal": "The least that can be sent: one check of one tire, from which no loss can be told.",
    "full": "A dual axle checked weekly: one inner tire loses air, one outer was refilled.",
}
UPKEEP = {
    "minimal": "The least that can be sent: one tire of a trailer, of which nothing was recorded.",
    "full": "Every name with a value: a motorhome after wheel work, its odometer replaced.",
}

MARKINGS = {
    "minimal": "A special-trailer tire by its designation: what it says, and which checks want more.",
    "full": "A dual tire with all that is marked and known: one mark contradicts another, and the wheel limits.",
}
WALKS = {
    "minimal": "Nothing but a height, held against the usual legal ones.",
    "full": "A motorhome: a dual that does not match, a tire nobody looked at, an arch that is too low.",
}
ENVELOPES = {
    "minimal": "The least that can be sent: a trailer whose axle was weighed, and one thing that may be put on it.",
    "full": "Every name with a value: a motorhome with its tanks at any level, and one person more or less.",
}
CALIBRATIONS = {
    "minimal": "The least that can be sent: a trailer's axle weighed twice, from which nothing can be told.",
    "full": "Every name with a value: a motorhome weighed before and after barrels were rolled to the other side.",
    "van": "A van, its wheel ends known before and after sandbags: what each axle takes of the roll moment.",
}
HEADROOMS = {
    "minimal": "The least that can be sent: a point of a trailer whose axle was weighed. What cannot be known is said.",
    "full": "Every name with a value: what may still go into a motorhome's bay; nothing has to come off.",
    "overloaded": "A travel trailer over its ratings: nothing more may go aboard, and what has to come off.",
}
TOWED = {
    "minimal": "The least that can be sent: a car on a tow bar, of which one wheel end each was weighed.",
    "full": "A pickup and its travel trailer: loads by itself, hitched, and hitched with levelling bars.",
}
FORECASTS = {
    "minimal": "The least that can be sent: one mass put on a trailer whose axle was weighed.",
    "full": "Every name with a value: a motorhome filled up, its cargo moved, two people more aboard.",
}

SHIFTS = {
    "minimal": "The least that can be sent: a trailer whose axle was weighed, and one thing that has nowhere to go.",
    "full": "Every name with a value: a motorhome whose rear axle is heavy on the left, and what may be moved.",
}
COUPLED = {
    "coupled": "A pickup and its travel trailer, weighed with levelling bars, with them slack, and the pickup alone.",
}
MERGERS = {
    "minimal": "The least that can be sent: two weighs of a trailer's axle, of which nobody says what was aboard.",
    "full": "Every name with a value: a motorhome in three passes, and on pads the same day.",
}
PLANS = {
    "minimal": "The least that can be sent: a trailer's axle on one platform, at no price.",
    "full": "Every name with a value: a motorhome and its trailer, every wheel end and the tongue weight wanted.",
}

COMPUTATIONS = {
    "assess": Computation(AssessRequest, assess_answer, {**RIGS, **KNOWN, **VAN, **COUPLED}),
    "reconcile_session": Computation(ReconcileSessionRequest, reconcile_session_answer, {**RIGS, **COUPLED}),
    "merge_sessions": Computation(MergeSessionsRequest, merge_sessions_answer, MERGERS),
    "plan_session": Computation(PlanSessionRequest, plan_session_answer, PLANS),
    "check_loads": Computation(LoadedRigRequest, check_loads_answer, {**RIGS, **KNOWN}),
    "forecast_loads": Computation(ForecastLoadsRequest, forecast_loads_answer, FORECASTS),
    "find_envelope": Computation(FindEnvelopeRequest, find_envelope_answer, ENVELOPES),
    "find_headroom": Computation(FindHeadroomRequest, find_headroom_answer, HEADROOMS),
    "calibrate_loads": Computation(CalibrateLoadsRequest, calibrate_loads_answer, CALIBRATIONS),
    "judge_towing": Computation(JudgeTowingRequest, judge_towing_answer, TOWED),
    "assess_balance": Computation(LoadedRigRequest, assess_balance_answer, {**RIGS, **KNOWN}),
    "plan_shift": Computation(PlanShiftRequest, plan_shift_answer, SHIFTS),
    "recommend_inflation": Computation(AssessRequest, recommend_inflation_answer, {**RIGS, **KNOWN}),
    "translate_pressure": Computation(
        TranslatePressureRequest,
        translate_pressure_answer,
        READINGS,
    ),
    "plan_itinerary": Computation(PlanItineraryRequest, plan_itinerary_answer, TRIPS),
    "set_monitor": Computation(SetMonitorRequest, set_monitor_answer, MONITORS),
    "find_leaks": Computation(FindLeaksRequest, find_leaks_answer, CHECKS),
    "list_upkeep_due": Computation(UpkeepRequest, list_upkeep_due_answer, UPKEEP),
    "write_upkeep_calendar": Computation(UpkeepRequest, write_upkeep_calendar_answer, UPKEEP),
    "read_tire": Computation(ReadTireRequest, read_tire_answer, MARKINGS),
    "judge_walk_round": Computation(JudgeWalkRoundRequest, judge_walk_round_answer, WALKS),
}
"""The operations that compute on what they are sent, by id."""

_FILES = {
    ("find_headroom", "overloaded"): "headroom_overloaded",
    ("plan_session", "full"): "towing_full",
    **{("judge_towing", name): f"towing_{name}" for name in TOWED},
    **{("calibrate_loads", name): f"calibrate_{name}" for name in CALIBRATIONS},
    **{("read_tire", name): f"read_tire_{name}" for name in MARKINGS},
    **{("judge_walk_round", name): f"walk_round_{name}" for name in WALKS},
    **{("translate_pressure", name): f"translate_{name}" for name in READINGS},
    **{("plan_itinerary", name): f"itinerary_{name}" for name in TRIPS},
    **{("set_monitor", name): f"monitor_{name}" for name in MONITORS},
    **{("find_leaks", name): f"leaks_{name}" for name in CHECKS},
    **{("list_upkeep_due", name): f"upkeep_{name}" for name in UPKEEP},
    **{("write_upkeep_calendar", name): f"upkeep_{name}" for name in UPKEEP},
}


_ADDED = {
    "forecast_loads": "forecast",
    "find_envelope": "envelope",
    "find_headroom": "headroom",
    "plan_shift": "shift",
    "merge_sessions": "merge",
    "plan_session": "plan",
}
"""Operations that ask more of the rigs of other examples, and the documents that hold what they add."""


def document(name: str) -> bytes:
    """Return the text of an example document."""
    return (files("axlewright.contract") / "documents" / f"{name}.json").read_bytes()


@cache
def examples_of(operation_id: str) -> OperationExamples:
    """Return the examples of an operation."""
    if operation_id in COMPUTATIONS:
        return _computed(operation_id, COMPUTATIONS[operation_id])
    return _read().get(operation_id, OperationExamples())


def _computed(operation_id: str, computation: Computation) -> OperationExamples:
    requests = {name: _cut(operation_id, name, computation) for name in computation.documents}
    answers = {
        name: computation.answer(msgspec.convert(value, computation.request_type)) for name, value in requests.items()
    }
    return OperationExamples(
        {name: Example(computation.documents[name], value) for name, value in requests.items()},
        {name: Example(computation.documents[name], msgspec.to_builtins(answer)) for name, answer in answers.items()},
    )


def _cut(operation_id: str, name: str, computation: Computation) -> dict[str, Any]:
    whole = msgspec.json.decode(document(_FILES.get((operation_id, name), name)))
    if operation_id in _ADDED:
        whole |= msgspec.json.decode(document(f"{_ADDED[operation_id]}_{name}"))
    return {key: value for key, value in whole.items() if key in computation.request_type.__struct_fields__}


def _read() -> dict[str, OperationExamples]:
    """Return the examples of the operations that are only read."""
    filters: dict[str, Any] = {"designation": "225/70R19.5", "load_range": "G", "fitment": "dual", "limit": 1}
    cursor = "225-70r19.5-f-single"
    every = list_tire_tables_answer(None, None, None, limit=20, cursor=None)
    full = list_tire_tables_answer(**filters, cursor=cursor)
    table = get_tire_table_answer("lt225-75r16-e-single", "metric")
    contract = {"openapi": "3.1.0", "info": {"title": "Axlewright", "version": __version__}, "paths": {}}
    return {
        "list_tire_tables": OperationExamples(
            answers={
                "minimal": Example("Nothing asked for: the first page.", msgspec.to_builtins(every)),
                "full": Example("Every filter.", msgspec.to_builtins(full)),
            },
            parameters={"full": {**filters, "cursor": cursor}},
        ),
        "get_tire_table": OperationExamples(
            answers={"minimal": Example("A table in metric units.", msgspec.to_builtins(table))},
            parameters={"minimal": {"table_id": "lt225-75r16-e-single", "units": "metric"}},
        ),
        "healthz": OperationExamples(answers={"minimal": Example("The process lives.", {"alive": True})}),
        "readyz": OperationExamples(answers={"minimal": Example("The service can compute.", {"ready": True})}),
        "contract": OperationExamples(answers={"minimal": Example("Cut: how it begins.", contract)}),
    }
