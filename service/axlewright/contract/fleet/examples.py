"""The examples of the fleet's operations: what is sent, and what is answered."""

from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from axlewright.contract.examples import Example, OperationExamples
from axlewright.contract.fleet import example_histories as histories
from axlewright.contract.fleet.example_answers import (
    CURSOR,
    KEY_ID,
    assessment,
    kept,
    page,
    recorded,
    summary,
    weigh,
)
from axlewright.contract.fleet.example_bodies import (
    COACH,
    CORRECTED,
    MOMENT,
    MOST,
    TRAILER,
    Json,
    example_bodies,
    example_id,
)

_KEPT = {
    "vehicle": ("vehicles", "A trailer by its ratings.", "A motorhome with its tanks, places and labels."),
    "rig": ("rigs", "The trailer by itself.", "The motorhome until a day, with its policy and its tire maker's table."),
    "tire": ("tires", "A tire that is still on.", "An inner tire of a dual, taken off for a cut."),
    "layout": ("layouts", "Nothing aboard.", "Everybody and everything aboard."),
    "inflation_table": ("inflation_tables", "One row.", "Three rows of a dual."),
    "policy": ("policies", "Common practice throughout.", "Every choice, and where tires are filled and coldest."),
}
"""What changes, by the name in its operations: its kind, and what its examples `minimal` and `full` show."""
_RECORDED = {
    "pressure_check": ("pressure_checks", "One tire, misread.", "Corrected: two tires, one of them filled up."),
    "upkeep_event": ("upkeep_events", "Wheel work on an axle.", "Corrected: on one side of it only."),
    "odometer_reading": ("odometer_readings", "A reading.", "Corrected: the first of another odometer."),
}
"""The records of vehicles alike."""
_WEIGHS = {
    "minimal": "A trailer's axle, weighed once.",
    "misread": "A motorhome's ticket, two digits of one reading exchanged.",
    "full": "The ticket as it was: it corrects the other one.",
}
_ORDERS = {
    "minimal": "The trailer's weigh in pounds.",
    "full": "The motorhome's weigh for a higher pass, by another policy.",
}
_FIRST_PAGE = "Nothing asked for: the first page."
_SECOND_PAGE = "The second page of what was asked for."
_NEXT = {"limit": 1, "cursor": CURSOR}


@cache
def fleet_examples() -> Mapping[str, OperationExamples]:
    """Return the examples of all operations of the fleet store, by id."""
    examples: dict[str, OperationExamples] = {}
    for one, (kind, *said) in _KEPT.items():
        examples |= _of_kept(one, kind, _named(said))
    for one, (kind, *said) in _RECORDED.items():
        examples |= _of_recorded(one, kind, _named(said))
    return examples | _of_weighs() | _of_assessments() | _of_rigs() | _of_histories()


def _named(said: list[str]) -> Mapping[str, str]:
    return dict(zip(("minimal", "full"), said, strict=True))


def _of_kept(one: str, kind: str, said: Mapping[str, str]) -> dict[str, OperationExamples]:
    vehicle = {"numbered": ("The one of an asset number.", {"asset_number": "HR-024"}, page(kept(one, kind, "full")))}
    rows = [kept(one, kind, name) for name in said]
    return {
        f"keep_{one}": _made(f"keep_{one}", said, lambda name: kept(one, kind, name)),
        f"change_{one}": _made(f"keep_{one}", said, lambda name: kept(one, kind, name, 2), kind),
        f"get_{one}": _read({"minimal": (said["minimal"], {"id": example_id(kind, TRAILER)}, rows[0])}),
        f"list_{kind}": _read(
            {
                "minimal": (_FIRST_PAGE, {}, page(*rows)),
                "full": (_SECOND_PAGE, {"archived": False, **_NEXT}, page(rows[1])),
                **(vehicle if one == "vehicle" else {}),
            }
        ),
    }


def _of_recorded(one: str, kind: str, said: Mapping[str, str]) -> dict[str, OperationExamples]:
    rows = [recorded(one, kind, name) for name in said]
    full = {"vehicle_id": example_id("vehicles", COACH), **_NEXT}
    corrected = f"{said['minimal'][:-1]}: corrected since."
    return {
        f"record_{one}": _made(f"record_{one}", said, lambda name: recorded(one, kind, name, is_later=False)),
        f"get_{one}": _read({"minimal": (corrected, {"id": example_id(kind, 1)}, rows[0])}),
        f"list_{kind}": _read(
            {"minimal": (_FIRST_PAGE, {}, page(*rows)), "full": (_SECOND_PAGE, full, page(rows[1]))},
        ),
    }


def _of_weighs() -> dict[str, OperationExamples]:
    of_rig = {"rig_id": example_id("rigs", COACH), "ticket": "0417", **_NEXT}
    return {
        "record_session": _made("record_session", _WEIGHS, lambda name: weigh(name, is_later=False)),
        "get_session": _read(
            {"minimal": (_WEIGHS["minimal"], {"id": example_id("sessions", 1)}, weigh("minimal"))},
        ),
        "list_sessions": _read(
            {
                "minimal": (_FIRST_PAGE, {}, page(*(weigh(name) for name in _WEIGHS))),
                "full": (_SECOND_PAGE, of_rig, page(weigh("full"))),
            }
        ),
    }


