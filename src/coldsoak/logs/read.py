"""One door for every log format."""

import hashlib
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from coldsoak.errors import ColdsoakError, LogError
from coldsoak.logs.assemble import assemble
from coldsoak.logs.candump import looks_like_candump, read_candump
from coldsoak.logs.csv_text import read_csv_text
from coldsoak.logs.cut import cut_log, cut_table
from coldsoak.logs.in_order import in_order
from coldsoak.logs.log import Log
from coldsoak.logs.mapping import Mapping
from coldsoak.logs.mdf import MAGIC as MDF
from coldsoak.logs.mdf import read_mdf
from coldsoak.logs.parquet import MAGIC as PARQUET
from coldsoak.logs.parquet import read_parquet
from coldsoak.logs.raw import RawTable
from coldsoak.logs.settle import settle
from coldsoak.logs.unpack import is_packed, unpacked

_HEAD_BYTES = 4096


def read_log(
    path: str | Path,
    *,
    mapping: Iterable[str | Mapping] = (),
    rate_hz: float | None = None,
    until_s: float | None = None,
) -> Log:
    """Read a log file of any known format.

    `mapping` holds overrides NAME=QUANTITY[UNIT]; `rate_hz` gives the rows per second of a log without a clock.
    With `until_s` the log is read as it was that many seconds after its first row: later rows count for nothing.
    Raises LogError, in one sentence that says what to do, for a file that is no log.
    """
    path = Path(path)
    if not path.exists():
        raise LogError(f"{path} is not there: check the spelling and the folder.")
    if not path.is_file():
        raise LogError(f"{path} is no file: name a log file in it.")
    table = _table(path)
    if isinstance(table, Log):
        table = settle(table, mapping)
        return table if until_s is None else cut_log(table, until_s)
    if rate_hz is None:
        table = in_order(table)
    return assemble(table if until_s is None else cut_table(table, until_s, rate_hz), mapping, rate_hz)


def _table(path: Path) -> RawTable | Log:
    """Choose the reader by what the file holds; its suffix is not trusted."""
    with path.open("rb") as handle:
        head = handle.read(_HEAD_BYTES)
    if is_packed(head):
        return _packed(path)
    if head.startswith(PARQUET):
        return read_parquet(path)
    if head.startswith(MDF):
        return read_mdf(path)
    if looks_like_candump(head.decode("ascii", errors="replace")):
        return read_candump(path)
    return read_csv_text(path)


def _packed(path: Path) -> RawTable | Log:
    """Read the one log in a packed file; it goes by the name and the hash of the file that was handed in."""
    with unpacked(path) as (inner, name):
        try:
            table = _table(inner)
        except ColdsoakError as problem:
            raise type(problem)(str(problem).replace(str(inner), str(path))) from problem
    if isinstance(table, Log):
        return table
    if name:
        table.report.assume(f"The log is {name!r} in the packed file.")
    with path.open("rb") as handle:
        return replace(table, file=str(path), sha256=hashlib.file_digest(handle, "sha256").hexdigest())
