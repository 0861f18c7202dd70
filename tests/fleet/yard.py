"""A fleet of the tests: the service on a database, keys for two operators, and the documents of an invented yard."""

import copy
import itertools
import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlencode

import pytest
from litestar import Litestar

from axlewright.app import create_app
from axlewright.contract.examples import document
from axlewright.fleet.clock import now
from axlewright.fleet.engines import owner_engine, transaction
from axlewright.fleet.key_store import make_key
from axlewright.settings import Settings
from tests.api.probe import Reply, send
from tests.fleet.databases import Database

ALL_SCOPES = ("read", "write", "manage")
FLEET = "/v1/fleet"
MISSING_ID = "01900000-0000-7000-8000-000000000000"

_NUMBERS = itertools.count()


def new_operator() -> str:
    """Return the name of an operator whom no other test has."""
    return f"Yard {next(_NUMBERS)}"


def new_key(url: str, operator: str, scopes: Sequence[str] = ALL_SCOPES, name: str | None = None, **more: Any) -> str:
    """Return the text of a new key of an operator, who is made with it."""
    engine = owner_engine(url)
    try:
        with transaction(engine) as connection:
            name = name or f"key {next(_NUMBERS)}"
            return make_key(connection, operator, name, scopes, now=now(), new_operator=True, **more)
    finally:
        engine.dispose()


@dataclass(frozen=True)
class Fleet:
    """The fleet of one operator, called through the service."""

    app: Litestar
    key: str
    base: str = field(default=FLEET)

    def send(
        self, method: str, path: str, body: Any = None, headers: dict[str, str] | None = None, **query: Any
    ) -> Reply:
        """Return the answer to a request with the operator's key."""
        media_type = {} if body is None else {"content-type": "application/json"}
        sent = {"authorization": f"Bearer {self.key}", **media_type, **(headers or {})}
        payload = b"" if body is None else body if isinstance(body, bytes) else json.dumps(body).encode()
        path = path if path.startswith("/v1/") else f"{self.base}/{path}"
        return send(self.app, method, path, payload, sent, urlencode(query))

    def get(self, path: str, **query: Any) -> Reply:
        """Return the answer to a GET."""
        return self.send("GET", path, **query)

    def post(self, path: str, body: Any, **headers: str) -> Reply:
        """Return the answer to a POST."""
        return self.send("POST", path, body, {name.replace("_", "-"): value for name, value in headers.items()})

    def put(self, path: str, body: Any, tag: str | None = None) -> Reply:
        """Return the answer to a PUT with If-Match."""
        return self.send("PUT", path, body, {} if tag is None else {"if-match": tag})

    def made(self, path: str, body: Any) -> Any:
        """Return the JSON of what was made; anything but 201 is a failure."""
        reply = self.post(path, body)
        assert reply.status == 201, reply.body
        return reply.json

    def ids(self, path: str, **query: Any) -> list[str]:
        """Return the ids on the first page of a list."""
        reply = self.get(path, **query)
        assert reply.status == 200, reply.body
        return [item["id"] for item in reply.json["items"]]


@contextmanager
def fleet_on(url: str, operator: str = "Alder Yard", **settings: Any) -> Iterator[Fleet]:
    """Run the service on a database, for one operator with a key of all scopes."""
    app = create_app(Settings(database_url=url, **{"rate_limit": 0, **settings}))
    try:
        yield Fleet(app, new_key(url, operator))
    finally:
        app.state["memory"].engines.dispose()


def other(fleet: Fleet, url: str, operator: str = "Birch Depot", scopes: Sequence[str] = ALL_SCOPES) -> Fleet:
    """Return the fleet of another operator on the same service."""
    return Fleet(fleet.app, new_key(url, operator, scopes))


@pytest.fixture(scope="module")
def service(shared_database: Database) -> Iterator[Fleet]:
    """The service on the database that the tests of a file share."""
    with fleet_on(shared_database.url) as first:
        yield first


@pytest.fixture
def fleet(service: Fleet, shared_database: Database) -> Fleet:
    """The empty fleet of a new operator of that service."""
    return other(service, shared_database.url, new_operator())


def coach(asset_number: str | None = None, labels: Sequence[str] = (), name: str = "coach") -> dict[str, Any]:
    """Return the document of a motorhome."""
    vehicle = copy.deepcopy(document_of("full")["rig"]["vehicles"][0])
    vehicle["name"] = name
    return {"units": "us", "vehicle": vehicle, "asset_number": asset_number, "labels": list(labels)}


def van() -> dict[str, Any]:
    """Return the document of a van."""
    told = document_of("van_axles_only")
    return {"units": told["units"], "vehicle": told["rig"]["vehicles"][0]}


def document_of(name: str) -> Any:
    """Return an example document of the contract."""
    return json.loads(document(name))


def rig(vehicle_ids: Sequence[str], **more: Any) -> dict[str, Any]:
    """Return the document of a rig."""
    return {"name": "Tern 7", "first_day": "2026-01-01", "vehicles": list(vehicle_ids), **more}


