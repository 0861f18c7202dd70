"""The databases that tests of the store run on, and the service on one that the tests of a file share."""

from collections.abc import Iterator

import pytest

from tests.fleet.databases import (
    Database,
    bare_database,
    cluster,
    database,
    migrated_file,
    migrated_name,
    postgresql_database,
    shared_database,
    sqlite_database,
)
from tests.fleet.yard import Fleet, fleet_on, new_operator, other

__all__ = [
    "bare_database",
    "cluster",
    "database",
    "migrated_file",
    "migrated_name",
    "postgresql_database",
    "shared_database",
    "sqlite_database",
]


@pytest.fixture(scope="module")
def service(shared_database: Database) -> Iterator[Fleet]:
    """The service on the database that the tests of a file share."""
    with fleet_on(shared_database.url) as first:
        yield first


@pytest.fixture
def fleet(service: Fleet, shared_database: Database) -> Fleet:
    """The empty fleet of a new operator of that service."""
    return other(service, shared_database.url, new_operator())
