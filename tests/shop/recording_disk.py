"""A disk that remembers what was written to it and what was forced, for one process.

SQLite reaches files through a table of functions (its VFS). Here a copy of the usual table is made the default one, with
the functions that change something replaced by ones that note what they are asked and then do it. Nothing of SQLite is
changed; Python's own sqlite3 module goes through it like any other user.

Layout of the two tables: the SQLite documentation, "The OS Backend (VFS)" (sqlite3_vfs version 3, sqlite3_io_methods
version 3).
"""

import _sqlite3
import ctypes
from typing import Any, NamedTuple

WRITE, TRUNCATE, SYNC = 3, 4, 5  # places in sqlite3_io_methods, in pointers
METHODS = 19
SET_CALL, GET_CALL = 11, 12  # places in sqlite3_vfs, in pointers after xDelete

_open_type = ctypes.CFUNCTYPE(
    ctypes.c_int, ctypes.c_void_p, ctypes.c_void_p, ctypes.c_void_p, ctypes.c_int, ctypes.c_void_p
)
_write_type = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_void_p, ctypes.c_int, ctypes.c_int64)
_truncate_type = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int64)
_sync_type = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_int)


_delete_type = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_void_p, ctypes.c_int)


_folder_type = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_void_p)
_get_call_type = ctypes.CFUNCTYPE(ctypes.c_void_p, ctypes.c_void_p, ctypes.c_char_p)
_set_call_type = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.c_void_p, ctypes.c_char_p, ctypes.c_void_p)


class Vfs(ctypes.Structure):
    """sqlite3_vfs, version 3."""

    _fields_ = [
        ("version", ctypes.c_int),
        ("file_size", ctypes.c_int),
        ("longest_name", ctypes.c_int),
        ("next", ctypes.c_void_p),
        ("name", ctypes.c_char_p),
        ("data", ctypes.c_void_p),
        ("open", ctypes.c_void_p),
        ("delete", ctypes.c_void_p),
        ("rest", ctypes.c_void_p * 14),
    ]


class Step(NamedTuple):
    """Something that was asked of the disk, or (`said`) something that the program told its user."""

    what: str  # write, truncate, sync, folder, delete, said
    file: str = ""
    offset: int = 0
    data: bytes = b""
    line: tuple[Any, ...] = ()


class Disk:
    """Notes every step of every file that SQLite opens from now on."""

    def __init__(self) -> None:
        library = ctypes.CDLL(_sqlite3.__file__)  # finds the functions in the SQLite that Python uses
        library.sqlite3_vfs_find.restype = ctypes.c_void_p
        usual = library.sqlite3_vfs_find(None)
        self.steps: list[Step] = []
        self._kept: list[Any] = []  # what SQLite points to must not go away
        self._tables: dict[int, Any] = {}
        self._names: dict[int, str] = {}
        self._usual = usual
        self._vfs = Vfs.from_buffer_copy((ctypes.c_char * ctypes.sizeof(Vfs)).from_address(usual))
        self._usual_open = _open_type(self._vfs.open)
        opened = _open_type(self._open)
        self._usual_delete = _delete_type(self._vfs.delete)
        deleted = _delete_type(self._delete)
        self._kept.extend([opened, deleted])
        self._vfs.open = ctypes.cast(opened, ctypes.c_void_p)
        self._vfs.delete = ctypes.cast(deleted, ctypes.c_void_p)
        self._vfs.name = b"recording"
        self._watch_folders()
        assert library.sqlite3_vfs_register(ctypes.byref(self._vfs), 1) == 0

    def say(self, *line: Any) -> None:
        """Note what the user was told at this point."""
        self.steps.append(Step("said", line=line))

    def _open(self, _vfs: int, name: int | None, file: int, flags: int, out: int) -> int:
        code = int(self._usual_open(self._usual, name, file, flags, out))
        where = ctypes.c_void_p.from_address(file)
        if code == 0 and name and where.value:
            self._names[file] = ctypes.string_at(name).decode()
            where.value = self._table_for(where.value)
        return code

    def _delete(self, _vfs: int, name: int, force: int) -> int:
        code = int(self._usual_delete(self._usual, name, force))
        if code == 0:
            self.steps.append(Step("delete", ctypes.string_at(name).decode(), force))
        return code

    def _watch_folders(self) -> None:
        """Note when SQLite opens a folder, which it does only to force it."""
        usual = _folder_type(_get_call_type(self._vfs.rest[GET_CALL])(self._usual, b"openDirectory"))

        def opens(name: int, out: int) -> int:
            code = int(usual(name, out))
            self.steps.append(Step("folder", ctypes.string_at(name).decode()))
            return code

        call = _folder_type(opens)
        self._kept.append(call)
        address = ctypes.cast(call, ctypes.c_void_p)
        assert _set_call_type(self._vfs.rest[SET_CALL])(self._usual, b"openDirectory", address) == 0

    def _table_for(self, usual: int) -> int:
        if usual not in self._tables:
            table = (ctypes.c_void_p * METHODS).from_buffer_copy(
                (ctypes.c_void_p * METHODS).from_address(usual)
            )
            calls = (
                self._write(_write_type(table[WRITE])),
                self._truncate(_truncate_type(table[TRUNCATE])),
                self._sync(_sync_type(table[SYNC])),
            )
            for place, call in zip((WRITE, TRUNCATE, SYNC), calls, strict=True):
                table[place] = ctypes.cast(call, ctypes.c_void_p).value
            self._kept.extend(calls)
            self._tables[usual] = table
        return ctypes.addressof(self._tables[usual])

    def _write(self, usual: Any) -> Any:
        def write(file: int, data: int, size: int, offset: int) -> int:
            self.steps.append(Step("write", self._names[file], offset, ctypes.string_at(data, size)))
            return int(usual(file, data, size, offset))

        return _write_type(write)

    def _truncate(self, usual: Any) -> Any:
        def truncate(file: int, size: int) -> int:
            self.steps.append(Step("truncate", self._names[file], size))
            return int(usual(file, size))

        return _truncate_type(truncate)

    def _sync(self, usual: Any) -> Any:
        def sync(file: int, flags: int) -> int:
            # Noted as of now: what another thread writes while the disk works need not be covered.
            at = len(self.steps)
            code = int(usual(file, flags))
            self.steps.append(Step("sync", self._names[file], at))
            return code

        return _sync_type(sync)
