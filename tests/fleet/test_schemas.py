"""Stored documents of every released schema are read today, and those of a later one are shown."""

import json
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Table, select

from axlewright.fleet import schemas
from axlewright.fleet.engines import owner_engine, transaction
from axlewright.fleet.keys import checked
from axlewright.fleet.tables import METADATA
from tests.fleet.databases import Database
from tests.fleet.populated import as_owner
from tests.fleet.yard import Fleet

RELEASED = Path(__file__).parent / "stored"
FIRST = [path.stem for path in sorted((RELEASED / "1").iterdir())]
TABLE_OF = {"tires": "fitted_tires"}
MAKING_ORDER = ("policies", "inflation_tables", "vehicles", "rigs", *FIRST)


def released(kind: str, schema: int = 1) -> Any:
    """Return a document as it was taken by a schema."""
    return json.loads((RELEASED / str(schema) / f"{kind}.json").read_text())


def kept(fleet: Fleet) -> dict[str, str]:
    """Keep one document of each kind, and return their ids."""
    ids: dict[str, str] = {}
    for kind in dict.fromkeys(MAKING_ORDER):
        text = json.dumps(released(kind))
        for place, other in enumerate(("vehicles", "rigs", "policies", "inflation_tables"), start=1):
            text = text.replace(f"01970000-0000-7000-8000-00000000000{place}", ids.get(other, ""))
        ids[kind] = fleet.made(kind, json.loads(text))["id"]
    return ids


def rewrite(fleet: Fleet, url: str, kind: str, id_: str, document: Any, schema: int) -> None:
    """Put a document in the store as another version of the service would have."""
    table: Table = METADATA.tables[TABLE_OF.get(kind, kind)]
    engine = owner_engine(url)
    try:
        with transaction(engine) as connection:
            key = METADATA.tables["api_keys"].c
            operator = connection.execute(select(key.operator_id).where(key.id == checked(fleet.key))).scalar_one()
    finally:
        engine.dispose()
    with as_owner(url, operator) as connection:
        change = table.update().where(table.c.id == id_)
        connection.execute(change, {"document": json.dumps(document), "schema": schema})


@pytest.mark.parametrize("kind", FIRST)
def test_every_kind_has_a_frozen_document_of_each_schema(kind: str) -> None:
    for schema in range(1, schemas.present_schema(kind) + 1):
        assert (RELEASED / str(schema) / f"{kind}.json").exists()


def test_documents_of_the_first_schema_are_taken_and_read(fleet: Fleet) -> None:
    for kind, id_ in kept(fleet).items():
        told = fleet.get(f"{kind}/{id_}").json["document"]
        assert told.keys() == released(kind).keys()
        assert {k: v for k, v in told.items() if "_id" not in k and k != "vehicles"} == {
            k: v for k, v in released(kind).items() if "_id" not in k and k != "vehicles"
        }


def test_an_older_document_is_brought_to_the_present_schema(
    fleet: Fleet, shared_database: Database, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A schema in which the label was a single text, of which the present one makes a list."""
    ids = kept(fleet)
    old = {**released("vehicles"), "labels": None, "label": "north"}

    def listed(document: Any) -> Any:
        label = document.pop("label")
        return {**document, "labels": [label]}

    rewrite(fleet, shared_database.url, "vehicles", ids["vehicles"], old, schema=1)
    monkeypatch.setattr(schemas, "UPCASTS", {"vehicles": [listed]})
    assert schemas.present_schema("vehicles") == 2
    assert fleet.get(f"vehicles/{ids['vehicles']}").json["document"] == released("vehicles")
    weigh = fleet.get(f"sessions/{ids['sessions']}").json["document"]
    assert fleet.post("sessions", weigh).status == 201


@pytest.mark.parametrize("kind", ["vehicles", "rigs", "policies", "inflation_tables"])
def test_what_a_later_version_wrote_is_shown_but_not_computed_with(
    fleet: Fleet, shared_database: Database, kind: str
) -> None:
    ids = kept(fleet)
    later = {**fleet.get(f"{kind}/{ids[kind]}").json["document"], "trim_level": "high"}
    rewrite(fleet, shared_database.url, kind, ids[kind], later, schema=2)
    assert fleet.get(f"{kind}/{ids[kind]}").json["document"] == later
    refused = fleet.post("sessions", fleet.get(f"sessions/{ids['sessions']}").json["document"])
    assert (refused.status, refused.json["errors"][0]["pointer"]) == (409, "/rig_id")
    assert "trim_level" in refused.json["detail"]


@pytest.mark.parametrize("kind", FIRST)
def test_what_todays_contract_would_refuse_is_no_failure(fleet: Fleet, shared_database: Database, kind: str) -> None:
    ids = kept(fleet)
    rewrite(fleet, shared_database.url, kind, ids[kind], {"nothing": "of this"}, schema=1)
    assert fleet.get(f"{kind}/{ids[kind]}").json["document"] == {"nothing": "of this"}
    paths = [kind, f"rigs/{ids['rigs']}/page", "rigs", "changes"]
    assert [fleet.get(path).status for path in paths] == [200] * 4
    asked = [
        fleet.post("sessions", {**released("sessions"), "rig_id": ids["rigs"]}),
        fleet.post("assessments", {"session_id": ids["sessions"], "units": "us"}),
        fleet.post("pressure_checks", {**released("pressure_checks"), "vehicle_id": ids["vehicles"]}),
    ]
    assert {reply.status for reply in asked} <= {201, 409}
