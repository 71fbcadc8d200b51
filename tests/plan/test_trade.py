"""Facts of the trade, held against every demo plan. Common practice, no source, where nothing else is said."""

import re
from itertools import pairwise

import pytest
from tests.plan.units import JOBS, demo_plan, place, unit

from coldsoak.build.tighten import orders_of
from coldsoak.plan.value import Plan, Step
from coldsoak.plan.words import last_two
from coldsoak.sheet.bolt_map import bolt_map


@pytest.fixture(params=JOBS, ids=lambda job: f"{job[0]} {job[1]}")
def job(request: pytest.FixtureRequest) -> tuple[str, Plan]:
    name, service = request.param
    return name, demo_plan(name, service)


def steps(plan: Plan, *actions: str) -> list[Step]:
    return [step for step in plan.steps if step.action in actions]


def test_torque_to_yield_bolts_are_always_renewed(job: tuple[str, Plan]) -> None:
    name, plan = job
    for step in steps(plan, "on"):
        group = unit(name).fasteners.get(step.item)
        if group is not None and group.torque_to_yield:
            assert step.renew
            assert step.angle_deg == group.angle.si
            assert any(
                part.part == (group.part or step.item) and part.need == "must" for part in plan.kit.parts
            )
            assert "Torque-to-yield fasteners are stretched: never reuse them." in step.cautions


def test_the_yield_bolts_of_the_demo_are_five_with_an_angle() -> None:
    """From the sheet itself: 31 lbf·in is 3.50 N·m (31 × 0.112985), then 38°."""
    plan = demo_plan("orrin-r6", "lead_frame_repair")
    step = plan.steps[place(plan.steps, "on", "solenoid_body_bolts") - 1]
    assert (step.count, step.renew, step.angle_deg) == (5, True, 38.0)
    assert step.torque_nm == pytest.approx(31 * 0.112_984_829, abs=5e-4)
    assert step.torque == "31 lbf·in (3.5 N·m) + 38°"


def test_the_filter_is_renewed_while_the_pan_is_off() -> None:
    """Nobody asked for the filter here; the pan is off for the lead frame."""
    plan = demo_plan("orrin-r6", "lead_frame_repair")
    assert plan.job.replace == ("lead_frame",)
    assert plan.steps[place(plan.steps, "on", "filter") - 1].renew
    assert place(plan.steps, "off", "pan") < place(plan.steps, "off", "filter")
    assert any(part.part == "filter" and part.need == "must" for part in plan.kit.parts)


def test_every_seal_that_comes_off_goes_back_new(job: tuple[str, Plan]) -> None:
    name, plan = job
    for step in steps(plan, "on"):
        part = unit(name).components.get(step.item)
        if part is not None and part.kind == "seal":
            assert step.renew


def test_connectors_fit_one_way_and_are_checked_for_their_lock(job: tuple[str, Plan]) -> None:
    name, plan = job
    for step in steps(plan, "close"):
        part = unit(name).components[step.item]
        if part.kind == "connector":
            said = " ".join(step.notes)
            assert "Fits one way only, never force it." in said
            assert "Until it locks." in said or "Push until it locks" in said


def test_a_seal_that_can_stay_behind_is_accounted_for(job: tuple[str, Plan]) -> None:
    name, plan = job
    for step in steps(plan, "off", "on"):
        part = unit(name).components.get(step.item)
        if part is not None and part.may_stay_behind:
            assert step.look_for is not None
            assert part.may_stay_behind in step.look_for


def test_nothing_that_sheds_lint_goes_inside(job: tuple[str, Plan]) -> None:
    name, plan = job
    inside = [
        s for s in plan.steps if s.item in unit(name).components and unit(name).components[s.item].inside
    ]
    if inside:
        assert any("lint-free wipes only" in " ".join(step.notes) for step in inside)
        assert any("int-free" in one for one in plan.kit.consumables)
        assert "Shop rag" not in plan.kit.consumables


def test_bolts_are_started_by_hand_before_any_is_run_down(job: tuple[str, Plan]) -> None:
    _, plan = job
    for step in steps(plan, "on"):
        if step.count is not None and step.count > 1:
            assert f"Start all {step.count} by hand before any is run down." in step.notes