def weigh(rig_id: str, weighed_on: str = "2026-05-14", **more: Any) -> dict[str, Any]:
    """Return the document of the coach's weigh."""
    told = document_of("full")
    session = {**copy.deepcopy(told["session"]), "weighed_on": weighed_on}
    return {"units": told["units"], "rig_id": rig_id, "session": session, **more}


def named_policy(name: str) -> dict[str, Any]:
    """Return the least document there is: a policy of a name."""
    return {"units": "us", "name": name}


def kept_coach(fleet: Fleet, **more: Any) -> tuple[str, str]:
    """Keep a coach and its rig, and return both ids."""
    vehicle_id = fleet.made("vehicles", coach(**more))["id"]
    return vehicle_id, fleet.made("rigs", rig([vehicle_id]))["id"]


def pickup_and_camper() -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the documents of a tow vehicle and of the trailer behind it."""
    told = document_of("coupled")
    pickup, camper = ({"units": told["units"], "vehicle": vehicle} for vehicle in told["rig"]["vehicles"])
    return pickup, camper


def coupled(rig_id: str, weighed_on: str = "2026-05-14") -> dict[str, Any]:
    """Return the document of the weigh of a pickup with its camper."""
    told = document_of("coupled")
    return {"units": told["units"], "rig_id": rig_id, "session": {**told["session"], "weighed_on": weighed_on}}


def van_weigh(rig_id: str, weighed_on: str) -> dict[str, Any]:
    """Return the document of the van's weigh, of its axles only."""
    session = document_of("van_axles_only")["session"]
    return {"units": van()["units"], "rig_id": rig_id, "session": {**session, "weighed_on": weighed_on}}


COUPLINGS = [{"tow": "pickup", "towed": "camper", "kind": "ball"}]

MADE_OF: Mapping[str, Callable[[Mapping[str, str]], dict[str, Any]]] = {
    "vehicles": lambda _: coach(labels=["north"]),
    "policies": lambda _: {"units": "us", "name": "cautious", "policy": {"reserve_share": 0.1}},
    "inflation_tables": lambda _: {"units": "us", "table": copy.deepcopy(document_of("full")["tire_tables"][0])},
    "rigs": lambda ids: rig(
        [ids["vehicles"]], policy_id=ids["policies"], inflation_table_ids=[ids["inflation_tables"]]
    ),
    "tires": lambda ids: {"vehicle_id": ids["vehicles"], "position": "steer.left", "fitted_on": "2026-02-03"},
    "layouts": lambda ids: {
        "units": "us",
        "rig_id": ids["rigs"],
        "name": "as it leaves the yard",
        "carried": {"people": [{"mass": 160, "place": "driver_seat"}]},
    },
    "sessions": lambda ids: weigh(ids["rigs"]),
    "assessments": lambda ids: {"session_id": ids["sessions"], "units": "us", "policy_id": ids["policies"]},
    "pressure_checks": lambda ids: {
        "units": "us",
        "vehicle_id": ids["vehicles"],
        "checked_on": "2026-05-20",
        "tires": [{"position": "steer.left", "pressure": 92}],
    },
    "upkeep_events": lambda ids: {
        "units": "us",
        "vehicle_id": ids["vehicles"],
        "kind": "retorque",
        "done_on": "2026-05-21",
        "subject": "steer.left",
    },
    "odometer_readings": lambda ids: {
        "units": "us",
        "vehicle_id": ids["vehicles"],
        "read_on": "2026-05-22",
        "reading": 41_250,
    },
}
"""By the kind in the path, a document of it that names things made before it by the ids of their kinds."""

KEPT_KINDS = ("inflation_tables", "layouts", "policies", "rigs", "tires", "vehicles")
RECORDED_KINDS = ("odometer_readings", "pressure_checks", "sessions", "upkeep_events")


def another(kind: str, ids: Mapping[str, str]) -> dict[str, Any]:
    """Return a document of a kind that can be made beside what is stocked."""
    return {**MADE_OF[kind](ids), **({"position": "steer.right"} if kind == "tires" else {})}


def stocked(fleet: Fleet) -> dict[str, str]:
    """Make one thing of every kind, and return their ids by kind."""
    ids: dict[str, str] = {}
    for kind, made_of in MADE_OF.items():
        ids[kind] = fleet.made(kind, made_of(ids))["id"]
    return ids


def must_be_refused(reply: Reply, status: int, *pointers: str) -> Any:
    """Check that an answer points at what is wrong, and return its faults."""
    assert reply.status == status, reply.body
    assert reply.problem_type == {409: "conflict", 422: "inconsistent"}[status]
    faults = reply.json["errors"]
    assert tuple(fault["pointer"] for fault in faults) == pointers, faults
    return faults


def as_written(document: Any) -> bytes:
    """Return the JSON of a document as hardly anybody writes it: numbers with exponents, text escaped, indented."""
    text = json.dumps(document, indent=3).replace(": ", " :  ")
    text = re.sub(r"(?<=[ \[])(-?\d+)(?=[,\n\]])", r"\g<1>.00e+0", text)
    return text.replace("north", "n\\u006frth").encode()
