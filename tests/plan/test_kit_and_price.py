"""Kit, bottles, tools and estimate: hand-worked and brute force."""

import datetime as dt
from decimal import Decimal
from itertools import product

import pytest
from tests.plan.units import AT_ONCE, DAY, crib, demo_plan, prices, unit
from tests.sheet.sheets import component, group, sheet

from coldsoak.plan.conditions import Conditions
from coldsoak.plan.estimate import estimate
from coldsoak.plan.make import make_plan
from coldsoak.plan.value import Kit, KitPart, TimeSpan
from coldsoak.sheet.bottles import cheapest_bottles, left_over
from coldsoak.sheet.crib import Crib, Tool, Wrench
from coldsoak.sheet.prices import Bottle, PriceList

SIZES = [Bottle(size="1 L", price="15.60"), Bottle(size="4 L", price="52"), Bottle(size="5 L", price="66.00")]


@pytest.mark.parametrize("need_l", [0.1, 0.99, 1.0, 3.2, 4.0, 4.01, 5.7, 8.0, 9.4, 12.3])
def test_bottles_against_every_combination(need_l: float) -> None:
    chosen = cheapest_bottles(need_l, SIZES)
    paid = sum(bottle.price * count for bottle, count in chosen)
    best = min(
        sum((b.price * n for b, n in zip(SIZES, counts, strict=True)), Decimal(0))
        for counts in product(range(14), range(4), range(4))
        if sum(b.size.si * n for b, n in zip(SIZES, counts, strict=True)) >= need_l - 1e-9
    )
    assert paid == best
    assert left_over(need_l, chosen) >= -1e-9


def test_no_fluid_needs_no_bottle() -> None:
    assert cheapest_bottles(0.0, SIZES) == []


def test_fluid_is_what_drains_what_runs_out_and_the_reserve() -> None:
    """From the sheet: 4.3 drained, 0.3 with the filter, 0.6 with the valve body, 0.5 reserve; bottles 5 L + 1 L."""
    kit = demo_plan("orrin-r6", "lead_frame_repair").kit
    assert kit.fluid_l == pytest.approx(5.7)
    assert [(one.size_l, one.count) for one in kit.bottles] == [(1.0, 1), (5.0, 1)]
    assert kit.fluid == "LX-6 thin"


def test_an_unknown_fluid_is_never_replaced_by_a_near_one() -> None:
    other = prices().model_copy(update={"fluids": prices().fluids[1:]})
    plan = make_plan(unit("orrin-r6"), AT_ONCE, services=["fluid_and_filter"], prices=other)
    assert plan.kit.bottles == ()
    assert plan.kit.fluid_note == "LX-6 thin is not in the price list: ask for it by that very specification"
    assert plan.price is not None
    assert "5.1 L LX-6 thin" in plan.price.not_priced


def test_parts_say_why_and_whether_they_are_there() -> None:
    parts = {part.part: part for part in demo_plan("orrin-r6", "lead_frame_repair").kit.parts}
    assert (parts["lead_frame"].why, parts["lead_frame"].in_stock, parts["lead_frame"].lead_min) == (
        "asked for",
        0,
        120.0,
    )
    assert (parts["solenoid_body_bolts"].count, parts["solenoid_body_bolts"].why) == (5, "torque to yield")
    assert (parts["pan_bolts"].count, parts["pan_bolts"].why, parts["pan_bolts"].price) == (
        18,
        "single use",
        Decimal("14.40"),  # one pack of 20
    )
    assert parts["solenoid_screens"].need == "worth"


def test_a_missing_tool_and_an_expired_one_are_named() -> None:
    """The crib's T25 is not a low one; and a year on, every calibration has run out."""
    plan = demo_plan("orrin-r6", "lead_frame_repair")
    (missing,) = plan.kit.missing_tools
    assert (missing.tool, missing.status, missing.why) == (
        "hexalobular T25, low profile",
        "missing",
        "Bit T25 is there, but not low profile",
    )
    assert {plan.steps[n - 1].item for n in missing.steps} == {"solenoid_body_bolts"}
    assert "1 tool missing or out of calibration: do not start yet." in plan.sentence
    later = Conditions(dt.date(2029, 1, 1), draws=50)
    expired = make_plan(unit("orrin-r6"), later, services=["fluid_and_filter"], crib=crib())
    found = {tool.tool: tool for tool in expired.kit.missing_tools}
    assert found["thermometer for the fluid"].status == "out_of_calibration"
    wrench = found["torque wrench for 76 lbf·in (8.6 N·m)"]
    assert wrench.status == "out_of_calibration"
    assert "Small wrench 2 to 11 N·m: its calibration ran out on 2028-09-01" in str(wrench.why)


def test_without_a_thermometer_there_is_no_level_check() -> None:
    """Common practice, no source: without a way to read fluid temperature there is no accurate level check."""
    bare = crib().model_copy(
        update={"tools": {key: tool for key, tool in crib().tools.items() if tool.reads != "temperature"}}
    )
    plan = make_plan(unit("orrin-r6"), AT_ONCE, services=["fluid_and_filter"], crib=bare)
    (tool,) = [one for one in plan.kit.missing_tools if one.tool == "thermometer for the fluid"]
    assert tool.why == "the crib has none"


