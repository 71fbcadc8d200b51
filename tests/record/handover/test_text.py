"""The catalogue of strings, and what people type: nothing is lost, nothing becomes a command."""

import io
import json
import re
from pathlib import Path

import pytest
from babel.messages.pofile import read_po
from tests.record.handover.reading import pages, whole

from coldsoak.errors import InputError
from coldsoak.record import handover_words
from coldsoak.record.handover import hand_over
from coldsoak.record.handover_catalogue import pot_text
from coldsoak.record.handover_legible import legible
from coldsoak.record.handover_words import Words, languages, translations, words_of
from coldsoak.record.job_record import JobRecord

TEXT = Path(handover_words.__file__).parent / "text"


def test_the_catalogue_is_fresh() -> None:
    assert (TEXT / "handover.pot").read_text("utf-8") == pot_text(), (
        "run `python -m coldsoak.record.handover_catalogue`"
    )


def test_every_field_of_a_string_can_be_filled_in() -> None:
    """A translation that drops or renames a field would fail in front of a customer; the fields are plain names."""
    catalogue = read_po(io.StringIO((TEXT / "handover.pot").read_text("utf-8")))
    count = 0
    for message in catalogue:
        if not message.id:
            continue
        for text in message.id if isinstance(message.id, tuple) else (message.id,):
            count += 1
            fields = set(re.findall(r"\{([^}]*)\}", text))
            assert all(re.fullmatch(r"[a-z_]+", field) for field in fields), text
    assert count > 300


POLISH = r"""
msgid ""
msgstr ""
"Content-Type: text/plain; charset=utf-8\n"
"Plural-Forms: nplurals=3; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2);\n"

msgid "Torque"
msgstr "Moment"

msgid "{n} episode"
msgid_plural "{n} episodes"
msgstr[0] "{n} epizod"
msgstr[1] "{n} epizody"
msgstr[2] "{n} epizodów"
"""


def test_a_language_with_three_plurals() -> None:
    """GNU gettext manual, "Additional functions for plural forms": the rule for Polish, 1 / 2 to 4 / the rest."""
    words = Words("pl", "pl", translations(POLISH, "pl"))
    said = [words.many("{n} episode", "{n} episodes", n) for n in (1, 2, 5, 12, 22)]
    assert said == ["1 epizod", "2 epizody", "5 epizodów", "12 epizodów", "22 epizody"]
    assert words.say("Torque") == "Moment"
    assert words.say("Tray") == "Tray", "what is not translated stays English"


def test_an_unknown_language_lists_the_known() -> None:
    assert languages()[0] == "en"
    with pytest.raises(InputError, match=r"^there is no language 'xx' to print in: there is en"):
        words_of("xx", "si")
    with pytest.raises(InputError, match=r"^there is no language '\.\./en' to print in"):
        words_of("../en", "si")


NASTY = (
    '#panic("x") *bold* _it_ $x^2$ @ref <tag> `raw` // no comment /* nor this */ \\ ~ -- "quotes" \'single\' '
    '#import "x.typ" {brace} {{two}} %s </script> & &amp;'
)


def test_marks_of_the_template_language_stay_what_they_are(job: JobRecord) -> None:
    data = json.loads(job.to_json())
    data["opened"]["body"]["complaint"] = NASTY
    data["opened"]["body"]["vehicle"]["name"] = NASTY
    data["steps"][0]["body"]["sentence"] = NASTY
    data["parts"][0]["body"]["name"] = NASTY
    data["invoices"][0]["body"]["lines"][0]["text"] = NASTY
    data["signatures"][0]["body"]["statement"] = NASTY
    made = hand_over(JobRecord.from_json(json.dumps(data)))
    flat = " ".join(NASTY.split())
    for template in ("customer", "technical", "invoice"):
        said = whole(made.pdf(template))  # type: ignore[arg-type]
        assert flat.replace(" ", "") in said.replace(" ", ""), template
    assert len(pages(made.pdf("customer"))) == 1


@pytest.mark.parametrize(
    "typed",
    [
        "W" * 4000,
        "ein" + "sehr" * 200 + "langes Wort",
        "عربي: المصباح يضيء ثم ينطفئ",
        "עברית: הנורה נדלקת וכבה",
        "🚐🔧👩🏽‍🔧 lamp ✅",
        "王さん \U0001f600 \u202eflip\u202c \x00\x07\x1b[31m",
        "e\u0301 combining, ½ ≥ → ☐ Ω",
        "line one\nline two\r\nline three\u2028four",
        "",
    ],
)
def test_whatever_people_type_prints_on_one_page(job: JobRecord, typed: str) -> None:
    data = json.loads(job.to_json())
    data["opened"]["body"]["complaint"] = typed[:4000] or "-"
    data["opened"]["body"]["vehicle"]["name"] = typed[:200] or "-"
    data["opened"]["body"]["customer"] = typed[:200] or None
    data["parts"][0]["body"]["name"] = typed[:200] or "-"
    data["overrides"][0]["body"]["reason"] = typed or "-"
    made = hand_over(JobRecord.from_json(json.dumps(data)))
    assert len(pages(made.pdf("customer"))) == 1
    assert "Tray" in whole(made.pdf("technical"))
    assert "Total to pay" in whole(made.pdf("invoice"))


def test_what_no_font_has_is_spelled_out() -> None:
    """Names and numbers of characters are those of the Unicode standard."""
    assert legible("Van 🚐!") == "Van [minibus]!"
    assert legible("王") == "[U+738B]"
    assert legible("naïve Ω ≥ 5 °C, Привет, שלום, مرحبا") == "naïve Ω ≥ 5 °C, Привет, שלום, مرحبا"
    assert legible("a\u202eb\x00c") == "abc"
    digits = "0123456789abcdef" * 4
    assert legible(digits) == digits, "a hash stays in one piece to be copied"
    assert legible("x" * 60).replace("\u200b", "") == "x" * 60
    assert max(map(len, legible("x" * 60).split("\u200b"))) <= 18
