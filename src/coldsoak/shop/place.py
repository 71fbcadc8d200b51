"""Where the shop's data lie: a folder on this machine, and in it the database unless a server is named."""

import os
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path

from platformdirs import user_data_path
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError

from coldsoak.errors import InputError, MissingExtraError, StoreError
from coldsoak.shop.disk import make_folders

FILE = "coldsoak.sqlite3"
DRIVER = "postgresql+psycopg"


@dataclass(frozen=True)
class Place:
    """The data folder, made and private to its owner, and the database to connect to.

    `name` is what to call it in sentences, without a passphrase.
    """

    folder: Path
    url: URL
    name: str

    @property
    def file(self) -> Path | None:
        """The database file, where there is one."""
        return Path(str(self.url.database)) if self.url.get_backend_name() == "sqlite" else None

    @property
    def blobs(self) -> Path:
        """The folder of logs, photos and other files."""
        return self.folder / "blobs"


def usual_folder() -> Path:
    """The platform's folder for data of this user's programs."""
    return user_data_path("coldsoak", appauthor=False)


def place(data: Path | None = None, database: str | None = None) -> Place:
    """Find the folder (made when missing) and the database.

    >>> import tempfile
    >>> place(Path(tempfile.mkdtemp()), "mysql://x")
    Traceback (most recent call last):
    coldsoak.errors.InputError: the database 'mysql' is not one that coldsoak can use: leave --database away for a file in the data folder, or name a server as in postgresql+psycopg://user@host/name.
    """
    url = None if database is None else server(database)
    folder = (data or usual_folder()).expanduser().absolute()
    make_private(folder)
    if url is None:
        file = folder / FILE
        return Place(folder, URL.create("sqlite+pysqlite", database=str(file)), str(file))
    return Place(folder, url, url.render_as_string(hide_password=True))


def server(database: str) -> URL:
    """Read the address of a PostgreSQL server, or say why it is none."""
    try:
        url = make_url(database)
    except ArgumentError:
        raise InputError(
            "the database that was named is no address: write it as in postgresql+psycopg://user@host/name."
        ) from None
    if url.drivername not in {DRIVER, "postgresql"}:
        raise InputError(
            f"the database '{url.drivername}' is not one that coldsoak can use: leave --database away for a file in "
            f"the data folder, or name a server as in {DRIVER}://user@host/name."
        )
    if find_spec("psycopg") is None:
        raise MissingExtraError(
            "PostgreSQL needs an extra: install it with `pip install 'coldsoak[postgres]'`."
        )
    return url.set(drivername=DRIVER)


def make_private(folder: Path) -> None:
    """Make a folder that only its owner may look into; one that is there keeps its permissions."""
    try:
        make_folders(folder)
    except FileExistsError:
        raise StoreError(f"{folder} is a file: name a folder with --data.") from None
    except OSError as error:
        raise StoreError(
            f"the data folder {folder} could not be made ({error.strerror}): name a folder of your own with --data."
        ) from None
    if not os.access(folder, os.R_OK | os.W_OK | os.X_OK):
        raise StoreError(
            f"the data folder {folder} may not be written with your permissions: ask its owner, or name a folder of "
            "your own with --data."
        )
