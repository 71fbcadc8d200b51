"""A sheet with mistakes is refused with one clear line for each, all in one pass. Places are counted by hand."""

import re
from pathlib import Path

import pytest
from tests.sheet.sheets import FLUID, component, group, text

from coldsoak.errors import SheetError
from coldsoak.sheet.load import load_crib, load_prices, load_sheet, parse_prices, parse_sheet
from coldsoak.sheet.publish import example, skeleton

TEN = Path(__file__).with_name("data") / "ten-mistakes.yaml"


def problems(said: str) -> list[str]:
    with pytest.raises(SheetError) as caught:
        parse_sheet(said, "x.yaml")
    return list(caught.value.problems)


def test_ten_mistakes_are_ten_lines() -> None:
    with pytest.raises(SheetError) as caught:
        load_sheet(TEN)
    lines = [line.removeprefix(str(TEN)) for line in caught.value.problems]
    assert lines == [
        (
            ":7:14: fasteners.pan_bolts.torque: 84 lbf·ft is 114 N·m, and no M6x1 screw, even of class 12.9, bears more "
            "than 35 N·m: did you mean 84 lbf·in?"
        ),
        ":10:14: fasteners.filter_screws.torque: '5' has no unit: write the torque as in 12 N·m, 106 lbf·in or 9 lbf·ft.",
        ":11:3: fasteners.lost_bolts: no component is held by this group: name it in a held_by, or take it out.",
        (
            ":16:73: fasteners.end_bolts.single_use: torque-to-yield fasteners are stretched once and always renewed: "
            "write true."
        ),
        (
            ":18:52: fasteners.plug_thread.drive: 'hexx' is not allowed: did you mean 'hex'? Allowed is hex, hex_socket, "
            "hexalobular, external_hexalobular, twelve_point, square, cross, slotted, spring_clip_pliers, by_hand."
        ),
        (
            ":25:18: components.pan.blocked_by: there is no component 'undertray': there are 'pan', 'filter', 'baffle', "
            "'body', 'plug'."
        ),
        ":27:5: 'place' is there twice, first in line 23: keep one.",
        (
            ":28:3: components.filter: filter → baffle → filter is a circle, so none of them can come off first: take one "
            "of these arrows out."
        ),
        ":35:21: components.body.minutes.off: [9, 6, 15] does not rise: write [low, likely, high], in minutes.",
        ":37:74: components.plug.colour: there is no such entry: did you mean 'cool'?",
    ]


