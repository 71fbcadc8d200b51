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


def key_of(name: str) -> str:
    """Return what two spellings of one person's name have in common.

    >>> key_of("  Ada  BRENNER ") == key_of("ada brenner")
    True
    """
    return " ".join(unicodedata.normalize("NFKC", name).casefold().split())
