"""Stores to try things on: every test that asks for `place` runs on SQLite and on PostgreSQL."""

import os
import shutil
import subprocess
import tempfile
import uuid
from collections.abc import Callable, Iterator
from pathlib import Path

import psycopg
import pytest
from tests.debian import program
from tests.shop.entries import Clock, Place

from coldsoak.shop import Shop


def _programs() -> Path | None:
    found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return found[-1].parent if found else None


@pytest.fixture(scope="session")
def postgresql_server() -> Iterator[str]:
    """A PostgreSQL cluster of our own, reached by a socket in a folder that goes away with it."""
    programs = program("postgresql", _programs)
    folder = Path(tempfile.mkdtemp(prefix="cs-pg-"))
    owner = None
    if os.geteuid() == 0:  # PostgreSQL refuses to run as root
        owner = "postgres"
        shutil.chown(folder, owner, owner)
    cluster = folder / "data"

    def run(*command: str | Path) -> None:
        done = subprocess.run(
            command,
            user=owner,
            group=owner,
            extra_groups=None if owner is None else [],
            cwd=folder,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
            timeout=120,
        )
        assert done.returncode == 0, done.stderr

    try:
        run(
            programs / "initdb",
            "-D",
            cluster,
            "-U",
            "postgres",
            "-A",
            "trust",
            "-E",
            "UTF8",
            "--locale=C.UTF-8",
        )
        settings = (
            f"-c listen_addresses='' -c unix_socket_directories={folder} -c fsync=off -c max_connections=200"
        )
        run(
            programs / "pg_ctl",
            "-D",
            cluster,
            "-w",
            "-t",
            "60",
            "-l",
            folder / "log",
            "-o",
            settings,
            "start",
        )
        try:
            yield str(folder)
        finally:
            run(programs / "pg_ctl", "-D", cluster, "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(params=["sqlite", "postgresql"])
def kind(request: pytest.FixtureRequest) -> str:
    return str(request.param)


def run_sql(folder: str, *statements: str) -> None:
    with psycopg.connect(host=folder, user="postgres", autocommit=True) as server:
        for statement in statements:
            server.execute(statement)  # type: ignore[arg-type]


@pytest.fixture(scope="session")
def template(postgresql_server: str, tmp_path_factory: pytest.TempPathFactory) -> str:
    """A database with our tables, to be copied for each test: quicker than making them each time."""
    run_sql(postgresql_server, "CREATE DATABASE made_once")
    where = tmp_path_factory.mktemp("template")
    Place(where, f"postgresql+psycopg://postgres@/made_once?host={postgresql_server}").open().close()
    return "made_once"


@pytest.fixture
def make_place(kind: str, request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Callable[..., Place]]:
    """Makes places of the kind under test: ready, or empty when asked."""
    made: list[str] = []
    count = iter(range(100))

    def make(*, empty: bool = False) -> Place:
        data = tmp_path / f"shop{next(count)}"
        if kind == "sqlite":
            return Place(data, None)
        folder = request.getfixturevalue("postgresql_server")
        source = "template0" if empty else request.getfixturevalue("template")
        name = f"shop_{uuid.uuid4().hex[:12]}"
        run_sql(folder, f"CREATE DATABASE {name} TEMPLATE {source}")
        made.append(name)
        return Place(data, f"postgresql+psycopg://postgres@/{name}?host={folder}")

    yield make
    if made:
        folder = request.getfixturevalue("postgresql_server")
        run_sql(folder, *(f"DROP DATABASE {name} WITH (FORCE)" for name in made))


@pytest.fixture
def place(make_place: Callable[..., Place]) -> Place:
    return make_place()


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def shop(place: Place, clock: Clock) -> Iterator[Shop]:
    with place.open(clock) as opened:
        yield opened
