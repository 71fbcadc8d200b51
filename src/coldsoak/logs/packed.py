"""Packed logs: how much they hold is looked at before anything is unpacked (OWASP ASVS 5.0, 5.2.3)."""

from coldsoak.errors import LogError

MOST_VALUES = 100_000_000
"""Eight hours at ten rows a second with a hundred channels are less than a third of it; as numbers it is 0.8 GB."""


def refuse_too_large(file: str, rows: int, columns: int) -> None:
    """Refuse a packed log that would fill the memory, by what it says of itself.

    >>> refuse_too_large("drive.parquet", 50_000_000, 3)
    Traceback (most recent call last):
    coldsoak.errors.LogError: drive.parquet would unpack to 150 million values, more than the 100 million that are read: export a shorter stretch or fewer channels.
    """
    values = rows * columns
    if values > MOST_VALUES:
        raise LogError(
            f"{file} would unpack to {values / 1e6:.0f} million values, more than the {MOST_VALUES / 1e6:.0f} million "
            "that are read: export a shorter stretch or fewer channels."
        )
