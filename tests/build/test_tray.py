"""The tray: nothing is made, nothing is lost, nothing closes while something is open.

Source: the rules are common practice, no source; conservation is counted here by hand, apart from the ledger's own state.
"""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coldsoak.build.tray import Tray
from coldsoak.build.tray_items import Item
from coldsoak.errors import InputError

PAN = Item(key="pan_bolts", name="Pan bolts", kind="fasteners", count=14, plural=True)
ENDS = Item(
    key="end_bolts",
    name="Solenoid-body end bolts",
    kind="fasteners",
    count=5,
    plural=True,
    single_use=True,
    torque_nm=4.0,
    passes=2,
)
TIE = Item(key="tie", name="Tie that holds the cooler line aside", kind="aid")
PLUG = Item(key="case_connector", name="Case connector", kind="connector")
FILTER = Item(key="filter", name="Filter", kind="part")
ITEMS = (PAN, ENDS, TIE, PLUG, FILTER)
BY = {"who": "Ana", "when": "09:00"}

moves = st.one_of(
    st.tuples(
        st.sampled_from(["off", "on", "new", "throw_away"]),
        st.sampled_from(["pan_bolts", "end_bolts", "case_connector", "filter"]),
        st.integers(1, 6),
    ),
    st.tuples(st.sampled_from(["in", "out"]), st.just("tie"), st.just(1)),
    st.tuples(st.just("undo"), st.just(""), st.integers(1, 40)),
    st.tuples(st.just("torque"), st.sampled_from(["pan_bolts", "end_bolts"]), st.integers(1, 6)),
)


def moved(tray: Tray, move: tuple[str, str, int]) -> Tray:
    action, key, count = move
    if action == "undo":
        return tray.undo(count, **BY)
    if action == "torque":
        return tray.torque(key, count, 1, 4.0, tool="small wrench", **BY)
    if action in ("in", "out"):
        return tray.put_in(key, **BY) if action == "in" else tray.take_out(key, **BY)
    if action == "new":
        return tray.on(key, count=count, new=True, **BY)
    return getattr(tray, action)(key, count=count, **BY)


@given(st.lists(moves, max_size=40))
def test_any_interleaving_of_moves_conserves_every_item(story: list[tuple[str, str, int]]) -> None:
    tray = Tray(items=ITEMS)
    done: list[tuple[str, str, int] | None] = []
    for move in story:
        try:
            tray = moved(tray, move)
        except InputError:
            continue
        done.append(move)
    assert len(tray.entries) == len(done)
    live = alive(done)
    for item in ITEMS:
        counted = {"off": 0, "on": 0, "new": 0, "throw_away": 0, "in": 0, "out": 0}
        for at, move in enumerate(done):
            if at in live and move is not None and move[1] == item.key and move[0] in counted:
                counted[move[0]] += move[2]
        where = tray.where[item.key]
        first = 0 if item.aid else item.count
        back = counted["on"] + counted["new"] + counted["in"]
        assert where.on == first - counted["off"] - counted["out"] + back
        assert where.tray == counted["off"] - counted["on"] - counted["throw_away"]
        assert where.thrown == counted["throw_away"]
        assert where.total == first + where.brought
        assert 0 <= where.on <= item.count
        assert where.tray >= 0


def alive(done: list[tuple[str, str, int] | None]) -> set[int]:
    """Which moves stand, by a road of its own: every undo, from the last to the first, strikes one line out."""
    struck: set[int] = set()
    for at in range(len(done) - 1, -1, -1):
        move = done[at]
        if move is not None and move[0] == "undo" and at not in struck:
            struck.add(move[2] - 1)
    return {at for at in range(len(done)) if at not in struck}


@given(st.lists(moves, max_size=30))
def test_a_tray_closes_only_when_everything_is_back_once(story: list[tuple[str, str, int]]) -> None:
    tray = Tray(items=(PAN, TIE, PLUG, FILTER))
    for move in story:
        try:
            tray = moved(tray, move)
        except InputError:
            continue
    complete = all(
        tray.where[i.key].on == (0 if i.aid else i.count) and tray.where[i.key].tray == 0 for i in tray.items
    )
    assert complete == (not tray.open_points())
    if complete:
        assert tray.close(**BY).closed
    else:
        with pytest.raises(InputError, match="put that right, or close with a reason"):
            tray.close(**BY)
        assert tray.close(reason="customer takes it to another shop", **BY).closed


@given(st.lists(moves, max_size=25))
def test_a_ledger_comes_back_equal_from_json_and_keeps_every_line(story: list[tuple[str, str, int]]) -> None:
    tray = Tray(items=ITEMS)
    for move in story:
        before = tray.entries
        try:
            tray = moved(tray, move)
        except InputError:
            continue
        assert tray.entries[:-1] == before
    assert Tray.from_json(tray.to_json()) == tray


