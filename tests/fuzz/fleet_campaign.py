"""Schemathesis over the fleet store: what a generator cannot know is taken from a fleet in which the examples are kept.

All checks and all phases are on. A positive case names things that are there: an id of the examples stands for that
of the fleet, a weigh's rig is made for it, a cursor is one that the list gave, `If-Match` is the present tag. What is
left to chance once in a while, and always among negative cases, are ids that nothing has. 409 is an answer to a
positive case: what a document names may be missing, taken or changed meanwhile.
"""

import itertools
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import schemathesis
from hypothesis import strategies as st
from schemathesis.config import SchemathesisConfig

from axlewright.contract.fleet.example_bodies import COACH, example_id
from tests.contract.example_fleet import OPERATIONS, ExampleFleet, is_of_fleet
from tests.fuzz.campaign import LEAST_EXAMPLES, only_contradictions
from tests.fuzz.fleet_bodies import BODIES, NEEDED, SUPERSEDES
from tests.fuzz.grafts import body_examples, grafted
from tests.fuzz.outcome import Outcome, is_positive, run
from tests.fuzz.served import ServedFleet
from tests.rigs.quantities import Json

FLEET = "^/v1/fleet/"
STEPS = 60
"""Steps of one scenario at the most: it begins some lists and documents before it goes on from any of them."""
GENERIC_SHARE = 20
"""One positive case in so many is left as made from the schema alone."""
WHEEL_ENDS = ["steer.left", "drive.left", "drive.right", "axle.left"]
KINDS = {
    "vehicle": "vehicles",
    "rig": "rigs",
    "tire": "tires",
    "layout": "layouts",
    "inflation_table": "inflation_tables",
    "policy": "policies",
    "session": "sessions",
    "assessment": "assessments",
    "pressure_check": "pressure_checks",
    "upkeep_event": "upkeep_events",
    "odometer_reading": "odometer_readings",
}
FILTERS = {"vehicle_id": "vehicles", "rig_id": "rigs", "session_id": "sessions", "resource_id": "vehicles"}
ORDERED = ("weighed_before", "side_difference_above", "asset_number")
_TAKEN = ("HR-024",)
WEIGHED_SHARE = 0.7
"""What is made up of a weigh: so much of its rating is on each axle."""