def _of_assessments() -> dict[str, OperationExamples]:
    made = [summary(name, None) for name in _WEIGHS] + [summary(name, name) for name in _ORDERS]
    of_weigh = {"rig_id": example_id("rigs", COACH), "session_id": example_id("sessions", MOST), **_NEXT}
    return {
        "make_assessment": _made("make_assessment", _ORDERS, lambda name: assessment(name, name)),
        "get_assessment": _read(
            {
                "minimal": (
                    "The one made with the trailer's weigh.",
                    {"id": example_id("assessments", 1)},
                    assessment("minimal", None),
                )
            }
        ),
        "list_assessments": _read(
            {"minimal": (_FIRST_PAGE, {}, page(*made)), "full": (_SECOND_PAGE, of_weigh, page(made[-1]))},
        ),
    }


def _of_rigs() -> dict[str, OperationExamples]:
    coach, trailer, drive = (
        histories.listed(COACH),
        histories.listed(TRAILER),
        histories.listed(COACH, histories.AXLE),
    )
    asked = {
        "standing": drive["standing"],
        "label": "rental",
        "axle": histories.AXLE,
        "weighed_before": "2026-06-01",
        "sort": "weighed_on",
        "archived": False,
        "limit": 20,
    }
    whole = {
        "rig": kept("rig", "rigs", "full"),
        "vehicles": [kept("vehicle", "vehicles", "full")],
        "last_session": weigh("full"),
        "last_assessment": assessment("full", None),
        "changed_since": False,
        "tires": [],
        "layouts": [kept("layout", "layouts", "full")],
        **{kind: [recorded(one, kind, "full")] for one, (kind, *_) in _RECORDED.items()},
    }
    return {
        "list_rigs": _read(
            {
                "minimal": (_FIRST_PAGE, {}, page(trailer, coach)),
                "full": ("By an axle, by a label, and last weighed before a day.", asked, page(drive)),
                "next": (_SECOND_PAGE, {"sort": "asset_number", **_NEXT}, page(coach)),
                "numbered": ("The one of an asset number.", {"asset_number": "HR-024"}, page(coach)),
                "leaning": ("Those that lean.", {"side_difference_above": 0.01}, page(coach)),
            }
        ),
        "get_rig_page": _read({"minimal": ("The motorhome.", {"id": example_id("rigs", COACH)}, whole)}),
    }


def _of_histories() -> dict[str, OperationExamples]:
    vehicle = {"id": example_id("vehicles", COACH), "units": "us"}
    subjects = {
        "get_rig_history": ({"id": example_id("rigs", COACH), "units": "us"}, histories.rig_facts()),
        "get_vehicle_history": (vehicle, histories.vehicle_facts()),
        "get_wheel_end_history": (vehicle | {"wheel_end": histories.WHEEL_END}, histories.wheel_end_facts()),
    }
    examples = {
        operation_id: _read(
            {
                "minimal": (_FIRST_PAGE, of, histories.history(facts)),
                "full": (
                    _SECOND_PAGE,
                    {**of, **_NEXT},
                    histories.history(facts[:2], first=1, next_cursor=CURSOR if len(facts) > 2 else None),
                ),
            }
        )
        for operation_id, (of, facts) in subjects.items()
    }
    corrected = _change("sessions", CORRECTED, 2, "superseded", None)
    first = _change("vehicles", TRAILER, 1, "made", example_bodies()["keep_vehicle"]["minimal"])
    of_weigh = {"resource_id": corrected["resource_id"], **_NEXT}
    changes = {
        "minimal": ("Cut: the first change.", {}, page(first, next_cursor=CURSOR)),
        "full": (_SECOND_PAGE, of_weigh, page(corrected)),
    }
    return examples | {"list_changes": _read(changes)}


def _change(kind: str, number: int, revision: int, action: str, document: Json | None) -> Json:
    return {
        "id": example_id("changes", 1),
        "made_at": MOMENT,
        "key_id": KEY_ID,
        "kind": kind,
        "resource_id": example_id(kind, number),
        "revision": revision,
        "action": action,
        "document": document,
    }


def _made(
    bodies: str, said: Mapping[str, str], answer: Callable[[str], Json], changed: str | None = None
) -> OperationExamples:
    """Return the examples of what makes something, or changes what was made of the same bodies."""
    ids = {} if changed is None else dict(zip(said, (TRAILER, COACH), strict=True))
    return OperationExamples(
        {name: Example(text, example_bodies()[bodies][name]) for name, text in said.items()},
        {name: Example(text, answer(name)) for name, text in said.items()},
        {name: {"id": example_id(changed or "", number)} for name, number in ids.items()},
    )


def _read(shown: Mapping[str, tuple[str, Mapping[str, Any], Any]]) -> OperationExamples:
    """Return the examples of what is only read: what each shows, asks for and is answered."""
    return OperationExamples(
        answers={name: Example(text, answer) for name, (text, _, answer) in shown.items()},
        parameters={name: asked for name, (_, asked, _) in shown.items() if asked},
    )
