"""Databases for tests: SQLite files and PostgreSQL databases, migrated once and copied for each test.

The PostgreSQL server is the one that TEST_POSTGRESQL_URL names, by a user who may make roles and databases, else one
of its own. Tests reach it as a user who owns the tables and is no superuser.
"""

import itertools
import os
import secrets
import shutil
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import psycopg
import pytest
from psycopg import sql
from sqlalchemy import make_url

from axlewright.fleet.migrations import migrate
from tests.fleet.postgres_server import NoServerError, PostgresServer

Kind = Literal["sqlite", "postgresql"]

OWNER = "axlewright_tests"
"""The user who owns the databases of tests: as a deployment's would, it may make roles, and is no superuser."""

_NUMBERS = itertools.count()


@dataclass(frozen=True)
class Database:
    """A database for one test."""

    url: str
    kind: Kind


@dataclass(frozen=True)
class Cluster:
    """The server that a session's tests share, as the user who owns their databases."""

    owner_url: str
    own_server: PostgresServer | None = None

    def new_database(self, template: str = "template1") -> str:
        """Return the URL of a new database of the owner's."""
        name = f"axlewright_{os.getpid()}_{secrets.token_hex(3)}_{next(_NUMBERS)}"
        with psycopg.connect(self._url_of("postgres"), autocommit=True) as connection:
            make = sql.SQL("CREATE DATABASE {} TEMPLATE {} STRATEGY FILE_COPY")
            connection.execute(make.format(sql.Identifier(name), sql.Identifier(template)))
        return self._url_of(name)

    def drop(self, url: str) -> None:
        name = make_url(url).database
        assert name is not None
        with psycopg.connect(self._url_of("postgres"), autocommit=True) as connection:
            connection.execute(sql.SQL("DROP DATABASE {} WITH (FORCE)").format(sql.Identifier(name)))

    def close(self) -> None:
        if self.own_server is not None:
            self.own_server.remove()

    def _url_of(self, database: str) -> str:
        return make_url(self.owner_url).set(database=database).render_as_string(hide_password=False)


def started_cluster() -> Cluster:
    """Return the server that is told, or one started here."""
    given = os.environ.get("TEST_POSTGRESQL_URL")
    if given:
        make_owner(given)
        return Cluster(make_url(given).set(username=OWNER, password=OWNER).render_as_string(hide_password=False))
    server = PostgresServer()
    server.start()
    make_owner(server.url)
    return Cluster(server.url_of(OWNER, "postgres"), server)


def make_owner(url: str) -> None:
    """See that the server has the user who owns the databases of tests."""
    owner = sql.Identifier(OWNER)
    make = sql.SQL("CREATE ROLE {} LOGIN CREATEROLE CREATEDB PASSWORD {}").format(owner, sql.Literal(OWNER))
    already_there = (psycopg.errors.DuplicateObject, psycopg.errors.UniqueViolation)
    with psycopg.connect(url, autocommit=True) as connection, suppress(already_there):
        connection.execute(make)


@pytest.fixture(scope="session")
def cluster() -> Iterator[Cluster]:
    """The PostgreSQL server; without one the test is skipped, but fails where CI is set."""
    try:
        shared = started_cluster()
    except NoServerError as reason:
        if os.environ.get("CI"):
            raise
        pytest.skip(f"no PostgreSQL: {reason}")
    yield shared
    shared.close()


@pytest.fixture(scope="session")
def migrated_name(cluster: Cluster) -> Iterator[str]:
    """The name of a migrated PostgreSQL database, which tests get copies of."""
    url = cluster.new_database()
    migrate(url)
    name = make_url(url).database
    assert name is not None
    yield name
    cluster.drop(url)


@pytest.fixture(scope="session")
def migrated_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A migrated SQLite file, which tests get copies of."""
    file = tmp_path_factory.mktemp("migrated") / "store.sqlite3"
    migrate(f"sqlite:///{file}")
    return file


@pytest.fixture
def sqlite_database(migrated_file: Path, tmp_path: Path) -> Database:
    """A migrated, empty SQLite file."""
    file = tmp_path / "store.sqlite3"
    shutil.copyfile(migrated_file, file)
    return Database(f"sqlite:///{file}", "sqlite")


@pytest.fixture
def postgresql_database(cluster: Cluster, migrated_name: str) -> Iterator[Database]:
    """A migrated, empty PostgreSQL database."""
    url = cluster.new_database(migrated_name)
    yield Database(url, "postgresql")
    cluster.drop(url)


@pytest.fixture(params=["sqlite", "postgresql"])
def database(request: pytest.FixtureRequest) -> Database:
    """A migrated, empty database of each kind."""
    chosen: Database = request.getfixturevalue(f"{request.param}_database")
    return chosen


@pytest.fixture(scope="module", params=["sqlite", pytest.param("postgresql", marks=pytest.mark.long)])
def shared_database(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Database]:
    """A migrated database for all tests of a file, each of which has an operator of its own in it.

    What the service answers is tried on PostgreSQL with the long evidence; what differs there, in the plain run too.
    """
    if request.param == "sqlite":
        file = tmp_path_factory.mktemp("shared") / "store.sqlite3"
        shutil.copyfile(request.getfixturevalue("migrated_file"), file)
        yield Database(f"sqlite:///{file}", "sqlite")
    else:
        cluster: Cluster = request.getfixturevalue("cluster")
        url = cluster.new_database(request.getfixturevalue("migrated_name"))
        yield Database(url, "postgresql")
        cluster.drop(url)


@pytest.fixture(params=["sqlite", "postgresql"])
def bare_database(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Database]:
    """A database of each kind without any table."""
    if request.param == "sqlite":
        yield Database(f"sqlite:///{tmp_path / 'bare.sqlite3'}", "sqlite")
    else:
        cluster: Cluster = request.getfixturevalue("cluster")
        url = cluster.new_database()
        yield Database(url, "postgresql")
        cluster.drop(url)
