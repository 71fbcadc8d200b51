"""The shop's own settings: its name, address, currency and the like, each a text by name."""

import sqlalchemy as sa
from sqlalchemy import Connection

from coldsoak.errors import InputError
from coldsoak.shop.audit import Audit
from coldsoak.shop.database import Database
from coldsoak.shop.names import is_text
from coldsoak.shop.tables import setting

LONGEST = 4000
SUMMARY_VERSION = "summary_version"
_OURS = {SUMMARY_VERSION}


class Settings:
    """Texts by name."""

    def __init__(self, database: Database, audit: Audit) -> None:
        self._database = database
        self._audit = audit

    def get(self, name: str, otherwise: str = "") -> str:
        """Return one setting."""
        with self._database.read() as connection:
            found = read_setting(connection, name)
        return otherwise if found is None else found

    def everything(self) -> dict[str, str]:
        """Return every setting that people make."""
        with self._database.read() as connection:
            rows = connection.execute(sa.select(setting).order_by(setting.c.name)).all()
        return {row.name: row.value for row in rows if row.name not in _OURS}

    def put(self, name: str, value: str, *, by: str) -> None:
        """Make one setting."""
        if (
            name in _OURS
            or not name.replace("_", "").isalnum()
            or len(name) > 64
            or len(value) > LONGEST
            or not is_text(value)
        ):
            raise InputError(
                f"'{name[:64]}' cannot be set to this: use a short name and up to {LONGEST} characters."
            )
        with self._database.write() as connection:
            write_setting(connection, name, value)
            self._audit.note_in(connection, by, "setting", f"{name} is now {value}")


def read_setting(connection: Connection, name: str) -> str | None:
    """Return one setting, in a transaction."""
    found = connection.execute(sa.select(setting.c.value).where(setting.c.name == name)).scalar()
    return None if found is None else str(found)


def write_setting(connection: Connection, name: str, value: str) -> None:
    """Make one setting, in a transaction."""
    done = connection.execute(setting.update().where(setting.c.name == name).values(value=value))
    if done.rowcount == 0:
        connection.execute(setting.insert().values(name=name, value=value))