def test_the_last_two_bolts_of_something_heavy_are_left_for_last() -> None:
    """The valve body hangs on 7 long and 6 short bolts; nos. 3 and 5 of the short are farthest apart (200 by 120 mm).

    Whoever reads it looks at the bolt map, so it names them as the map does.
    """
    plan = demo_plan("orrin-r6", "lead_frame_repair")
    groups = [s for s in steps(plan, "off") if s.item in ("valve_body_long", "valve_body_short")]
    assert len(groups) == 2
    assert not any("for last" in " ".join(s.notes) for s in groups[:-1])
    sheet = unit("orrin-r6")
    drawn = bolt_map(sheet.fasteners["valve_body_short"], order=orders_of(sheet)["valve_body_short"])
    on_map = dict(zip(range(1, 7), re.findall(r'font-weight="700"[^>]*>(\d+)<', drawn), strict=True))
    low, high = sorted((int(on_map[3]), int(on_map[5])))
    assert (
        f"Leave the two farthest apart for last, nos. {low} and {high} of the bolt map, and support it before they come out."
        in groups[-1].notes
    )
    assert (low, high) != (3, 5)


def test_where_a_map_shows_the_numbers_of_the_sheet_the_note_does_too() -> None:
    assert "nos. 3 and 5 of the sheet" in last_two(unit("orrin-r6").fasteners["valve_body_short"])


def test_the_fill_plug_comes_loose_before_the_drain_plug_lets_anything_out(job: tuple[str, Plan]) -> None:
    name, plan = job
    fluid = unit(name).fluid
    if fluid is not None and any(s.action == "drain" for s in plan.steps) and fluid.fill.plug:
        first, *others = fluid.drain.open_first
        assert first == fluid.fill.plug
        for other in others:
            for group in unit(name).components[other].held_by:
                assert place(plan.steps, "off", first) < place(plan.steps, "off", group)


def test_no_drain_plug_is_touched_while_the_fluid_is_hot(job: tuple[str, Plan]) -> None:
    """Fluid runs as soon as its plug is loose, so the wait comes before the plug and not only before draining."""
    name, plan = job
    fluid = unit(name).fluid
    if fluid is not None and fluid.drain.cool and any(s.action == "drain" for s in plan.steps):
        for group in unit(name).components["drain_plug"].held_by:
            assert place(plan.steps, "wait", "cool") < place(plan.steps, "off", group)


def test_the_level_check_comes_last(job: tuple[str, Plan]) -> None:
    """After it only plugs go in, and what hides them goes on."""
    name, plan = job
    if not any(s.action == "fill" for s in plan.steps):
        return
    level = place(plan.steps, "check", "level")
    assert place(plan.steps, "fill", "fluid") < level
    sheet = unit(name)
    plugs = {plug for plug in (sheet.fluid.fill.plug, sheet.fluid.level.plug) if plug}
    covers = {one for plug in plugs for need in sheet.components[plug].blocked_by for one in need.any_of}
    after = {s.item for s in plan.steps[level:] if s.item in sheet.components}
    seals = {key for key, part in sheet.components.items() if set(part.exposed_by) & plugs}
    assert after <= plugs | covers | seals


def test_the_level_plug_is_opened_only_after_filling(job: tuple[str, Plan]) -> None:
    name, plan = job
    fluid = unit(name).fluid
    if fluid is not None and fluid.level.plug == "level_plug" and any(s.action == "fill" for s in plan.steps):
        opened = place(plan.steps, "off", "level_plug")
        assert place(plan.steps, "fill", "fluid") < opened < place(plan.steps, "check", "level")
        assert (
            "Only at the readings of the thermometer that the fill sheet gives."
            in plan.steps[opened - 2].notes
        )


def test_filling_and_level_are_what_the_fill_sheet_says(job: tuple[str, Plan]) -> None:
    """One place says how much and at which reading; where the engine runs, a step starts it and its cautions are there."""
    name, plan = job
    fluid = unit(name).fluid
    for step in steps(plan, "fill"):
        assert fluid is not None
        running = fluid.level.engine == "running"
        assert "as the fill sheet says" in step.sentence
        assert ("then start the engine" in step.sentence) is running
        assert any("Engine running" in line for line in step.cautions) is running
        level = plan.steps[place(plan.steps, "check", "level") - 1]
        assert "as the fill sheet says, at its readings of your thermometer" in level.sentence


