"""Every plan brings everything back, once, in an order in which it can be done, coming off and going on.

The check of order below reads the sheet itself, not the program's graph: it takes the steps one by one and asks at each
whether the sheet allows it with what is off at that moment.
"""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.plan.units import AT_ONCE, JOBS, demo_plan, random_sheet, unit

from coldsoak.errors import InputError
from coldsoak.plan.conserve import NotConservedError, prove_conserved
from coldsoak.plan.make import make_plan
from coldsoak.plan.value import Plan
from coldsoak.sheet.unit import UnitSheet

GONE = {"off", "open"}


def balance(plan: Plan) -> dict[str, int]:
    """What is still away at the end, counted as a ledger would."""
    away: dict[str, int] = {}
    for step in plan.steps:
        change = {"off": 1, "open": 1, "in": 1, "drain": 1, "on": -1, "close": -1, "out": -1, "fill": -1}
        away[step.item] = away.get(step.item, 0) + change.get(step.action, 0)
        assert away[step.item] in (0, 1), f"{step.item} in step {step.n}"
    return away


def walk(sheet: UnitSheet, plan: Plan) -> None:
    """Do the plan on the sheet, step by step."""
    away: set[str] = set()
    aside: set[str] = set()
    dry = False

    def clear(reference: str, of: str) -> bool:
        name = reference.removesuffix(" aside")
        carrier = name
        while (
            sheet.components[carrier].comes_with
            and sheet.components[carrier].comes_with != of
            and carrier != of
        ):
            carrier = str(sheet.components[carrier].comes_with)
        if name in away or (carrier != of and carrier in away):
            return True
        return reference.endswith(" aside") and name in aside

    def loose(name: str, way: str | None) -> None:
        part = sheet.components[name]
        source = part.aside if way == "aside" else part
        assert source is not None
        assert all(group in away for group in source.held_by), f"{name}: fasteners still in"
        for need in source.blocked_by:
            assert any(clear(one, name) for one in need.any_of), f"{name}: {need.any_of} in the way"
        for opened in source.open_first:
            assert opened in away, f"{name}: {opened} still closed"
        assert dry or not part.drained or sheet.fluid is None, f"{name}: fluid still in"

    def check(step_action: str, item: str, way: str | None) -> None:
        if item in sheet.components:
            loose(item, way)

    for step in plan.steps:
        if step.action in GONE:
            check(step.action, step.item, step.way)
            (aside if step.way == "aside" else away).add(step.item)
        elif step.action in ("on", "close"):
            (aside if step.way == "aside" else away).discard(step.item)
            # Going on is coming off read backwards: at this moment it must be possible to take it off again.
            if step.item in sheet.components:
                dry_before, dry = dry, True
                loose(step.item, step.way)
                dry = dry_before
        elif step.action == "drain":
            assert sheet.fluid is not None
            assert set(sheet.fluid.drain.open_first) <= away
            dry = True
        elif step.action == "fill":
            assert sheet.fluid is not None
            assert not {plug for plug in sheet.fluid.drain.open_first if plug != sheet.fluid.fill.plug} & away
            dry = False
        if step.action == "on" and step.item in sheet.fasteners:
            held = [n for n, part in sheet.components.items() if step.item in part.held_by]
            assert not set(held) & away, f"{step.item} is done up before {held} are on"


@pytest.mark.parametrize(("name", "service"), JOBS)
def test_demo_jobs_can_be_done_and_bring_everything_back(name: str, service: str) -> None:
    plan = demo_plan(name, service)
    assert set(balance(plan).values()) == {0}
    walk(unit(name), plan)


@settings(max_examples=60)
@given(seed=st.integers(0, 10**6), targets=st.sets(st.integers(0, 13), min_size=1, max_size=3))
def test_any_sheet_any_target(seed: int, targets: set[int]) -> None:
    sheet = random_sheet(seed)
    names = [f"p{n}" for n in sorted(targets)]
    try:
        plan = make_plan(sheet, AT_ONCE, replace=names)
    except InputError:
        # Only where a part would have to be moved aside and taken off for the same job.
        assert any(
            " aside" in one
            for part in sheet.components.values()
            for need in part.blocked_by
            for one in need.any_of
        )
        return
    assert set(balance(plan).values()) == {0}
    walk(sheet, plan)
    for name in names:
        (back,) = [s for s in plan.steps if s.item == name and s.action in ("on", "close")]
        assert back.renew
    renewed = {s.item for s in plan.steps if s.renew}
    for step in plan.steps:
        if step.item in sheet.fasteners and step.action == "on":
            assert step.torque_nm == pytest.approx(9.0)
            assert (step.item in renewed) == sheet.fasteners[step.item].single_use
        if (
            step.action == "off"
            and step.item in sheet.components
            and sheet.components[step.item].kind == "seal"
        ):
            assert step.item in renewed
    assert plan.steps[-1].action in ("check", "on", "out", "close")
    assert Plan.from_json(plan.to_json()) == plan


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (lambda steps: [s for s in steps if (s.action, s.item) != ("on", "pan")], "pan is off and never on again"),
        (lambda steps: [s for s in steps if s.action != "out"], "line_tie is in and never out again"),
        (lambda steps: [s for s in steps if s.action != "fill"], "fluid is drain and never fill again"),
        (lambda steps: [*steps, next(s for s in steps if s.action == "on")], "is on twice"),
        (lambda steps: [s for s in steps if (s.action, s.item) != ("off", "pan")], "pan is on and was not off before"),
        (
            lambda steps: [
                s.model_copy(update={"count": 17}) if (s.action, s.item) == ("on", "pan_bolts") else s for s in steps
            ],
            "pan_bolts goes back otherwise than it came off",
        ),
    ],
)  # fmt: skip
def test_a_plan_that_forgets_is_caught(change: object, sentence: str) -> None:
    """Every guard against its own mutation."""
    steps = demo_plan("orrin-r6", "fluid_and_filter").steps
    wrong = [s.model_copy(update={"n": n}) for n, s in enumerate(change(steps), start=1)]  # type: ignore[operator]
    with pytest.raises(NotConservedError, match=sentence):
        prove_conserved(wrong)
