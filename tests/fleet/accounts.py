"""Whether what is in the store is what was asked for: all that was answered, each thing once, nothing half-written."""

from collections import Counter
from collections.abc import Sequence

from sqlalchemy import Connection, func, select

from axlewright.fleet.tables import (
    ASSESSMENTS,
    CHANGES,
    IDEMPOTENT_ANSWERS,
    ODOMETER_READINGS,
    OPERATORS,
    RIG_LISTING,
    RIGS,
    SESSIONS,
    TIMELINE,
    VEHICLES,
)
from tests.fleet.populated import as_owner
from tests.fleet.servers import Caller
from tests.fleet.writers import Writer
from tests.fleet.yard import FLEET

_WHEEL_ENDS = 4


def require_all(writers: Sequence[Writer], caller: Caller, url: str) -> None:
    """Fail unless all that was asked for is there once, as it was answered, and whole."""
    for writer in writers:
        writer.finish(caller)
    answered = {path: body for writer in writers for path, body in writer.answered.items()}
    asked_for = sum((writer.asked_for for writer in writers), Counter[str]())
    assert len(answered) == asked_for.total()
    for kind, count in asked_for.items():
        there = [f"{FLEET}/{kind}/{item['id']}" for item in caller.items(f"{FLEET}/{kind}")]
        assert sorted(there) == sorted(path for path in answered if path.startswith(f"{FLEET}/{kind}/"))
        assert len(there) == count
    require_whole(url, asked_for.total())


def require_whole(url: str, made: int) -> None:
    """Fail unless each thing has all that is written with it, and nothing is there without its thing."""
    with as_owner(url) as connection:
        operator_id = connection.scalars(select(OPERATORS.c.id)).one()
    with as_owner(url, operator_id) as connection:
        assert connection.scalar(select(func.count()).select_from(IDEMPOTENT_ANSWERS)) == made
        sessions = dict(connection.execute(select(SESSIONS.c.id, SESSIONS.c.rig_id)).all())
        assessments = dict(connection.execute(select(ASSESSMENTS.c.id, ASSESSMENTS.c.session_id)).all())
        assert sorted(assessments.values()) == sorted(sessions), "one assessment of each weigh"
        readings = set(connection.scalars(select(ODOMETER_READINGS.c.id)))
        expected = Counter({(id_, "load"): _WHEEL_ENDS for id_ in sessions})
        expected += Counter({(id_, "weigh"): 2 for id_ in sessions})  # of the rig and its vehicle
        expected += Counter({(id_, "assessment"): 1 for id_ in assessments})
        expected += Counter({(id_, "odometer"): 1 for id_ in readings})
        entries = connection.execute(select(TIMELINE.c.entry_id, TIMELINE.c.kind))
        assert Counter(entries) == expected
        require_trail(connection, [*sessions, *assessments, *readings])
        require_listed(connection)


def require_trail(connection: Connection, recorded: Sequence[str]) -> None:
    """Fail unless the audit trail tells of each revision of each thing, and of nothing else."""
    c = CHANGES.c
    rows = connection.execute(select(c.resource_id, c.revision, c.document)).all()
    trail = {(id_, revision): text for id_, revision, text in rows}
    assert len(trail) == len(rows)
    expected = {(id_, 1) for id_ in recorded}
    for table in (VEHICLES, RIGS):
        for id_, last, text in connection.execute(select(table.c.id, table.c.revision, table.c.document)):
            assert trail[id_, last] == text
            expected |= {(id_, revision) for revision in range(1, last + 1)}
    assert set(trail) == expected


def require_listed(connection: Connection) -> None:
    """Fail unless each rig is listed by its last weigh."""
    c = RIG_LISTING.c
    listed = dict(connection.execute(select(c.rig_id, c.weighed_on).where(c.label == "", c.axle == "")).all())
    last = select(SESSIONS.c.rig_id, func.max(SESSIONS.c.day)).group_by(SESSIONS.c.rig_id)
    weighed = dict(connection.execute(last).all())
    assert listed == {id_: weighed.get(id_, "") for id_ in connection.scalars(select(RIGS.c.id))}
