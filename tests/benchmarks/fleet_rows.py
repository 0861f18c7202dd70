"""Rows of a large fleet: a few rigs that the service itself kept and assessed, repeated with other names and days.

Each step of a model rig's life is kept through the service, and the rows that it wrote are its part of the life of
every rig made like it. A fleet is filled step by step over all rigs, so that rows lie as they would after years: the
weighs of one rig are far from each other.
"""

import random
import re
import sqlite3
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property
from pathlib import Path
from typing import Any

import psycopg
from sqlalchemy import Connection, Table, create_engine, make_url

from axlewright.fleet.listing import STANDINGS
from axlewright.fleet.migrations import migrate
from axlewright.fleet.tables import METADATA, OF_AN_OPERATOR
from tests.fleet.yard import Fleet, document_of, fleet_on, rig

MODELS = {"full": 11, "van_axles_only": 5, "coupled": 4}
"""The contract's examples that model rigs are made of, and how often each is repeated."""
WEIGHS = 3
NEVER_WEIGHED_EACH = 32
"""Of so many rigs one was never weighed."""
DEPOTS = 10
CLASSES = 100
AT_ONCE = 2000
"""So many rigs are written at a time."""

_LABELS = ("label-depot", "label-class")
_WEIGHED_ON = [f"2026-03-0{weigh}" for weigh in range(1, WEIGHS + 1)]
_ID = r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[0-9a-f]{4}-[0-9a-f]{12}"
_MOMENT = r"20\d\d-\d\d-\d\dT[\d:.]+Z"
_VARIED = re.compile(rf"({_ID}|{_MOMENT}|asset-number-\d|ticket-\d|{'|'.join((*_LABELS, *_WEIGHED_ON))})")
_FIRST_DAY = date(2024, 9, 1)
_DAYS_OF_A_STEP = 240
_STANDING_WEIGHTS = (4, 1, 20, 15, 0, 25, 35)  # in the order of STANDINGS
_NEVER_WEIGHED = STANDINGS.index(None)


class Text:
    """A text in which some parts differ from rig to rig."""

    def __init__(self, parts: list[str]) -> None:
        """Take what `_VARIED` parted: constant, varied, constant, ..."""
        self._parts = parts

    @property
    def varied(self) -> list[str]:
        """The parts that differ, as the model has them."""
        return self._parts[1::2]

    def of(self, names: Mapping[str, str]) -> str:
        """Return the text with other names."""
        parts = self._parts.copy()
        parts[1::2] = [names[part] for part in parts[1::2]]
        return "".join(parts)


@dataclass(frozen=True)
class ModelRow:
    """A row that each rig of a model has, without its operator."""

    table: Table
    columns: list[str]
    values: list[Any]

    def of(self, operator_id: int, names: Mapping[str, str], chance: random.Random) -> tuple[Any, ...]:
        """Return the row of another rig, with other figures."""
        values = [value.of(names) if type(value) is Text else value for value in self.values]
        if self.table.name in ("rig_listing", "assessments", "timeline"):
            for place, column in enumerate(self.columns):
                values[place] = _figure(column, values[place], chance)
        return operator_id, *values


@dataclass
class Model:
    """A rig as the service keeps it, by the steps of its life; never weighed it is listed otherwise."""

    steps: list[list[ModelRow]] = field(default_factory=list)
    listed: list[ModelRow] = field(default_factory=list)
    listed_unweighed: list[ModelRow] = field(default_factory=list)

    @cached_property
    def varied(self) -> dict[str, str]:
        """All parts of texts that differ, as they stand in the model."""
        rows = [*(row for step in self.steps for row in step), *self.listed]
        parts = {part for row in rows for value in row.values if type(value) is Text for part in value.varied}
        return {part: part for part in parts}

    @cached_property
    def ids(self) -> list[str]:
        """The ids, in the order in which they were given."""
        return sorted(part for part in self.varied if re.fullmatch(_ID, part))


def models() -> list[Model]:
    """Return the model rigs, each as often as it is to be repeated in turn."""
    with tempfile.TemporaryDirectory() as folder:
        url = f"sqlite:///{folder}/models.sqlite3"
        migrate(url)
        made = []
        for name, times in MODELS.items():
            with fleet_on(url, name) as fleet:
                made += [_model(fleet, Path(folder, "models.sqlite3"), name)] * times
    random.Random(1).shuffle(made)
    return made


