"""What a database says when it cannot go on, as one sentence for the person who can do something about it."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError
from sqlalchemy.exc import TimeoutError as PoolTimeout

from coldsoak.errors import StoreError

WAIT_S = 10.0
"""How long an entry waits for another program that holds the store."""

_HELD = (
    "{where} is held by another program for more than {wait:.0f} s: close the program that copies or repairs it, "
    "then try again; nothing was lost and nothing was half written."
)
_FULL = (
    "the disk of {where} is full: free some space, then enter it again; what was noted before is safe and this "
    "last entry was not noted."
)
_READ_ONLY = "{where} may not be written with your permissions: ask its owner, or name a folder of your own with --data."
_DAMAGED = (
    "{where} is damaged ({detail}): stop using it, copy it away and bring back the last backup with "
    "`coldsoak restore`."
)
_NO_ANSWER = "{where} does not answer ({detail}): check that the database server runs and that name and passphrase are right."
_DISK = "{where} could not be read or written ({detail}): check the disk and its cable, then try again."
_OTHER = "{where} refused ({detail})."

_SQLITE = (  # by the primary result code and, where it matters, the extended name
    ("SQLITE_BUSY", _HELD),
    ("SQLITE_LOCKED", _HELD),
    ("SQLITE_FULL", _FULL),
    ("SQLITE_READONLY", _READ_ONLY),
    ("SQLITE_PERM", _READ_ONLY),
    ("SQLITE_AUTH", _READ_ONLY),
    ("SQLITE_CANTOPEN", _READ_ONLY),
    ("SQLITE_CORRUPT", _DAMAGED),
    ("SQLITE_NOTADB", _DAMAGED),
    ("SQLITE_IOERR", _DISK),
)
_POSTGRESQL = (  # by the beginning of the SQLSTATE (PostgreSQL documentation, appendix A)
    ("55P03", _HELD),
    ("57014", _HELD),
    ("40P01", _HELD),
    ("53100", _FULL),
    ("42501", _READ_ONLY),
    ("25006", _READ_ONLY),
    ("XX001", _DAMAGED),
    ("XX002", _DAMAGED),
    ("08", _NO_ANSWER),
    ("28", _NO_ANSWER),
    ("3D000", _NO_ANSWER),
    ("53300", _NO_ANSWER),
    ("57P", _NO_ANSWER),
    ("58", _DISK),
)


@contextmanager
def said_plainly(where: str) -> Iterator[None]:
    """Turn what the database raises inside into StoreError; `where` is the file or the server, without a passphrase."""
    try:
        yield
    except PoolTimeout:
        raise StoreError(_HELD.format(where=where, wait=WAIT_S)) from None
    except DBAPIError as error:
        raise StoreError(sentence(where, error)) from error
    except sqlite3.Error as error:
        raise StoreError(_sqlite_sentence(where, error)) from error


def sentence(where: str, error: DBAPIError) -> str:
    """Return what to tell the person of a database error."""
    cause = error.orig
    if isinstance(cause, sqlite3.Error):
        return _sqlite_sentence(where, cause)
    detail = _one_line(cause)
    state = getattr(cause, "sqlstate", None) or (
        "08" if error.connection_invalidated or _no_state(cause) else ""
    )
    for beginning, words in _POSTGRESQL:
        if state.startswith(beginning):
            return words.format(where=where, wait=WAIT_S, detail=detail)
    return _OTHER.format(where=where, detail=detail)


def _sqlite_sentence(where: str, error: sqlite3.Error) -> str:
    name = getattr(error, "sqlite_errorname", "")
    for beginning, words in _SQLITE:
        if name.startswith(beginning):
            return words.format(where=where, wait=WAIT_S, detail=_one_line(error))
    return _OTHER.format(where=where, detail=_one_line(error))


def _no_state(cause: BaseException | None) -> bool:
    """Whether a server was never reached: psycopg raises OperationalError without a SQLSTATE."""
    return type(cause).__name__ == "OperationalError" and getattr(cause, "sqlstate", None) is None


def _one_line(error: BaseException | None) -> str:
    return " ".join(str(error).split())[:200].rstrip(".")
