"""What is in a backup: one zip file with the database, the files, and a list of their hashes."""

import hashlib
import re
import zipfile
import zlib
from pathlib import Path
from typing import Literal

from pydantic import Field, ValidationError

from coldsoak._version import __version__
from coldsoak.errors import InputError
from coldsoak.record.kinds import Sha256
from coldsoak.value import Value

MANIFEST = "manifest.json"
STORE = "store.sqlite3"
LARGEST_MANIFEST_BYTES = 200_000_000
_CHUNK = 1 << 20
# What zipfile raises of files that were damaged or made to mislead; a full disk is another matter.
_UNREADABLE = (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, ValueError)
_BLOB = re.compile(r"blobs/([0-9a-f]{2})/(\1[0-9a-f]{62})", re.ASCII)


class Member(Value):
    """One file of a backup."""

    name: str
    size_bytes: int = Field(ge=0)
    sha256: Sha256


class Manifest(Value):
    """What a backup must hold, and what it was made of."""

    schema_: Literal["coldsoak.backup/1"] = Field(default="coldsoak.backup/1", alias="schema")
    version: str = __version__
    made_at: str
    tables: str
    jobs: int
    events: int
    members: tuple[Member, ...]
    missing: tuple[str, ...] = Field(default=(), description="files that were missing when it was made")


def blob_member(sha256: str) -> str:
    """Return the name of a kept file in a backup."""
    return f"blobs/{sha256[:2]}/{sha256}"


def read_manifest(archive: zipfile.ZipFile, file: str) -> Manifest:
    """Read the list of a backup and hold the names and sizes in the archive against it, before anything is unpacked."""
    sizes: dict[str, int] = {}
    for info in archive.infolist():
        if info.filename in sizes or not _is_ours(info):
            raise InputError(
                f"{file} holds {info.filename[:80]!r}, which is no part of a backup or stands there twice: nothing was "
                "unpacked; use a backup as `coldsoak backup` wrote it."
            )
        sizes[info.filename] = info.file_size
    if MANIFEST not in sizes or sizes[MANIFEST] > LARGEST_MANIFEST_BYTES:
        raise InputError(
            f"{file} is a zip file and no backup of a shop: name the file that `coldsoak backup` wrote."
        )
    try:
        manifest = Manifest.model_validate_json(archive.read(MANIFEST))
    except (ValidationError, *_UNREADABLE):
        raise InputError(
            f"{file} has no list of its contents that this program can read: it is damaged, or from a newer coldsoak; "
            "use another backup or the newer program."
        ) from None
    listed = {member.name: member.size_bytes for member in manifest.members}
    del sizes[MANIFEST]
    if listed != sizes or STORE not in listed or len(listed) != len(manifest.members):
        raise InputError(
            f"{file} does not hold what its own list says: it was changed or damaged; use another backup."
        )
    return manifest


def unpack(archive: zipfile.ZipFile, member: Member, folder: Path) -> str | None:
    """Unpack one listed file below a folder, held against its size and hash; return what is wrong with it, if anything."""
    target = folder / member.name
    target.parent.mkdir(parents=True, exist_ok=True)
    digest, size = hashlib.sha256(), 0
    try:
        with archive.open(member.name) as packed, target.open("xb") as out:
            while chunk := packed.read(_CHUNK):
                size += len(chunk)
                if size > member.size_bytes:
                    return f"{member.name} is larger than the list says."
                digest.update(chunk)
                out.write(chunk)
    except _UNREADABLE:
        return f"{member.name} cannot be unpacked."
    if size != member.size_bytes or digest.hexdigest() != member.sha256:
        return f"{member.name} is not what was packed."
    return None


def _is_ours(info: zipfile.ZipInfo) -> bool:
    """Whether a name can be in a backup: two fixed ones, and hashes; no path leads anywhere else."""
    plain = info.flag_bits & 0x1 == 0 and not info.is_dir()
    return plain and (info.filename in {MANIFEST, STORE} or _BLOB.fullmatch(info.filename) is not None)