CASES = {
    "two parts that a plan would call by one name": (
        text([component("a"), component("b").replace("name: b", "name: A")]),
        ["components.b.name: a is called 'A' too: say which is which, as in left and right."],
    ),
    "two fasteners in one place": (
        text([component("a", "held_by: [g]")], [group("g", count=3, more="positions_mm: [[0, 0], [1, 1], [0, 0]]")]),
        ["fasteners.g.positions_mm: [0, 0] is there twice: give every fastener a place of its own."],
    ),
    "more than a whole turn": (
        text([component("a", "held_by: [g]")], [group("g", more="angle: 450 deg")]),
        ["fasteners.g.angle: 450 deg is more than one whole turn: check the figure."],
    ),
    "a figure without its unit, where it comes from said": (
        text([component("a", "held_by: [g]")], [group("g", torque="{value: 9, sure: printed}")]),
        ["fasteners.g.torque: '9' has no unit: write the torque as in 12 N·m, 106 lbf·in or 9 lbf·ft."],
    ),
    "a curve that turns back": (
        text([component("a")], None, "sensors: {t: {component: a, reads: fluid_temp, curve: [[0, 9], [20, 3], [40, 4]]}}"),
        [
            "sensors.t.curve: the ohms must rise or fall all the way as the temperature rises: check each pair [°C, ohm]."
        ],
    ),
    "more in the pan than in all": (
        text([component("a")], None, FLUID.replace("pan: 3 L", "pan: 8 L").replace("[drain_plug]", "[]")),
        ["fluid.capacity.pan: 8 L is more than the 7 L of total: check both figures."],
    ),
    "a group and a part of one name": (
        text([component("a", "held_by: [a]")], [group("a")]),
        ["components.a: 'a' is the name of a fastener group already: choose another."],
    ),
    "a name that plans keep": (
        text([component("fluid")]),
        ["components.fluid: the name 'fluid' is kept for plans: choose another."],
    ),
    "an unknown group": (
        text([component("a", "held_by: [bolt]")], [group("bolts", more="notes: x")]),
        [
            "fasteners.bolts: no component is held by this group: name it in a held_by, or take it out.",
            "components.a.held_by: there is no fastener group 'bolt': did you mean 'bolts'?",
        ],
    ),
    "in its own way": (
        text([component("a", "blocked_by: [a]")]),
        ["components.a.blocked_by: 'a' names itself: take it out."],
    ),
    "aside where that is not possible": (
        text([component("a"), component("b", "blocked_by: [a aside]")]),
        ["components.b.blocked_by: 'a' cannot be moved aside: give it an `aside` entry, or name it alone."],
    ),
    "opening what cannot be opened": (
        text([component("a", kind="pan"), component("b", "open_first: [a]")]),
        ["components.b.open_first: 'a' is a pan and cannot be opened: list it in blocked_by."],
    ),
    "a circle through alternatives": (
        text(
            [
                component("a", "blocked_by: [{any_of: [b, c]}]"),
                component("b", "blocked_by: [a]"),
                component("c"),
            ]
        ),
        ["components.a: a → b → a is a circle, so none of them can come off first: take one of these arrows out."],
    ),
    "a seal that nothing exposes": (
        text([component("ring", kind="seal")]),
        ["components.ring: nothing exposes this seal: name in exposed_by the parts it sits between."],
    ),
    "lint inside": (
        text([component("a", "inside: true, consumables: [rag]")], None, "consumables: {rag: {name: Rag, sheds_lint: true}}"),
        ["components.a.consumables: 'rag' sheds lint and this part is inside: use a lint-free one."],
    ),
    "positions for too few": (
        text([component("a", "held_by: [g]")], [group("g", more="positions_mm: [[0, 0], [1, 1]]")]),
        ["fasteners.g.positions_mm: there are 2 of them for 4 fasteners: give one for each."],
    ),
    "yield without an angle": (
        text([component("a", "held_by: [g]")], [group("g", more="torque_to_yield: true")]),
        ["fasteners.g.torque_to_yield: there is no angle: give the turn after the torque, as in 60 deg."],
    ),
    "no such thread": (
        text([component("a", "held_by: [g]")], [group("g").replace("thread: M6", "thread: M6x9")]),
        ["fasteners.g.thread: 'M6x9' has a pitch that no M6 thread has: write it as in M6x1."],
    ),
    "a source that is not listed": (
        text([component("a", "held_by: [g]")], [group("g", torque="{value: 9 N·m, source: book}")]),
        ["fasteners.g.torque.source: there is no source 'book': there are none."],
    ),
    "no friction state": (
        text([component("a", "held_by: [g]")], [group("g").replace("friction: dry, ", "")]),
        ["fasteners.g.friction: this is missing: add it."],
    ),
    "a count of none": (
        text([component("a", "held_by: [g]")], [group("g", count=0)]),
        ["fasteners.g.count: 0 is not allowed: it must be at least 1."],
    ),
    "two numbers of minutes": (
        text([component("a", minutes="{off: [1, 2], on: [1, 2, 3]}")]),
        ["components.a.minutes.off: [1, 2] is not three numbers: write [low, likely, high], in minutes."],
    ),
    "a misspelt entry": (
        text([component("a", "blockedby: [b]")]),
        ["components.a.blockedby: there is no such entry: did you mean 'blocked_by'?"],
    ),
    "a name with a blank": (
        text([component("'my part'")]),
        ["components.my part: 'my part' is not a name: use small letters, digits and _, beginning with a letter."],
    ),
    "text for a switch": (
        text([component("a", "inside: perhaps")]),
        ["components.a.inside: 'perhaps' is not allowed: write true or false."],
    ),
    "a tie wanted after it must be gone": (
        text(
            [component("line", kind="line"), component("pan", "blocked_by: [line]")],
            None,
            "aids: {tie: {name: Tie, kind: tie, used_with: [line], out_before: [pan]}}",
        ),
        [
            ("aids.tie.out_before: pan goes on before line, for which the tie is still needed: name a part that goes on "
            "later.")
        ],
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_one_mistake_is_one_line(name: str) -> None:
    said, sentences = CASES[name]
    assert [line.split(": ", 1)[1] for line in problems(said)] == sentences


def test_every_line_names_file_line_and_column() -> None:
    for said, _ in CASES.values():
        for line in problems(said):
            assert re.match(r"x\.yaml:\d+:\d+: \S", line), line


def test_the_window_must_open_before_it_closes() -> None:
    said = example().replace("low: 36 °C", "low: 46 °C")
    assert problems(said) == [
        "x.yaml:104:11: fluid.level.high: it must be above low: check the two ends of the window."
    ]


@pytest.mark.parametrize(
    ("right", "wrong", "sentence"),
    [
        (
            "low: 36 °C",
            "low: 36 K",
            "level.low: 36 K, -237 °C, cannot be, it lies between -30 °C and 130 °C: did you mean 36 °C?",
        ),
        ("# density_15c: 843 kg/m³", "density_15c: 0.843 kg/m³", "did you mean 0.843 g/cm³?"),
        (
            "# hole_diameter: 7 mm",
            "hole_diameter: 7 m",
            "7 m, 7000.0 mm, cannot be, it lies between 1.0 mm and 60.0 mm: did you mean 7 mm?",
        ),
        (
            "# pan_area: 640 cm²",
            "pan_area: 640 mm²",
            "640 mm², 6 cm², cannot be, it lies between 20 cm² and 10000 cm²: did you mean 640 cm²?",
        ),
        ("# pickup_below: 31 mm", "pickup_below: 31 m", "did you mean 31 mm?"),
        ("pan: 4 L ", "pan: 4 mL ", "did you mean 4 L?"),
    ],
)
def test_a_unit_that_was_mistaken_is_asked_for(right: str, wrong: str, sentence: str) -> None:
    """Factors of SI prefixes; that oils weigh 0.7 to 1.2 kg/L and level holes are millimetres wide is common practice."""
    (said,) = problems(example().replace(right, wrong))
    assert sentence in said


def test_a_fluid_is_thinner_when_hot() -> None:
    """Every liquid of this kind is: 5.8 mm²/s at 100 °C and less at 40 °C are two figures the wrong way round."""
    turned = example().replace("# viscosity_40c: 29 mm²/s", "viscosity_40c: 5 mm²/s")
    (said,) = problems(turned.replace("# viscosity_100c: 6 mm²/s", "viscosity_100c: 6 mm²/s"))
    assert said.endswith("every fluid is thinner when hot: check which is which.")


def test_text_that_is_not_yaml_is_one_line() -> None:
    assert problems("a: [1\nb: 2") == [
        "x.yaml:2:2: this is not YAML (expected ',' or ']', but got ':'): check indents, colons and quotes around here."
    ]


@pytest.mark.parametrize("said", ["", "- a\n- b\n", "just words"])
def test_what_is_no_sheet_at_all(said: str) -> None:
    assert problems(said) == ["x.yaml:1:1: there is no unit sheet in this file: see `coldsoak sheet new`."]


def test_a_file_of_another_kind_is_named(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text(skeleton(), encoding="utf-8")
    with pytest.raises(
        SheetError,
        match=r":7:9: schema is 'coldsoak.sheet/1', and a tool crib has 'coldsoak.crib/1': name the right file\.$",
    ):
        load_crib(path)


def test_bytes_that_are_not_text_are_placed(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_bytes(b"schema: coldsoak.sheet/1\nunit: {name: caf\xe9}\n")
    with pytest.raises(SheetError) as caught:
        load_sheet(path)
    assert caught.value.problems == (f"{path}:2:17: this is not UTF-8 text: save the file as UTF-8.",)


def test_prices_have_no_more_digits_than_the_currency(tmp_path: Path) -> None:
    path = tmp_path / "p.yaml"
    path.write_text(
        "schema: coldsoak.prices/1\ncurrency: JPY\nlabour: {per_hour: 9000}\nparts: {a: {name: A, price: 10.5}}\n",
        "utf-8",
    )
    with pytest.raises(
        SheetError, match=r"parts\.a: 10\.5 has more than the 0 digits after the point that JPY has\.$"
    ):
        load_prices(path)


def test_brackets_by_the_thousand_are_refused_at_once() -> None:
    """Source of the limit: none; a sheet needs five. The reader of YAML would take 20 s over these."""
    assert problems("a: " + "[" * 2000 + "]" * 2000) == [
        "x.yaml:1:1: this nests too deeply for a sheet: write it as plain text with indents."
    ]


@pytest.mark.parametrize(("price", "bound"), [(str(10**30), r"at most 1e\+09"), ("-1", "at least 0")])
def test_a_price_beyond_all_is_refused(tmp_path: Path, price: str, bound: str) -> None:
    path = tmp_path / "prices.yaml"
    path.write_text(f"schema: coldsoak.prices/1\ncurrency: EUR\nlabour: {{per_hour: {price}}}\n", "utf-8")
    with pytest.raises(SheetError, match=rf"labour\.per_hour: .* is not allowed: it must be {bound}\."):
        load_prices(path)


def test_a_comma_within_a_number_is_named() -> None:
    """In YAML 1.2, section 7.4.2, a comma ends an entry of a flow mapping: `price: 41,50` are two of them."""
    text = "schema: coldsoak.prices/1\ncurrency: EUR\nlabour: {per_hour: 94}\nparts:\n  filter: {name: Filter, price: 41,50}\n"
    with pytest.raises(SheetError) as caught:
        parse_prices(text, "x.yaml")
    assert str(caught.value) == (
        "x.yaml:5:36: parts.filter: a comma begins the next entry, so that 50 stands here alone: write decimals with a point, "
        "as in 12.50."
    )