def test_what_goes_in_is_done_up_before_the_lift_moves(job: tuple[str, Plan]) -> None:
    """Nothing is driven up or down on fasteners that are only started (common practice, no source)."""
    name, plan = job
    for step in steps(plan, "on"):
        part = unit(name).components.get(step.item)
        if part is None or step.way == "aside":
            continue
        for group in part.held_by:
            after = [one for one in plan.steps if (one.action, one.item) == ("on", group) and one.n > step.n]
            if after:
                between = plan.steps[step.n - 1 : after[0].n]
                assert len({one.lift for one in between}) == 1, (step.item, group)


def test_aids_are_out_before_what_covers_them(job: tuple[str, Plan]) -> None:
    name, plan = job
    for step in steps(plan, "out"):
        for cover in unit(name).aids[step.item].out_before:
            back = [s.n for s in plan.steps if s.item == cover and s.action in ("on", "close")]
            assert all(step.n < n for n in back)


def test_a_cover_lies_over_what_is_open_while_somebody_works_elsewhere(job: tuple[str, Plan]) -> None:
    """A cap goes in once ring and part are out, comes out just before they go in, or is left in the box."""
    name, plan = job
    covers = {key for key, aid in unit(name).aids.items() if aid.moment == "after"}
    for step in steps(plan, "in", "out"):
        if step.item in covers:
            neighbour = plan.steps[step.n - 2 if step.action == "in" else step.n]
            uncovered = unit(name).components[neighbour.item]
            used_with = {*unit(name).aids[step.item].used_with}
            assert neighbour.item in used_with or used_with & {*uncovered.exposed_by}
    for step, after in pairwise(plan.steps):
        assert (step.action, after.action) != ("in", "out")


def test_no_cap_goes_in_only_to_come_out_again() -> None:
    """Flange and seal of the transfer case come out one behind the other and go in again at once."""
    plan = demo_plan("haldor-t3", "output_seal_job")
    assert "flange_cap" not in {step.item for step in plan.steps}
    tray = plan.steps[place(plan.steps, "check", "tray") - 1]
    assert "1 aid out" in tray.sentence


def test_the_open_case_is_covered_while_the_lead_frame_is_on_the_bench() -> None:
    plan = demo_plan("orrin-r6", "lead_frame_repair")
    inside = (place(plan.steps, "in", "case_cover_sheet"), place(plan.steps, "out", "case_cover_sheet"))
    bench = [step.n for step in plan.steps if step.way == "bench"]
    assert inside[0] < min(bench)
    assert max(bench) < inside[1]


def test_the_exhaust_is_swung_aside_rather_than_taken_down() -> None:
    """The sheet's own minutes: 9 + 10 aside against 21.5 + 21 off, and a gasket saved."""
    plan = demo_plan("orrin-r6", "lead_frame_repair")
    assert plan.steps[place(plan.steps, "off", "exhaust") - 1].way == "aside"
    assert "exhaust_gasket" not in {s.item for s in plan.steps}


def test_cautions_stand_where_somebody_can_be_hurt(job: tuple[str, Plan]) -> None:
    """The list of the house: vehicle up, hot fluid, waste, running engine, exhaust gas, wrong fluid, closing line."""
    name, plan = job
    sheet = unit(name)
    for step in plan.steps:
        said = " ".join(step.cautions)
        if step.action == "drain":
            assert "Hot fluid burns" in said
            assert "Used fluid is waste" in said
        if step.action == "fill":
            assert "The wrong fluid can destroy the unit" in said
        if step.item == "level" and sheet.fluid.level.engine == "running":
            assert "Engine running with the vehicle raised" in said
            assert "Exhaust gas indoors kills" in said
    up = [s for s in plan.steps if s.lift == "up"]
    assert not up or "Vehicle up" in " ".join(up[0].cautions)
    assert (
        plan.cautions[-1]
        == "Follow the vehicle maker's service information, local codes and licensed practice."
    )
