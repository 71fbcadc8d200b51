"""The hand-over: three documents made of one record, the same bytes every time."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from coldsoak.record.handover_blocks import Paper
from coldsoak.record.handover_customer import customer_page
from coldsoak.record.handover_frame import Press, press
from coldsoak.record.handover_invoice import invoice_page
from coldsoak.record.handover_print import Template, pdf, pictures
from coldsoak.record.handover_technical import technical_record
from coldsoak.record.handover_words import Units
from coldsoak.record.job_record import JobRecord
from coldsoak.record.plots_source import Plotted, plotted
from coldsoak.record.stamp import moment

FILES: dict[Template, str] = {
    "customer": "hand-over-customer",
    "technical": "hand-over-technical",
    "invoice": "hand-over-invoice",
}
DOTS_PER_INCH = 80.0


@dataclass(frozen=True)
class Document:
    """One document: its template and what it shows."""

    template: Template
    view: Any


@dataclass(frozen=True)
class HandOver:
    """The documents of one record, ready to be printed."""

    of: Press
    sources: tuple[Plotted, ...]
    documents: tuple[Document, ...]

    @property
    def missing_logs(self) -> tuple[str, ...]:
        """Names of the logs whose plots are left out."""
        return tuple(one.file for one in self.sources if one.curve is None)

    def pdf(self, template: Template) -> bytes:
        """Return one of the documents as PDF."""
        (one,) = [one for one in self.documents if one.template == template]
        return pdf(one.template, one.view, moment(self.of.record.last_at))

    def files(self) -> dict[str, bytes]:
        """Return every document as PDF by the name of its file."""
        return {f"{FILES[one.template]}.pdf": self.pdf(one.template) for one in self.documents}

    def pictures(self) -> dict[str, bytes]:
        """Return the first page of every document as PNG by the name of its file."""
        at = moment(self.of.record.last_at)
        return {
            f"{FILES[one.template]}.png": pictures(one.template, one.view, at, DOTS_PER_INCH)[0]
            for one in self.documents
        }


def hand_over(
    record: JobRecord,
    logs: Path | None = None,
    paper: Paper = "a4",
    units: Units = "si",
    language: str = "en",
) -> HandOver:
    """Return the documents of a record; `logs` is the folder in which its logs lie."""
    return hand_over_of(press(record, paper, units, language), plotted(record, logs))


def hand_over_of(of: Press, sources: Sequence[Plotted]) -> HandOver:
    """Return the documents of a record that is ready to be printed."""
    invoice = invoice_page(of)
    documents = [
        Document("customer", customer_page(of, sources)),
        Document("technical", technical_record(of, sources)),
        *([Document("invoice", invoice)] if invoice is not None else []),
    ]
    return HandOver(of, tuple(sources), tuple(documents))
