"""Which files the shop takes, how large they may be, and how their first bytes tell what they are."""

from dataclasses import dataclass

from coldsoak.errors import InputError

MB = 1_000_000


@dataclass(frozen=True)
class FileKind:
    """What one kind of file may be: its largest size and its media types by their first bytes; none means any."""

    name: str
    largest_bytes: int
    types: tuple[tuple[str, bytes, int], ...] = ()
    other_type: str | None = None

    def media_type(self, head: bytes) -> str:
        """Tell the media type from the first bytes, or refuse the file; its name is not trusted."""
        for media_type, mark, offset in self.types:
            if head[offset : offset + len(mark)] == mark:
                return media_type
        if self.other_type is not None:
            return self.other_type
        known = ", ".join(sorted({media_type.split("/")[1].upper() for media_type, _, _ in self.types}))
        raise InputError(f"this file is no {self.name} that can be kept: use one of {known}.")


KINDS = {
    kind.name: kind
    for kind in (
        FileKind("log", 300 * MB, (("application/zip", b"PK\x03\x04", 0),), "application/octet-stream"),
        FileKind(
            "photo",
            25 * MB,
            (
                ("image/jpeg", b"\xff\xd8\xff", 0),
                ("image/png", b"\x89PNG\r\n\x1a\n", 0),
                ("image/webp", b"WEBP", 8),
            ),
        ),
        FileKind("document", 25 * MB, (("application/pdf", b"%PDF-", 0),)),
    )
}


def kind_of(name: str) -> FileKind:
    """Return what is known of a kind of file.

    >>> kind_of("photo").media_type(b"\\xff\\xd8\\xff\\xe0")
    'image/jpeg'
    """
    if name not in KINDS:
        raise InputError(f"there is no kind of file '{name}': there are {', '.join(KINDS)}.")
    return KINDS[name]