def fill(url: str, operators: Mapping[int, int], made: Sequence[Model]) -> None:
    """Fill a migrated database, as who owns its tables, with so many rigs of each operator; indexes come at the end."""
    engine = create_engine(url)
    with engine.begin() as connection:
        indexes = _taken_away(connection)
    for operator_id, rigs in operators.items():
        for step in range(WEIGHS + 2):
            for first in range(0, rigs, AT_ONCE):
                batch = range(first, min(rigs, first + AT_ONCE))
                _write(url, _rows_of_step(made, operator_id, step, batch))
    with engine.begin() as connection:
        for again in indexes:
            connection.exec_driver_sql(again)
    engine.dispose()
    _settle(url)


def _model(fleet: Fleet, file: Path, name: str) -> Model:
    """Keep a rig through the service, and take down at each step which rows are new."""
    told = document_of(name)
    units, model = told["units"], Model()
    seen: set[tuple[Any, ...]] = set(_all_rows(file))

    def take_down() -> None:
        rows = [row for row in _all_rows(file) if row not in seen]
        seen.update(rows)
        model.steps.append([_model_row(table, row) for table, *row in rows if table != "rig_listing"])
        listed = [_model_row(table, row) for table, *row in rows if table == "rig_listing"]
        model.listed = listed or model.listed
        model.listed_unweighed = model.listed_unweighed or listed

    ids = []
    for place, vehicle in enumerate(told["rig"]["vehicles"]):
        document = {"units": units, "vehicle": vehicle, "asset_number": _asset_number(place)}
        ids.append(fleet.made("vehicles", {**document, "labels": list(_LABELS[: 2 - place])})["id"])
    couplings = told["rig"].get("couplings", [])
    rig_id = fleet.made("rigs", rig(ids, first_day="2018-01-01", couplings=couplings))["id"]
    fleet.made("layouts", {"units": units, "rig_id": rig_id, "name": "as it leaves", "carried": {}})
    axle = told["rig"]["vehicles"][0]["axles"][0]["name"]
    for side in ("left", "right"):
        tire = {"vehicle_id": ids[0], "position": f"{axle}.{side}", "fitted_on": "2018-01-01"}
        fleet.made("tires", {**tire, "identification_number": "B3CD 5FGH 2522"})
    take_down()
    for number, day in enumerate(_WEIGHED_ON):
        session = {**told["session"], "weighed_on": day, "ticket": _ticket(number)}
        fleet.made("sessions", {"units": units, "rig_id": rig_id, "session": session})
        about = {"units": "us", "vehicle_id": ids[0]}
        pressure = {"position": f"{axle}.left", "pressure": 80}
        fleet.made("pressure_checks", {**about, "checked_on": day, "tires": [pressure]})
        fleet.made("upkeep_events", {**about, "kind": "retorque", "done_on": day, "subject": axle})
        fleet.made("odometer_readings", {**about, "read_on": day, "reading": 20_000 + 5_000 * number})
        take_down()
    return model


def _all_rows(file: Path) -> Iterator[tuple[Any, ...]]:
    """Yield every row of an operator's, with its table before it and without its operator."""
    connection = sqlite3.connect(file)
    for table in OF_AN_OPERATOR:
        rows = connection.execute(f"SELECT {', '.join(_columns(table)[1:])} FROM {table.name}")
        yield from ((table.name, *row) for row in rows)
    connection.close()


def _model_row(table_name: str, row: Sequence[Any]) -> ModelRow:
    table = METADATA.tables[table_name]
    values = [_parted(value) if isinstance(value, str) else value for value in row]
    return ModelRow(table, _columns(table)[1:], values)


def _parted(text: str) -> Text | str:
    parts = _VARIED.split(text)
    return Text(parts) if len(parts) > 1 else text


def _columns(table: Table) -> list[str]:
    """Return the names of a table's columns; the first one is the operator's."""
    return [column.name for column in table.columns]


def _rows_of_step(
    made: Sequence[Model], operator_id: int, step: int, rigs: Iterable[int]
) -> dict[Table, list[tuple[Any, ...]]]:
    """Return the rows of one step in the lives of some rigs, the listing after the last one."""
    rows: dict[Table, list[tuple[Any, ...]]] = {table: [] for table in OF_AN_OPERATOR}
    for number in rigs:
        model = made[number % len(made)]
        is_weighed = number % NEVER_WEIGHED_EACH != 0
        if step > WEIGHS:
            chosen = model.listed if is_weighed else model.listed_unweighed
        else:
            chosen = model.steps[step] if is_weighed or step == 0 else []
        names, chance = _names(model, operator_id, number), random.Random(number)
        for row in chosen:
            rows[row.table].append(row.of(operator_id, names, chance))
    return rows