def test_the_sentences_of_the_trade() -> None:
    tray = Tray(items=ITEMS).off("pan_bolts", count=14, **BY).on("pan_bolts", count=12, **BY)
    tray = tray.put_in("tie", **BY).off("case_connector", **BY).off("filter", **BY)
    tray = tray.off("end_bolts", count=5, **BY).on("end_bolts", count=5, **BY)
    assert tray.open_points() == (
        "2 of 14 pan bolts are still on the tray",
        "the solenoid-body end bolts went back used: they are single-use",
        "pass 1 is not written down on 5 of 5 solenoid-body end bolts",
        "pass 2 is not written down on 5 of 5 solenoid-body end bolts",
        "the tie that holds the cooler line aside is still in",
        "the case connector is still open",
        "the filter is still on the tray",
    )


def test_single_use_bolts_go_back_new_and_the_old_ones_away() -> None:
    tray = Tray(items=(ENDS,)).off("end_bolts", count=5, **BY).on("end_bolts", count=5, new=True, **BY)
    assert "5 old solenoid-body end bolts are still on the tray" in tray.open_points()[0]
    tray = tray.throw_away("end_bolts", count=5, **BY)
    for number in (1, 2):
        for bolt in range(1, 6):
            tray = tray.torque("end_bolts", bolt, number, 4.0, tool="small wrench", **BY)
    assert tray.open_points() == ()


def test_a_torque_in_the_wrong_unit_is_noticed() -> None:
    """35 lbf·in is 3.95 N·m; 35 lbf·ft is 47.5 N·m."""
    tray = Tray(items=(ENDS.model_copy(update={"passes": 1}),)).torque(
        "end_bolts", 1, 1, 47.5, tool="large wrench", **BY
    )
    assert (
        "no. 1 of the solenoid-body end bolts was tightened to 47.5 N·m instead of 4.0 N·m"
        in tray.open_points()
    )


def test_the_last_pass_is_the_one_that_counts() -> None:
    """A first pass at half torque is no mistake; a last one is."""
    rising, falling = Tray(items=(ENDS,)), Tray(items=(ENDS,))
    for bolt in range(1, 6):
        rising = rising.torque("end_bolts", bolt, 1, 2.0, tool="w", **BY).torque(
            "end_bolts", bolt, 2, 4.0, tool="w", **BY
        )
        falling = falling.torque("end_bolts", bolt, 1, 4.0, tool="w", **BY).torque(
            "end_bolts", bolt, 2, 2.0, tool="w", **BY
        )
    assert rising.open_points() == ()
    assert (
        falling.open_points()[0]
        == "no. 1 of the solenoid-body end bolts was tightened to 2.0 N·m instead of 4.0 N·m"
    )
    assert len(falling.open_points()) == 5


def test_bolts_undone_again_lose_their_torque_entries() -> None:
    tray = Tray(items=(ENDS.model_copy(update={"passes": 1, "single_use": False}),))
    for bolt in range(1, 6):
        tray = tray.torque("end_bolts", bolt, 1, 4.0, tool="w", **BY)
    assert tray.open_points() == ()
    tray = tray.off("end_bolts", count=1, **BY).on("end_bolts", count=1, **BY)
    assert tray.open_points() == ("pass 1 is not written down on 5 of 5 solenoid-body end bolts",)


def test_undo_keeps_history_and_can_be_undone() -> None:
    tray = Tray(items=(FILTER,)).off("filter", **BY).undo(1, **BY)
    assert tray.open_points() == ()
    assert [entry.action for entry in tray.entries] == ["off", "undo"]
    again = tray.undo(2, **BY)
    assert again.open_points() == ("the filter is still on the tray",)
    with pytest.raises(InputError, match=r"^entry 1 is undone already: undo that undo to have it back\.$"):
        tray.undo(1, **BY)


def test_an_entry_that_others_build_on_cannot_be_undone_alone() -> None:
    tray = Tray(items=(FILTER,)).off("filter", **BY).on("filter", **BY)
    with pytest.raises(InputError, match=r"^entry 1 cannot be undone by itself, later ones build on it: "):
        tray.undo(1, **BY)


def test_a_reason_stays_in_the_record_and_a_closed_job_takes_no_move() -> None:
    tray = Tray(items=(FILTER,)).off("filter", **BY).close(reason="no filter to be had", **BY)
    assert tray.entries[-1].reason == "no filter to be had"
    assert tray.entries[-1].left_open == ("the filter is still on the tray",)
    with pytest.raises(InputError, match=r"^the job is closed: undo the close first\.$"):
        tray.on("filter", **BY)
    assert not tray.undo(2, **BY).closed


@pytest.mark.parametrize(
    ("move", "sentence"),
    [
        (
            ("off", "pan_bolts", 15),
            "14 of the pan bolts are on the vehicle, so 15 cannot be moved: count again.",
        ),
        (
            ("new", "pan_bolts", 1),
            "14 of the pan bolts belong on the vehicle, 14 are on it: 1 more cannot go back; count again.",
        ),
        (
            ("on", "filter", 1),
            "the filter is on the vehicle already: count again.",
        ),
        (
            ("out", "tie", 1),
            "the tie that holds the cooler line aside is not in, so it cannot be moved: look again.",
        ),
        (("off", "tie", 1), "the tie that holds the cooler line aside goes in and out: use that move."),
    ],
)
def test_what_cannot_have_happened_is_refused(move: tuple[str, str, int], sentence: str) -> None:
    with pytest.raises(InputError) as error:
        moved(Tray(items=ITEMS), move)
    assert str(error.value) == sentence