def configuration(key: str, seed: int, examples: int, covered: list[str] | None = None) -> SchemathesisConfig:
    """Return the settings of one run; `covered` are the operations of which the coverage phase tries every value."""
    left_out = {"coverage": {"enabled": False}}
    fewer = {"generation": {"max-examples": max(examples // 4, LEAST_EXAMPLES)}}
    return SchemathesisConfig.from_dict(
        {
            "seed": seed,
            "continue-on-failure": True,
            "auth": {"openapi": {"key": {"bearer": key}}},
            "generation": {"database": "none", "max-examples": examples},
            "checks": {"missing_required_header": {"expected-statuses": [400, 401, 403, 406, 415, 422, 428]}},
            "operations": [
                {"exclude-path-regex": FLEET, "enabled": False},
                {"include-operation-id": ["keep_vehicle", "change_vehicle"], **fewer},
                *([] if covered is None else [{"exclude-operation-id": covered, "phases": left_out}]),
            ],
            "phases": {
                "examples": {"fill-missing": True},
                "stateful": {"max-steps": STEPS},
            },
            "warnings": {"fail-on": True},
        }
    )


def fleet_run(fleet: ServedFleet, config: SchemathesisConfig) -> Outcome:
    """Keep the examples in a fleet, and run every phase over its operations."""
    examples = ExampleFleet(fleet)
    examples.make()
    schema = schemathesis.openapi.from_url(f"{fleet.address}/v1/openapi.json", config=config, wait_for_schema=30)
    _draw_known(schema)
    _graft(schema)

    @schema.hook("filter_failure")
    def unforeseeable(_: Any, failure: Any, case: Any, response: Any) -> bool:
        is_refused = isinstance(failure, schemathesis.openapi.checks.RejectedPositiveData)
        return not (is_refused and only_contradictions(response.status_code, response))

    with _supplied(_Supply(examples)):
        return run(schema, [operation_id for operation_id in OPERATIONS if is_of_fleet(operation_id)])


def _draw_known(schema: Any) -> None:
    """Have positive cases drawn with consistent documents and with ids of the examples."""

    @schema.hook("flatmap_case")
    def known(_: Any, case: Any) -> st.SearchStrategy[Any]:
        if not is_positive(case) or _is_tried_out(case):
            return st.just(case)
        one, ids = _one_of(case), _ids_of(case)
        body = BODIES[one] if case.method in ("POST", "PUT") else st.none()
        drawn = st.tuples(st.integers(0, GENERIC_SHARE - 1), body, ids)
        return drawn.map(lambda parts: case if parts[0] == GENERIC_SHARE - 1 else _with(case, *parts[1:]))


def _graft(schema: Any) -> None:
    """Have a value that is tried by itself set into the fullest example; its tire is archived, in nobody's place."""
    examples = body_examples(schema.raw_schema)
    for operation_id in ("keep_tire", "change_tire"):
        examples[operation_id] = [{**body, "archived": True} for body in examples[operation_id]]

    @schema.hook("map_case")
    def computable(_: Any, case: Any) -> Any:
        operation_id = case.operation.definition.raw["operationId"]
        if is_positive(case) and operation_id in examples:
            case.body = grafted(case, examples[operation_id])
        return case


def _is_tried_out(case: Any) -> bool:
    return bool(case.meta.phase.name.value == "coverage")


def _one_of(case: Any) -> str:
    return str(case.operation.definition.raw["operationId"]).partition("_")[2]


def _ids_of(case: Any) -> st.SearchStrategy[dict[str, dict[str, Any]]]:
    """Return ids of the examples for the parameters of a case."""
    numbers = st.integers(1, COACH)
    path: dict[str, st.SearchStrategy[Any]] = {}
    if "id" in case.path_parameters:
        kind = case.path.split("/")[3]
        path["id"] = numbers.map(lambda number: example_id(kind, number))
    if "wheel_end" in case.path_parameters:
        path["wheel_end"] = st.sampled_from(WHEEL_ENDS)
    query = {
        name: numbers.map(lambda number, kind=kind: example_id(kind, number))
        for name, kind in FILTERS.items()
        if case.query and isinstance(case.query.get(name), str)
    }
    return st.fixed_dictionaries({"path": st.fixed_dictionaries(path), "query": st.fixed_dictionaries(query)})


def _with(case: Any, body: Json, ids: dict[str, dict[str, Any]]) -> Any:
    if body is not None:
        case.body = body
    if ids["path"]:
        case.path_parameters = {**case.path_parameters, **ids["path"]}
    if ids["query"]:
        case.query = {**case.query, **ids["query"]}
    return case


@contextmanager
def _supplied(supply: "_Supply") -> Iterator[None]:
    """Have each case completed just before it is sent: of hooks at that place there are only global ones."""

    def before_call(_: Any, case: Any, kwargs: Any) -> None:
        if is_positive(case):
            supply.complete(case)

    schemathesis.hook("before_call")(before_call)
    try:
        yield
    finally:
        schemathesis.hooks.unregister(before_call)


class _Supply:
    """What a case names, made or looked up in the fleet."""

    def __init__(self, examples: ExampleFleet) -> None:
        self._examples = examples
        self._fleet = examples.fleet
        self._numbers = itertools.count()
        self._rigs: dict[str, str] = {}
        self._known = set(examples.real.values())

    def complete(self, case: Any) -> None:
        """Give a positive case ids, a cursor, a tag and an own key of idempotency."""
        if isinstance(case.body, dict):
            case.body = self._body(case)
        if case.path_parameters:
            case.path_parameters = self._path_parameters(case)
        if case.query:
            case.query = self._query(case)
        if "Idempotency-Key" in case.headers:
            case.headers["Idempotency-Key"] = f"{case.headers['Idempotency-Key']}{next(self._numbers)}"[-255:]
        if case.method == "PUT" and case.headers.get("If-Match") not in (None, "*"):
            tag = self._fleet.get(case.formatted_path).headers.get("etag")
            if tag is not None:
                case.headers["If-Match"] = tag

    def _body(self, case: Any) -> Json:
        one, body = _one_of(case), self._examples.translated(case.body)
        if body.get("rig_id") in NEEDED:
            body["rig_id"] = self._rigs.get(body["rig_id"]) or self._made(body["rig_id"])
        elif one == "session" and case.meta.phase.name.value == "stateful":
            body = self._weigh_of(body)
        if body.get("asset_number") in _TAKEN:
            body["asset_number"] += f" {next(self._numbers)}"
        if body.get("supersedes") == SUPERSEDES or body.get("supersedes") in self._known:
            before = self._fleet.post(KINDS[one], {name: body[name] for name in body if name != "supersedes"})
            body["supersedes"] = before.json.get("id", SUPERSEDES)
        return body

    def _path_parameters(self, case: Any) -> Json:
        """Return the parameters in a path, with a document of its own to change."""
        parameters = self._examples.translated(case.path_parameters)
        kind = case.path.split("/")[3]
        is_tried_out = _is_tried_out(case)
        if case.method == "PUT" and (is_tried_out or parameters["id"] in self._known):
            own = self._fleet.post(kind, {name: case.body[name] for name in case.body if name != "asset_number"})
            parameters["id"] = own.json.get("id", parameters["id"])
        elif is_tried_out and parameters["id"] not in self._known:
            parameters["id"] = self._examples.real[example_id(kind, COACH)]
        return parameters

    def _query(self, case: Any) -> Json:
        query = self._examples.translated(_without_rivals(dict(case.query)))
        if isinstance(query.get("cursor"), str):
            first = {name: value for name, value in query.items() if name not in ("cursor", "limit")}
            texts = {name: str(each).lower() if isinstance(each, bool) else each for name, each in first.items()}
            page = self._fleet.get(case.formatted_path, limit=1, **texts)
            query["cursor"] = page.json.get("next_cursor")
        return {name: value for name, value in query.items() if value is not None}

    def _weigh_of(self, body: Json) -> Json:
        """Return a weigh of the rig that a body came to name on the way here; itself if there is none."""
        page = self._fleet.get(f"rigs/{body.get('rig_id')}/page")
        return body if page.status != 200 else {**_made_up_weigh(page.json), "rig_id": body["rig_id"]}

    def _made(self, drawn_id: str) -> str:
        needed = NEEDED[drawn_id]
        vehicles = [self._fleet.post("vehicles", vehicle) for vehicle in needed.vehicles]
        rig = self._fleet.post("rigs", {**needed.rig, "vehicles": [each.json.get("id") for each in vehicles]})
        self._rigs[drawn_id] = str(rig.json.get("id", drawn_id))
        return self._rigs[drawn_id]


def _without_rivals(query: Json) -> Json:
    """Return a query with one of the filters that ask for an order of their own, as no schema can say."""
    chosen = next((name for name in ORDERED if query.get(name) is not None), None)
    rivals = {"sort", *ORDERED} - {chosen} if chosen else set()
    return {name: value for name, value in query.items() if name not in rivals}


def _made_up_weigh(page: Json) -> Json:
    """Return a weigh of a rig's axles, each whole, in the units of its first vehicle."""
    documents = [vehicle["document"] for vehicle in page["vehicles"]]
    parted = len(documents) > 1
    readings = [
        {
            "platform": f"{document['vehicle']['name']} {axle['name']}",
            "value": round(axle["gawr"] * WEIGHED_SHARE),
            "wheel_ends": [
                f"{document['vehicle']['name']}." * parted + f"{axle['name']}.{side}" for side in ("left", "right")
            ],
        }
        for document in documents
        for axle in document["vehicle"]["axles"]
    ]
    session = {
        "weighed_on": page["rig"]["document"]["first_day"],
        "scale": {"division": 10, "accuracy_class": "OIML III"},
        "passes": [{"name": "axles", "readings": readings[:16]}],
    }
    return {"units": documents[0]["units"], "session": session}
