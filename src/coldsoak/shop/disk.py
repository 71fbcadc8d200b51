"""What makes names on the disk last: a file is not kept before the folder that names it is."""

from pathlib import Path

from coldsoak.whole_file import sync_folder

PRIVATE = 0o700


def make_folders(folder: Path) -> None:
    """Make a folder and those above it that are missing, only for their owner, and force their names to the disk."""
    missing = []
    while not folder.exists():
        missing.append(folder)
        folder = folder.parent
    for one in reversed(missing):
        one.mkdir(mode=PRIVATE, exist_ok=True)
        sync_folder(one.parent)
    folder.mkdir(exist_ok=True)
