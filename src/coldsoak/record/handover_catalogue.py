"""The catalogue that translators work from: every string of the documents, drawn from the code and the cautions.

`python -m coldsoak.record.handover_catalogue` writes `text/handover.pot` anew.
"""

import io
from importlib.resources import files
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract
from babel.messages.pofile import write_po

from coldsoak import cautions

POT = "handover.pot"
KEYWORDS = {"say": None, "many": (1, 2), "mark": None}
HEADER = """# Every string of the hand-over documents. A translation is a copy of this file named <language>.po.
msgid ""
msgstr ""
"MIME-Version: 1.0\\n"
"Content-Type: text/plain; charset=utf-8\\n"
"Content-Transfer-Encoding: 8bit\\n"
"Plural-Forms: nplurals=2; plural=(n != 1);\\n"

"""


def catalogue() -> Catalog:
    """Return every string that a document may show, with its plural where it has one.

    >>> "Torque" in catalogue()
    True
    """
    found = Catalog(fuzzy=False)
    package = files("coldsoak.record")
    names = sorted(one.name for one in package.iterdir() if one.name.startswith(("handover", "plots")))
    for name in names:
        if not name.endswith(".py"):
            continue
        source = io.BytesIO(package.joinpath(name).read_bytes())
        for _line, message, _comments, _context in extract("python", source, KEYWORDS, options={"encoding": "utf-8"}):  # fmt: skip
            found.add(message, locations=[(name, 0)])
    for line in (*cautions.lines(cautions.keys()), cautions.closing()):
        found.add(line, locations=[("cautions.toml", 0)])
    return found


def pot_text() -> str:
    """Return the text of `handover.pot`."""
    written = io.BytesIO()
    write_po(written, catalogue(), omit_header=True, sort_output=True, include_lineno=False, width=110)
    return HEADER + written.getvalue().decode("utf-8").strip() + "\n"


def main() -> None:
    """Write the catalogue to its place in the package."""
    Path(str(files("coldsoak.record").joinpath("text", POT))).write_text(pot_text(), encoding="utf-8")


if __name__ == "__main__":
    main()
