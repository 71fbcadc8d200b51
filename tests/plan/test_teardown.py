"""The tear-down sheet shows the plan, all of it, and is the same bytes every time."""

import json

import pytest
from tests.plan.units import JOBS, demo_plan, unit

from coldsoak.plan.teardown import teardown_pdf, view


@pytest.mark.parametrize(("name", "service"), JOBS)
def test_every_step_is_on_paper_with_its_torque(name: str, service: str) -> None:
    plan = demo_plan(name, service)
    shown = view(plan, frozenset(), "a4")
    rows = [row for half in shown.halves for row in half.steps]
    assert [row.n for row in rows] == [step.n for step in plan.steps]
    for row, step in zip(rows, plan.steps, strict=True):
        assert row.torque == step.torque
        assert row.cautions == step.cautions
        assert row.look == step.look_for
        assert set(step.notes) <= set(row.notes)
        assert row.ticks == (step.passes or 1)
    assert {one["tool"] for one in shown.missing} == {tool.tool for tool in plan.kit.missing_tools}
    assert shown.closing == plan.cautions[-1]
    assert json.loads(shown.to_json())["sentence"] == plan.sentence


def test_the_paper_is_a_pdf_and_the_same_every_time() -> None:
    plan = demo_plan("orrin-r6", "lead_frame_repair")
    one, two = (teardown_pdf(plan, unit("orrin-r6")) for _ in range(2))
    assert one == two
    assert one.startswith(b"%PDF-")
    assert one.rstrip().endswith(b"%%EOF")
    letter = teardown_pdf(plan, unit("orrin-r6"), "us-letter")
    assert letter != one
    assert len(one) > 30_000


def test_names_cannot_become_commands_on_paper() -> None:
    """Text of a sheet reaches the template as data: marks of its language stay what they are."""
    plan = demo_plan("haldor-t3", "oil_change")
    nasty = '#panic("x") *bold* $x$ @ref <tag> \\'
    step = plan.steps[0].model_copy(update={"sentence": nasty, "name": nasty})
    changed = plan.model_copy(update={"steps": (step, *plan.steps[1:]), "sentence": nasty})
    assert teardown_pdf(changed, unit("haldor-t3")).startswith(b"%PDF-")