def test_wrench_and_socket_of_different_squares_need_an_adapter() -> None:
    made = sheet([component("a", "held_by: [g]")], [group("g", size="17 mm", torque="30 N·m")])
    wrench = Wrench(
        name="W", lowest="10 N·m", highest="60 N·m", unit="N·m", square="1/2 in", calibrated="2026-01-01", due="2027-01-01"
    )  # fmt: skip
    socket = Tool(name="S", kind="socket", drive="hex", size="17 mm", square="3/8 in")
    own = Crib(schema="coldsoak.crib/1", shop="s", wrenches={"w": wrench}, tools={"s": socket})
    (missing,) = make_plan(made, AT_ONCE, replace=["a"], crib=own).kit.missing_tools
    assert missing.tool == "adapter from 1/2 in on the wrench to 3/8 in"


def price_list(**more: object) -> PriceList:
    return PriceList(schema="coldsoak.prices/1", currency="EUR", labour={"per_hour": "90"}, **more)  # type: ignore[arg-type]


SPAN = TimeSpan(p10=60, p50=90, p80=100, p90=121, work_p10=60.0, work_p50=90.0, work_p90=121.0)


def test_an_estimate_by_hand() -> None:
    """1.00, 1.50 and 2.02 h at 90: 90.00, 135.00, 181.80; a part 10.005 → 10.01; supplies 4 % up to 6.00: 3.60, 5.40, 6.00;
    a part worth renewing 20.00 in the high end only. Tax 10 % on all: of 103.61, 150.41, 217.81.
    """
    kit = Kit(
        parts=(
            KitPart(part="a", name="Part", count=1, need="must", why="", price=Decimal("10.005")),
            KitPart(part="b", name="Extra", count=1, need="worth", why="", price=Decimal(20)),
            KitPart(part="c", name="Idea", count=1, need="nice", why="", price=Decimal(500)),
            KitPart(part="d", name="Unknown", count=1, need="must", why=""),
        )
    )
    found = estimate(
        kit,
        SPAN,
        price_list(supplies={"percent_of_labour": 4, "at_most": 6}, taxes=({"name": "Tax", "percent": 10},)),
    )
    assert [(line.kind, line.low, line.likely, line.high) for line in found.lines] == [
        ("labour", Decimal("90.00"), Decimal("135.00"), Decimal("181.80")),
        ("parts", Decimal("10.01"), Decimal("10.01"), Decimal("10.01")),
        ("parts", Decimal("0.00"), Decimal("0.00"), Decimal("20.00")),
        ("supplies", Decimal("3.60"), Decimal("5.40"), Decimal("6.00")),
        ("tax", Decimal("10.36"), Decimal("15.04"), Decimal("21.78")),
    ]
    assert (found.low, found.likely, found.high) == (Decimal("113.97"), Decimal("165.45"), Decimal("239.59"))
    assert found.not_priced == ("Unknown",)


def test_taxes_fall_only_on_what_they_name() -> None:
    """Hand-worked: 8 % of 10.00 parts, nothing on 135.00 of labour."""
    kit = Kit(parts=(KitPart(part="a", name="Part", count=1, need="must", why="", price=Decimal(10)),))
    found = estimate(kit, SPAN, price_list(taxes=({"name": "Parts tax", "percent": 8, "on": ["parts"]},)))
    assert found.likely == Decimal("145.80")


def test_currencies_without_cents() -> None:
    """Hand-worked: 1.5 h at 9001 yen is 13501.5, rounded half up."""
    yen = PriceList(schema="coldsoak.prices/1", currency="JPY", labour={"per_hour": "9001"})
    assert estimate(Kit(), SPAN, yen).likely == Decimal(13502)


def test_every_estimate_adds_up_and_rises() -> None:
    for name, service in (("orrin-r6", "lead_frame_repair"), ("haldor-t3", "output_seal_job")):
        price = demo_plan(name, service).price
        assert price is not None
        assert price.low <= price.likely <= price.high
        for end in ("low", "likely", "high"):
            assert sum(getattr(line, end) for line in price.lines) == getattr(price, end)


def test_a_dear_single_use_part_can_turn_the_choice() -> None:
    """Hand-worked: way x takes 10 min less but destroys a part of 100 (an hour's labour is 60): way y it is, once priced."""
    minutes = {"x": "{off: [5, 5, 5], on: [5, 5, 5]}", "y": "{off: [10, 10, 10], on: [10, 10, 10]}"}
    made = sheet(
        [
            component("x", "renew: always", minutes=minutes["x"]),
            component("y", minutes=minutes["y"]),
            component("goal", "blocked_by: [{any_of: [x, y]}]"),
        ]
    )
    dear = PriceList(
        schema="coldsoak.prices/1", currency="EUR", labour={"per_hour": 60}, parts={"x": {"name": "X", "price": 100}}
    )  # fmt: skip
    assert "x" in {step.item for step in make_plan(made, AT_ONCE, replace=["goal"]).steps}
    assert "y" in {step.item for step in make_plan(made, AT_ONCE, replace=["goal"], prices=dear).steps}


def test_parts_are_ordered_before_anything_is_opened() -> None:
    """The strainer takes a day, and the shop knows that before the pan is off (common practice, no source)."""
    plan = demo_plan("kestane-v2", "fluid_and_filters")
    assert plan.sentence.endswith("; order the strainer first and open nothing before: there in 1 d 0 h.")
    assert plan.time_min.parts == 24 * 60
    assert plan.time_min.p90 < 300, "the vehicle stands in the bay for the work alone"
    assert {step.item for step in plan.steps if step.action == "wait"} == {"cool", "drip"}
    assert demo_plan("haldor-t3", "oil_change").time_min.parts is None
    assert DAY.isoformat() == plan.job.date
