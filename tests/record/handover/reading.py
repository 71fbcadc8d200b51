"""Reads back what was printed, with a library that had no part in printing it (pypdf)."""

import io

from pypdf import PdfReader


def pages(pdf: bytes) -> list[str]:
    """The text of every page, blanks and line ends as single blanks."""
    return [
        " ".join(page.extract_text().replace("\u200b", "").split())
        for page in PdfReader(io.BytesIO(pdf)).pages
    ]


def whole(pdf: bytes) -> str:
    """The text of all pages."""
    return " ".join(pages(pdf))
