"""What makes names on the disk last: a file is not kept before the folder that names it is."""

import os
from pathlib import Path

PRIVATE = 0o700


def sync_folder(folder: Path) -> None:
    """Force a folder's list of names to the disk, where the platform can."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except PermissionError:  # Windows opens no folders; its renames are on the disk when they return
        return
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


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
