"""Job files: what cannot be read is said with its place. Expected lines: counted by hand in the text below."""

from pathlib import Path

import pytest

from coldsoak.errors import InputError, SheetError
from coldsoak.record.clock import Clock
from coldsoak.record.job_file import load_job

TEXT = """\
schema: coldsoak.jobfile/1
job: WO-1
vehicle: {name: Van}
complaint: Lamp is on.
offset: "+02:00"
opened: 2027-03-31 08:05
by: ana
people: {ana: {name: Ana Sorel, role: technician}}
files: {sheet: r6.yaml}
done:
  - {at: "08:10", by: ana, note: Clean.}
  - {at: "08:20", by: ana, fluid: {out: 4 L, measured: bucket}}
"""


def load(tmp_path: Path, old: str = "", new: str = "") -> None:
    assert old in TEXT
    path = tmp_path / "job.yaml"
    path.write_text(TEXT.replace(old, new) if old else TEXT, encoding="utf-8")
    load_job(path)


def test_a_right_one_is_read(tmp_path: Path) -> None:
    load(tmp_path)


@pytest.mark.parametrize(
    ("old", "new", "line", "sentence"),
    [
        ("note: Clean.", "note: Clean., part: {part: x}", 11, "this says part and note at once"),
        (", note: Clean.", "", 11, "this does not say what was done: add one of codes, cleared"),
        ("08:10", "8:10", 11, "'8:10' is not a time here: write it as 14:05"),
        ('"+02:00"', "2", 5, "is not text"),
        ("+02:00", "CET", 5, "'CET' is not an offset from UTC"),
        ("out: 4 L", "out: 4", 12, "'4' has no unit"),
        ("out: 4 L", "out: 4 L, in: 4 L", 12, "fluid comes out or goes in"),
        ("bucket", "cup", 12, "'cup' is not allowed"),
        ("by: ana\npeople", "by: bo\npeople", 7, "there is nobody 'bo' under people: there are ana."),
        ("coldsoak.jobfile/1", "coldsoak.sheet/1", 1, "a job file has 'coldsoak.jobfile/1'"),
    ],
)
def test_a_mistake_has_its_line(tmp_path: Path, old: str, new: str, line: int, sentence: str) -> None:
    with pytest.raises(SheetError, match=r"job\.yaml") as caught:
        load(tmp_path, old, new)
    assert any(f"job.yaml:{line}:" in one and sentence in one for one in caught.value.problems), caught.value


def test_what_is_no_job_file_names_an_example(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_text("- one\n", encoding="utf-8")
    with pytest.raises(SheetError, match=r"there is no job file in this file: see jobs/wo-2044\.yaml"):
        load_job(path)


def test_the_day_counts_until_another_is_said() -> None:
    """Written down by hand."""
    clock = Clock("-05:00")
    said = [clock.stamp(one) for one in ("2027-03-30 23:50", "23:55:30", "2027-03-31 00:05", "07:00")]
    assert said == [
        "2027-03-30T23:50:00-05:00",
        "2027-03-30T23:55:30-05:00",
        "2027-03-31T00:05:00-05:00",
        "2027-03-31T07:00:00-05:00",
    ]
    with pytest.raises(InputError, match="does not say on which day"):
        Clock("Z").stamp("08:00")
    with pytest.raises(InputError, match="is not a time that there is"):
        Clock("Z").stamp("2027-02-30 08:00")
