"""Bring a store's tables to the form this program knows, in one transaction, while nobody else can write."""

from pathlib import Path

import sqlalchemy as sa
from alembic.config import Config
from alembic.runtime.environment import EnvironmentContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection

from coldsoak.errors import StoreError
from coldsoak.shop.database import Database

NEWEST = "0002"
KNOWN = ("0001", "0002")
SCRIPTS = Path(__file__).with_name("migrations")


def bring_up(database: Database, target: str = NEWEST) -> bool:
    """Upgrade the tables where needed and say whether they were; refuse a store of a newer program."""
    with database.read() as connection:
        found = found_version(connection, database.place.name)
    if found == target:
        return False
    with database.write() as connection:
        return bring_up_in(connection, database, target)


def bring_up_in(connection: Connection, database: Database, target: str = NEWEST) -> bool:
    """Upgrade the tables in a writing transaction, which holds off every other program that would."""
    database.hold(connection, "tables")
    if found_version(connection, database.place.name) == target:  # another program was quicker
        return False
    _run(connection, target)
    return True


def found_version(connection: Connection, name: str) -> str | None:
    """Return the version of the tables, nothing for an empty store, or refuse what this program cannot use."""
    present = set(sa.inspect(connection).get_table_names())
    if "alembic_version" not in present:
        if present:
            raise StoreError(
                f"{name} holds tables of another program: name another place with --data or --database."
            )
        return None
    version = connection.execute(sa.text("SELECT version_num FROM alembic_version")).scalar()
    if version is not None and version not in KNOWN:
        raise StoreError(
            f"{name} was written by a newer coldsoak (tables {version}, this program knows up to {NEWEST}): install "
            "the newer program; nothing was changed."
        )
    return None if version is None else str(version)


def _run(connection: Connection, target: str) -> None:
    config = Config()
    config.set_main_option("script_location", str(SCRIPTS).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    script = ScriptDirectory.from_config(config)
    with EnvironmentContext(
        config,
        script,
        fn=lambda revision, _context: script._upgrade_revs(target, revision),  # noqa: SLF001 (as alembic.command.upgrade does)
    ) as environment:
        environment.configure(connection=connection)
        environment.run_migrations()
