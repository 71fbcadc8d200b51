"""The documents of a job that go out with the vehicle, made of the record as it stands now."""

import contextlib
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Lock
from typing import Literal

from coldsoak.errors import ColdsoakError, NotThereError
from coldsoak.record.handover import FILES, hand_over
from coldsoak.record.job_record import JobRecord
from coldsoak.shop.store import Shop

Which = Literal["customer", "technical", "invoice"]
Paper = Literal["a4", "us-letter"]
Units = Literal["si", "us"]
_ONE_AT_A_TIME = Lock()  # printing takes a whole processor for a moment, and entries must not wait for it


def hand_over_pdf(
    shop: Shop, job_id: int, which: Which, *, paper: Paper = "a4", units: Units = "si", language: str = "en"
) -> bytes:
    """Return one document as PDF: a draft until the record is signed, the same bytes for the same record."""
    record = shop.jobs.record(job_id)
    with _ONE_AT_A_TIME, logs_of(shop, record) as folder:
        made = hand_over(record, folder, paper, units, language)
        if which not in {one.template for one in made.documents}:
            raise NotThereError(
                f"there is no {which} on this job yet: make it on the page of its record first."
            )
        return made.pdf(which)


def file_name(shop: Shop, job_id: int, which: Which) -> str:
    """Return what to call a document."""
    return shop.transfer.file_name(job_id, f"{FILES[which]}.pdf")


@contextmanager
def logs_of(shop: Shop, record: JobRecord) -> Iterator[Path]:
    """A passing folder with the logs of this job that are here, and no others."""
    with tempfile.TemporaryDirectory(prefix="coldsoak-") as name:
        folder = Path(name)
        for sha256 in {one.body.sha256 for one in record.logs}:
            with contextlib.suppress(
                ColdsoakError
            ):  # a record made elsewhere may speak of logs that are not here
                path = shop.blobs.path(sha256)
                try:
                    (folder / sha256).symlink_to(path)
                except OSError:
                    shutil.copyfile(path, folder / sha256)
        yield folder
