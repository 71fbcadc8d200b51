"""What the pages of one job say fits together: what is next, how many points are open, what lies on the tray.

Source of what is expected: the pages themselves, held against each other, and the entries that were noted.
"""

import re
from collections.abc import Iterator
from pathlib import Path
from uuid import uuid4

import pytest
from tests.web.test_pages_fill import LEVEL
from tests.web.test_pages_prove import judged
from tests.web.workshop import Workshop, orrin, sentence_of, text_of, the_plan

ALL = len(the_plan().steps)


@pytest.fixture
def bay(tmp_path: Path) -> Iterator[Workshop]:
    workshop = Workshop(tmp_path / "shop")
    yield workshop
    workshop.shop.close()


def leads_to(page: str) -> str:
    """The stage that the one thing to do leads to."""
    found = re.search(r'class="do".*?class="button main" href="/jobs/\d+/(\w+)', page, re.DOTALL)
    return found[1] if found is not None else ""


def test_what_is_next_does_not_lead_back_once_the_work_has_begun(bay: Workshop) -> None:
    judged(bay)
    assert leads_to(bay.page("judge")) == ""
    assert "do not start yet" in sentence_of(bay.page("plan"))
    assert "To the first step" in text_of(bay.page("plan"))
    bay.done_up_to(4)
    assert leads_to(bay.page("judge")) == leads_to(bay.page("plan")) == "build"
    assert "To the step in hand" in text_of(bay.page("plan"))
    bay.note(*[{"kind": "step_done", "n": one.n, "sentence": one.sentence} for one in the_plan().steps[4:]])
    assert leads_to(bay.page("judge")) == leads_to(bay.page("plan")) == "fill"
    assert "do not start yet" not in sentence_of(bay.page("plan"))
    bay.note(LEVEL)
    assert {leads_to(bay.page(one)) for one in ("judge", "plan", "fill")} == {"prove"}


def test_the_plan_says_what_it_is_to_put_right(bay: Workshop) -> None:
    assert "Judge, of" not in text_of(bay.page("plan"))
    judged(bay)
    found = re.search(
        r"Most likely: (.*?), (\d+ %)", text_of(bay.page("judge")).replace("\N{NO-BREAK SPACE}", " ")
    )
    assert found is not None
    said = text_of(bay.page("plan")).replace("\N{NO-BREAK SPACE}", " ")
    assert f"most likely {found[1]}, {found[2]}.".casefold() in said.casefold()


def test_a_job_that_came_back_is_judged_anew(bay: Workshop) -> None:
    """The work is done and the fault is there again: the next test is the next thing to do."""
    judged(bay)
    bay.done_up_to(ALL)
    bay.note({"kind": "proved", "proof": {"verdict": "back", "sentence": "It is back."}, "inputs": []})
    page = bay.page("judge")
    assert "Next: build" not in text_of(page)
    assert '<button class="main">Note the result</button>' in page


def tightened(bay: Workshop) -> None:
    """Every fastener that the plan puts on gets the torque of the sheet in every pass."""
    for step in the_plan().steps:
        group = orrin().fasteners.get(step.item) if step.action == "on" else None
        if group is None:
            continue
        said = {"kind": "torque_entered", "fastener": step.item, "name": group.name, "tool": "Middle wrench"}
        said |= {"torque_nm": group.torque.si} | ({"angle_deg": group.angle.si} if group.angle else {})
        rounds = range(1, (step.passes or 1) + 1)
        bay.note(
            *(
                {**said, "position": n, "pass_number": one}
                for one in rounds
                for n in range(1, group.count + 1)
            )
        )


def listed(page: str, title: str) -> int:
    """How many lines stand under a title."""
    return page[page.index(title) :].split("</section>", maxsplit=1)[0].count("<li>")


def test_as_many_things_are_missing_as_are_listed(bay: Workshop) -> None:
    """Every new part of the plan is on and none is noted as used: one line speaks for them all."""
    bay.done_up_to(ALL)
    page = bay.page("record")
    found = re.match(r"(\d+) points? open", sentence_of(page))
    assert found is not None
    assert int(found[1]) == listed(page, "Next: put right what is open") > 1
    tightened(bay)
    bay.desk.old_parts_away(uuid4())
    page = bay.page("record")
    found = re.search(r"and (\d+) things will be missing", sentence_of(page))
    assert found is not None
    assert int(found[1]) == listed(page, "What the hand-over will lack")
    assert "No part is noted" in text_of(page)
    points = re.search(r"Reason to sign although (\d+) points are open", text_of(page))
    assert points is not None
    inside = page[page.index("points are open</summary>") :].split("</ul>")[0]
    assert inside.count("<li>") == int(points[1])


def test_old_parts_are_not_off_the_vehicle(bay: Workshop) -> None:
    """Nothing is off once every step is done: what lies there are the parts that were renewed."""
    bay.done_up_to(ALL)
    renewed = {one.item for one in the_plan().steps if one.renew and one.action == "on"}
    pieces = sum(orrin().fasteners[one].count if one in orrin().fasteners else 1 for one in renewed)
    said = text_of(bay.page("build"))
    assert f"Tray : nothing off, {pieces} old parts on it" in said
