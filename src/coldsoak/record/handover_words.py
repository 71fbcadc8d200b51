"""Every word that a hand-over document shows, by way of one catalogue that can be translated.

English stands in the code; `text/handover.pot` is drawn from it, and a translation is a file `text/<language>.po`.
"""

import gettext
import io
import re
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from typing import Literal

from coldsoak.errors import InputError

Units = Literal["si", "us"]
ENGLISH = "en"
_LANGUAGE = re.compile(r"[a-z]{2,3}(_[A-Z]{2})?")
# English as it is written where metric units are used, and where they are not.
_ENGLISH_LOCALES: dict[Units, str] = {"si": "en_150", "us": "en_US"}


def mark(text: str) -> str:
    """Return a text as it is; marks it for the catalogue where it stands in a table.

    >>> mark("Tray")
    'Tray'
    """
    return text


@dataclass(frozen=True)
class Words:
    """Says things in one language; `locale` decides how numbers, dates and money are written.

    >>> Words().say("{count} of {total}", count=2, total=14)
    '2 of 14'
    >>> Words().many("{n} episode", "{n} episodes", 7)
    '7 episodes'
    """

    language: str = ENGLISH
    locale: str = "en_150"
    catalogue: gettext.NullTranslations = field(default_factory=gettext.NullTranslations, compare=False)

    def say(self, text: str, /, **fields: object) -> str:
        """Return a text of the catalogue in this language, its fields filled in."""
        said = self.catalogue.gettext(text)
        return said.format(**fields) if fields else said

    def many(self, one: str, more: str, count: int, /, **fields: object) -> str:
        """Return the form that goes with a count; its number is the field `n` unless `fields` brings one."""
        return self.catalogue.ngettext(one, more, count).format(**{"n": count, **fields})


def languages() -> tuple[str, ...]:
    """Return the languages in which documents can be printed.

    >>> "en" in languages()
    True
    """
    folder = files("coldsoak.record").joinpath("text")
    names = {entry.name.removesuffix(".po") for entry in folder.iterdir() if entry.name.endswith(".po")}
    return (ENGLISH, *sorted(names - {ENGLISH}))


def words_of(language: str, units: Units) -> Words:
    """Return the words of a language; one that is not there lists those that are.

    >>> words_of("en", "us").locale
    'en_US'
    """
    if language == ENGLISH:
        return Words(ENGLISH, _ENGLISH_LOCALES[units])
    if not _LANGUAGE.fullmatch(language) or language not in languages():
        raise InputError(
            f"there is no language {language!r} to print in: there is {', '.join(languages())}; a translation is a file "
            f"{language if _LANGUAGE.fullmatch(language) else 'xx'}.po made from handover.pot."
        )
    return Words(language, language, _catalogue(language))


def translations(po_text: str, language: str) -> gettext.GNUTranslations:
    """Return the catalogue that a .po file holds; unfinished entries stay English."""
    from babel.messages.mofile import write_mo  # noqa: PLC0415 (only where something is translated)
    from babel.messages.pofile import read_po  # noqa: PLC0415

    compiled = io.BytesIO()
    write_mo(compiled, read_po(io.StringIO(po_text), locale=language))
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)


@cache
def _catalogue(language: str) -> gettext.GNUTranslations:
    text = files("coldsoak.record").joinpath("text", f"{language}.po").read_text("utf-8")
    return translations(text, language)
