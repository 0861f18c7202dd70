"""The databases of the fleet's tests, and the service on one that the tests of a file share."""

from tests.fleet.conftest import fleet, service
from tests.fleet.databases import (
    cluster,
    database,
    migrated_file,
    migrated_name,
    postgresql_database,
    shared_database,
    sqlite_database,
)

__all__ = [
    "cluster",
    "database",
    "fleet",
    "migrated_file",
    "migrated_name",
    "postgresql_database",
    "service",
    "shared_database",
    "sqlite_database",
]
