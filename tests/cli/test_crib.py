"""One rule for where the crib is looked for, in every command that takes one. Expected: where the demo's crib was put."""

import json
import shutil

import pytest

from coldsoak.cli._edge import run
from coldsoak.cli.main import coldsoak
from coldsoak.practice.demo import write_demo

PLAN = ["plan", "{sheet}", "--replace", "filter", "--json"]
TIGHTEN = ["tighten", "{sheet}", "pan_bolts", "--json"]
TORQUE = ["torque", "76 lbf·in", "--json"]


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    folder = tmp_path_factory.mktemp("crib") / "shop"
    write_demo(folder)
    return folder


def knows_tools(arguments, sheet, capsys):
    """Whether the answer names a wrench of the crib."""
    assert run(coldsoak, [one.format(sheet=sheet) for one in arguments]) in (0, 2)
    said = capsys.readouterr().out
    if not said:
        return False
    answer = json.loads(said)
    if arguments is PLAN:
        return any(one["crib"] for one in answer["kit"]["tools"])
    return "Small wrench" in said


@pytest.mark.parametrize("arguments", [PLAN, TIGHTEN, TORQUE], ids=["plan", "tighten", "torque"])
def test_the_crib_is_found_in_one_way(made, tmp_path, monkeypatch, capsys, arguments):
    monkeypatch.chdir(made)
    assert knows_tools(arguments, "units/orrin-r6.yaml", capsys), "in this folder"
    monkeypatch.chdir(made / "units")
    assert knows_tools(arguments, "orrin-r6.yaml", capsys), "in the folder above"
    (tmp_path / "a" / "b").mkdir(parents=True)
    monkeypatch.chdir(tmp_path / "a" / "b")
    assert knows_tools(arguments, made / "units" / "orrin-r6.yaml", capsys) is (arguments is not TORQUE)
    shutil.copy(made / "units" / "orrin-r6.yaml", tmp_path / "a" / "b")
    assert not knows_tools(arguments, "orrin-r6.yaml", capsys), "nowhere near"