def _names(model: Model, operator_id: int, number: int) -> dict[str, str]:
    """Return what a rig has in place of its model's names: the same ones in every step."""
    chance = random.Random(number)
    names = dict(model.varied)
    for place, part in enumerate(model.ids):
        names[part] = _id(place, number, operator_id)
    first_day = _FIRST_DAY + timedelta(days=chance.randrange(_DAYS_OF_A_STEP))
    for weigh, part in enumerate(_WEIGHED_ON):
        names[part] = (first_day + timedelta(days=weigh * _DAYS_OF_A_STEP)).isoformat()
        names[_ticket(weigh)] = f"{number}-{weigh}"
    for place in range(2):
        names[_asset_number(place)] = f"{number * 7919 % 1_000_003:07d}-{place}"
    names[_LABELS[0]] = f"depot-{chance.randrange(DEPOTS)}"
    names[_LABELS[1]] = f"class-{chance.randrange(CLASSES)}"
    return names


def _ticket(weigh: int) -> str:
    return f"ticket-{weigh}"


def _asset_number(place: int) -> str:
    return f"asset-number-{place}"


def _id(place: int, number: int, operator_id: int) -> str:
    """Return a UUID of version 7 that sorts first by its place in a rig's life, then by the rig."""
    made_ms = 1_704_067_200_000 + place * 864_000_000 + number
    time, tail = f"{made_ms:012x}", f"{operator_id:03x}{number:06x}{place:06x}"
    return f"{time[:8]}-{time[8:]}-7{tail[:3]}-8{tail[3:6]}-{tail[3:]}"


def _figure(column: str, value: Any, chance: random.Random) -> Any:
    """Return another figure in place of one that is known; what else stands in a column stays."""
    match column, value:
        case "standing", int() if value != _NEVER_WEIGHED:
            return STANDINGS.index(_standing(chance))
        case "standing" | "word", str() if value in STANDINGS:
            return _standing(chance)
        case "side_difference_share" | "value", float() if value > 0:
            return value * chance.uniform(0.2, 1.2)
        case _:
            return value


def _standing(chance: random.Random) -> str:
    return str(chance.choices(STANDINGS, _STANDING_WEIGHTS)[0])


def _taken_away(connection: Connection) -> list[str]:
    """Take away what makes filling slow or refuses it; return the statements that bring it back."""
    if connection.dialect.name == "sqlite":
        named = "SELECT name, sql FROM sqlite_master WHERE type = 'index' AND sql IS NOT NULL ORDER BY rowid"
        again = []
    else:
        named = (
            "SELECT indexname, indexdef FROM pg_indexes WHERE schemaname = current_schema() "
            "AND indexname NOT IN (SELECT conname FROM pg_constraint)"
        )
        again = [f"ALTER TABLE {table.name} FORCE ROW LEVEL SECURITY" for table in OF_AN_OPERATOR]
        for table in OF_AN_OPERATOR:
            connection.exec_driver_sql(f"ALTER TABLE {table.name} NO FORCE ROW LEVEL SECURITY")
    for name, statement in connection.exec_driver_sql(named).all():
        connection.exec_driver_sql(f"DROP INDEX {name}")
        again.append(statement)
    return again


def _write(url: str, rows: Mapping[Table, Sequence[tuple[Any, ...]]]) -> None:
    """Write rows, parents first."""
    write = _write_sqlite if url.startswith("sqlite") else _write_postgresql
    write(url, {table: of_table for table, of_table in rows.items() if of_table})


def _write_sqlite(url: str, rows: Mapping[Table, Sequence[tuple[Any, ...]]]) -> None:
    connection = sqlite3.connect(str(make_url(url).database))
    connection.execute("PRAGMA synchronous=OFF")
    connection.execute("PRAGMA cache_size=-400000")
    for table, of_table in rows.items():
        columns = _columns(table)
        marks = ", ".join("?" * len(columns))
        connection.executemany(f"INSERT INTO {table.name} ({', '.join(columns)}) VALUES ({marks})", of_table)
    connection.commit()
    connection.close()


def _write_postgresql(url: str, rows: Mapping[Table, Sequence[tuple[Any, ...]]]) -> None:
    with psycopg.connect(url) as connection:
        for table, of_table in rows.items():
            into = f"COPY {table.name} ({', '.join(_columns(table))}) FROM STDIN"
            with connection.cursor() as cursor, cursor.copy(into) as copy:
                for row in of_table:
                    copy.write_row(row)


def _settle(url: str) -> None:
    """Leave the database as it would be after some days of service."""
    if url.startswith("sqlite"):
        connection = sqlite3.connect(str(make_url(url).database))
        connection.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        connection.close()
        return
    with psycopg.connect(url, autocommit=True) as connection:
        connection.execute("VACUUM ANALYZE")
