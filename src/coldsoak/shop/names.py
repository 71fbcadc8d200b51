"""Names that people typed, made safe for a disk, a header and a list."""

import unicodedata

LONGEST = 100
_FORBIDDEN = set('<>:"/\\|?*%')


def safe_file_name(name: str, otherwise: str = "file") -> str:
    r"""Keep the last part of a file name and nothing that a disk, a shell or a header could take for something else.

    >>> safe_file_name("../../etc/passwd"), safe_file_name("C:\\logs\\cold start.csv"), safe_file_name("..")
    ('passwd', 'cold start.csv', 'file')
    """
    last = unicodedata.normalize("NFC", name).replace("\\", "/").rsplit("/", 1)[-1]
    kept = "".join(c for c in last if c not in _FORBIDDEN and unicodedata.category(c)[0] != "C")
    kept = " ".join(kept.split()).strip(". ")
    if len(kept) > LONGEST:
        stem, dot, suffix = kept.rpartition(".")
        kept = (
            stem[: LONGEST - len(suffix) - 1] + dot + suffix if dot and len(suffix) <= 10 else kept[:LONGEST]
        )
    return kept or otherwise


LARGEST_NUMBER = 2**31 - 1
"""The largest number that both databases give to a job, a person or an entry."""


def is_number(number: int) -> bool:
    """Whether a job, a person or an entry can have this number at all.

    >>> is_number(7), is_number(0), is_number(2**70)
    (True, False, False)
    """
    return 1 <= number <= LARGEST_NUMBER


def is_text(text: str) -> bool:
    r"""Whether a text can be kept by both databases: no NUL, and no half of a pair of UTF-16.

    >>> is_text("a\nb"), is_text("\0"), is_text("\ud800")
    (True, False, False)
    """
    return "\0" not in text and not any("\ud800" <= c <= "\udfff" for c in text)


def key_of(name: str) -> str:
    """Return what two spellings of one person's name have in common.

    >>> key_of("  Ada  BRENNER ") == key_of("ada brenner")
    True
    """
    plain = unicodedata.normalize("NFKC", name).casefold()
    return " ".join("".join(c if c.isprintable() else " " for c in plain).split())
