"""No visible word escapes the catalogue: in a language of Greek letters, with data in Cyrillic, nothing Latin is left.

Source: the method is common practice for programs that are translated (pseudo-localisation), no source.
"""

import dataclasses
import gettext
import json
import re
from pathlib import Path
from typing import Any

import pytest
from tests.record.handover.reading import whole

from coldsoak.record.handover import hand_over_of
from coldsoak.record.handover_frame import Press
from coldsoak.record.handover_measures import Measures
from coldsoak.record.handover_words import Units, Words
from coldsoak.record.job_record import JobRecord
from coldsoak.record.plots_source import plotted

# Fields that are keys of the program, not words; what the paper shows of them comes from the catalogue.
KEYS = {
    "schema", "kind", "status", "moment", "verdict", "action", "direction", "way", "engine", "method", "currency",
    "quantity", "unit", "fault", "at", "start", "end", "time", "day", "due", "calibrated", "sha256", "code", "head",
    "hash", "first_at", "last_at", "sheet_sha256", "prices_sha256",
}  # fmt: skip
ROLES = {"log", "sheet", "crib", "prices", "job", "causes", "tests", "photo", "other"}
# A command to type, units as instruments and vehicles give them, and names of libraries.
ALLOWED = {"coldsoak", "record", "check", "FILE", "hash", "rpm", "ohm", "numpy", "scipy"}


class Greek(gettext.NullTranslations):
    """Every Latin letter outside of fields becomes a Greek one."""

    def gettext(self, message: str) -> str:
        return re.sub(
            r"\{\w+\}|[A-Za-z]+", lambda hit: hit[0] if hit[0][0] == "{" else "λ" * len(hit[0]), message
        )

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


def cyrillic(value: Any, key: str = "") -> Any:
    if isinstance(value, dict):
        return {name: cyrillic(one, name) for name, one in value.items()}
    if isinstance(value, list):
        return [cyrillic(one, key) for one in value]
    if not isinstance(value, str) or key in KEYS or (key == "role" and value in ROLES) or key == "codes":
        return value
    return re.sub(r"[A-Za-z]", "ж", value)


@pytest.mark.parametrize("units", ["si", "us"])
@pytest.mark.parametrize("state", ["signed", "unsigned", "changed", "back", "not_proven", "bare"])
def test_nothing_latin_is_left(
    job: JobRecord, unsigned: JobRecord, logs: Path, units: Units, state: str
) -> None:
    record = unsigned if state == "unsigned" else job
    data = json.loads(record.to_json())
    if state == "changed":
        data["count"] += 1
    if state in ("back", "not_proven"):
        data["proofs"][0]["body"]["proof"] |= {
            "verdict": state,
            "drive_more_s": 900.0,
            "episodes_after": 2,
            "next_step": "Drive.",
            "road_test": ["Start."],
            "held_back": ["A lamp."],
            "new_troubles": [{"channel": "x", "sentence": "It is hot."}],
        }
    if state == "bare":
        data = {
            key: data[key]
            for key in ("header", "count", "head", "first_at", "last_at", "opened", "logs", "fluid")
        }
    if state == "not_proven":
        data["levels"][0]["body"]["high_c"] = 39.0
        data["torques"][0]["body"]["torque_nm"] = 9.9
        data["tray"] = data["tray"][:7]
        data["steps"] = data["steps"][:80]
    sources = plotted(record, None if state == "bare" else logs)
    sources = tuple(dataclasses.replace(one, file="жжж") for one in sources)
    record = JobRecord.from_json(json.dumps(cyrillic(data)))
    record = record.model_copy(update={"head": "0" * 64})
    words = Words("el", "el", Greek())
    made = hand_over_of(Press(record, words, Measures(words, units)), sources)
    for one in made.documents:
        said = whole(made.pdf(one.template))
        assert "λλλ" in said
        assert "жжж" in said
        kept = {digits for log in record.inputs for digits in [log.sha256]} | {"P0711-00", "P0713"}
        for word in kept:
            said = said.replace(word, "")
        said = re.sub(r"\b[0-9a-f]{12,64}\b", "", said)
        left = set(re.findall(r"[A-Za-z]+", said)) - ALLOWED
        assert not left, f"not in the catalogue ({one.template}): {sorted(left)}"


def test_the_test_sees_what_escapes(job: JobRecord) -> None:
    """A title that is not drawn from the catalogue is found by the very same reading."""
    words = Words("el", "el", Greek())
    assert words.say("Torque") == "λλλλλλ"
    assert words.many("{n} episode", "{n} episodes", 3) == "3 λλλλλλλλ"
    assert re.findall(r"[A-Za-z]+", "λλλ Torque жжж") == ["Torque"]
    assert cyrillic({"sentence": "It is", "kind": "note"}) == {"sentence": "жж жж", "kind": "note"}
