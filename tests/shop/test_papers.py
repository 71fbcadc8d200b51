"""Unit sheets, crib and prices: checked, versioned, every version kept."""

import hashlib
from importlib.resources import files

import pytest

from coldsoak.errors import InputError, NotThereError, SheetError
from coldsoak.shop import Shop

DEMO = files("coldsoak") / "demo"
UNIT = (DEMO / "units" / "haldor-t3.yaml").read_text("utf-8")
CRIB = (DEMO / "crib.yaml").read_text("utf-8")
PRICES = (DEMO / "prices.yaml").read_text("utf-8")


def test_every_version_is_kept(shop: Shop) -> None:
    first = shop.papers.put("unit", UNIT, name="haldor-t3", by="Lea Voss")
    assert (first.version, first.sha256) == (1, hashlib.sha256(UNIT.encode()).hexdigest())
    assert shop.papers.put("unit", UNIT, name="haldor-t3", by="Ana") == first
    second = shop.papers.put("unit", UNIT + "\n# measured again\n", name="haldor-t3", by="Ana")
    third = shop.papers.put("unit", UNIT, name="haldor-t3", by="Ana")
    assert [one.version for one in shop.papers.versions("unit", "haldor-t3")] == [3, 2, 1]
    assert shop.papers.newest("unit", "haldor-t3") == third
    assert shop.papers.with_hash(second.sha256) == second
    assert [one.name for one in shop.papers.units()] == ["haldor-t3"]
    assert shop.papers.units()[0].version == 3
    assert shop.papers.unit_sheet("haldor-t3").unit.name
    deed = shop.audit.page()[-1]
    assert (deed.by, deed.action) == ("Lea Voss", "sheet")
    assert deed.what == f"unit sheet haldor-t3, version 1, {first.sha256}"


def test_crib_and_prices(shop: Shop) -> None:
    with pytest.raises(NotThereError, match=r"^there is no crib in this shop: put it in first.$"):
        shop.papers.crib()
    shop.papers.put("crib", CRIB, by="Lea Voss")
    shop.papers.put("prices", PRICES, by="Lea Voss")
    assert shop.papers.crib().shop == "Larkwater Gearbox Works"
    assert shop.papers.prices().currency == "EUR"
    assert shop.papers.units() == []


def test_mistakes_are_named_and_nothing_is_kept(shop: Shop) -> None:
    with pytest.raises(SheetError, match=r"^haldor-t3.yaml:1:1: unit: this is missing: add it."):
        shop.papers.put("unit", "schema: coldsoak.sheet/1\ncomponents: {}\n", name="haldor-t3", by="Ana")
    with pytest.raises(SheetError, match="name the right file"):
        shop.papers.put("crib", PRICES, by="Ana")
    for name in ("../x", "Orrin R6", "", "a--b", "x" * 65):
        with pytest.raises(InputError, match="cannot be the name of a sheet"):
            shop.papers.put("unit", UNIT, name=name, by="Ana")
    with pytest.raises(InputError, match="cannot be the name of a sheet"):
        shop.papers.put("crib", CRIB, name="mine", by="Ana")
    assert shop.papers.units() == []
    assert shop.papers.versions("crib") == []
