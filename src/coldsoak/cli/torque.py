"""`coldsoak torque`: what to set on the wrench in hand for a torque."""

import datetime as dt
import sys
from pathlib import Path

import click

from coldsoak.cli.wrench_options import adapter_of, angle_deg, crib_of, wrench_options
from coldsoak.errors import InputError


@click.command()
@click.argument("target")
@click.option(
    "--wrench",
    metavar="NAME",
    help="A wrench of the crib, or the marks of its scale: '10 to 60 N·m'. Without it the crib's best.",
)
@click.option("--angle", metavar="DEG", help="Turn after the torque, as in '45 deg'.")
@click.option("--thread", metavar="THREAD", help="Thread, as in M6x1: a torque it could not bear asks back.")
@click.option("--class", "property_class", metavar="CLASS", help="Property class of the screw, as in 8.8.")
@click.option(
    "--adapter", metavar="LENGTH", help="Crowfoot or other adapter: from the square to the fastener."
)
@click.option(
    "--at",
    "at_angle",
    metavar="DEG",
    help="Angle of the adapter to the handle: 0 straight on, 90 square, 180 back.",
)
@click.option("--handle", metavar="LENGTH", help="From the square to the middle of the grip.")
@click.option(
    "--access",
    multiple=True,
    type=click.Choice(["low_profile", "swivel", "long_extension"]),
    help="What goes between wrench and fastener (repeatable).",
)
@click.option("--as-written", is_flag=True, help="The target stands, however odd it is.")
@click.option("--json", "as_json", is_flag=True, help="Print one line of JSON.")
@wrench_options
def command(
    target: str,
    wrench: str | None,
    angle: str | None,
    thread: str | None,
    property_class: str | None,
    adapter: str | None,
    at_angle: str | None,
    handle: str | None,
    access: tuple[str, ...],
    as_written: bool,
    as_json: bool,
    crib: Path | None,
    day: dt.date,
) -> int:
    """Say what to set on a wrench so that the fastener gets TARGET, a torque with its unit: '106 lbf·in', '12 N·m'.

    The exit status is 0 when there is an answer, also where no wrench can make it, and 2 when something cannot be used
    or the torque is one that the thread cannot bear or hardly feels.
    """
    from dataclasses import replace

    from coldsoak.build.setting import best_setting, set_wrench
    from coldsoak.build.wrench import all_of, find
    from coldsoak.sheet.quantities import quantity
    from coldsoak.sheet.trade import MOST_TURN_DEG

    target_nm, unit = read_torque(target)
    if thread is not None:
        _ask_back(target_nm, unit, thread, property_class, as_written=as_written, quiet=as_json)
    shop = crib_of(crib, needed=wrench is None)
    others = all_of(shop)
    by = adapter_of(adapter, at_angle)
    turn = angle_deg(angle) if angle is not None else None
    if turn is not None and not 0.0 < turn <= MOST_TURN_DEG:
        raise InputError(
            f"a turn of {turn:g} deg after the torque is none: give one above 0 deg and up to {MOST_TURN_DEG:g} deg."
        )
    if handle is not None and wrench is None:
        raise InputError("--handle is the length of one wrench: name that with --wrench.")
    if wrench is None:
        setting = best_setting(target_nm, unit, others, day, adapter=by, access=access, angle_deg=turn)
    else:
        hand = find(wrench, shop)
        if handle is not None:
            hand = replace(hand, handle_mm=quantity(handle, "length"))
        setting = set_wrench(
            target_nm, unit, hand, day, adapter=by, access=access, angle_deg=turn, others=others
        )
    if as_json:
        click.echo(setting.to_json())
    else:
        from coldsoak.cli.torque_view import show

        show(setting)
    return 0


def read_torque(text: str) -> tuple[float, str]:
    """Return a torque in N·m and the unit it was written in; a bare number or an unclear unit is refused."""
    import re

    from coldsoak.sheet.quantities import quantity, unit_name

    torque_nm = quantity(text, "torque")
    if torque_nm <= 0:
        raise InputError(f"{text!r} is no torque to tighten with: give one above 0.")
    written = re.sub(r"^\s*[+-]?[\d.]+(?:[eE][+-]?\d+)?", "", text).strip()
    return torque_nm, unit_name(written, "torque")


def _ask_back(
    target_nm: float,
    unit: str,
    thread: str,
    property_class: str | None,
    *,
    as_written: bool,
    quiet: bool,
) -> None:
    from coldsoak.build.ask_back import doubt
    from coldsoak.sheet.thread import PROOF_STRESS_MPA, read_thread

    if property_class is not None and property_class not in PROOF_STRESS_MPA:
        raise InputError(
            f"{property_class!r} is no property class: give what is stamped on the head, one of {', '.join(PROOF_STRESS_MPA)}."
        )
    known = read_thread(thread)
    if known is None or as_written:
        return
    question = doubt(target_nm, unit, known, thread, property_class)
    if question is None:
        return
    if quiet or not sys.stdin.isatty():
        raise InputError(f"{question} If it stands as written, say --as-written.")
    click.echo(question)
    click.confirm("Go on with the torque as written?", abort=True)
