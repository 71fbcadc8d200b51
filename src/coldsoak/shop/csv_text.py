"""Tables for a spreadsheet: RFC 4180, and nothing that a spreadsheet would take for a formula (OWASP ASVS 5.0, 1.2.10)."""

import csv
import io
from collections.abc import Iterable, Sequence

_STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\0", "＝", "＋", "－", "＠")


def csv_text(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    r"""Return a table with one header line; lines end as RFC 4180 wants them.

    >>> csv_text(["by", "torque"], [["=1+1", -2.5], ["a, b", None]]).split("\r\n")
    ['by,torque', "'=1+1,-2.5", '"a, b",', '']
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_cell(one) for one in columns])
    writer.writerows([_cell(one) for one in row] for row in rows)
    return out.getvalue()


def _cell(value: object) -> object:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return value
    text = str(value)
    return f"'{text}" if text.startswith(_STARTS) else text
