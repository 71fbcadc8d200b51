"""Whatever is handed in, the answer is one of our sentences or a plain result, and the store is as it was."""

from collections.abc import Callable
from typing import Any

import pytest
from tests.shop.entries import new_id, open_job, opened_body, torque

from coldsoak.errors import ColdsoakError
from coldsoak.shop import Draft, Shop
from coldsoak.shop.names import safe_file_name

TEXTS = [
    "",
    "\0",
    "a\0b",
    "\ud800",
    "𝔞",
    "\u202eabc",
    "'; DROP TABLE job; --",
    '"*',
    "%",
    "\n" * 50,
    "x" * 100_000,
    "ﬀ" * 600,
]
NUMBERS = [0, -1, 2**31, 2**63, 10**40]

BY_TEXT: dict[str, Callable[[Shop, str], Any]] = {
    "search": lambda shop, text: shop.list.page(find=text),
    "place in the list": lambda shop, text: shop.list.page(after=text or "x"),
    "stage": lambda shop, text: shop.list.page(stage=text.replace("\0", "").replace("\ud800", "") or None),  # type: ignore[arg-type]
    "login": lambda shop, text: shop.sessions.login(text, text, address="192.0.2.9", device=text),
    "who": lambda shop, text: shop.sessions.who(text),
    "logout": lambda shop, text: shop.sessions.logout(text),
    "end": lambda shop, text: shop.sessions.end(1, text or None, by="Ana"),
    "person": lambda shop, text: shop.people.add(text, "reader", "nine bolts on the bench", by="Ana"),
    "passphrase": lambda shop, text: shop.people.add("Rob Elm", "reader", text, by="Ana"),
    "blob": lambda shop, text: shop.blobs.read(text),
    "file name": lambda shop, text: shop.blobs.put(b"x", "log", text, by="Ana"),
    "sheet": lambda shop, text: shop.papers.newest("unit", text),
    "sheet text": lambda shop, text: shop.papers.put("unit", text, name="orrin", by="Ana"),
    "sheet hash": lambda shop, text: shop.papers.with_hash(text),
    "setting": lambda shop, text: shop.settings.put("shop_name", text, by="Ana"),
    "setting name": lambda shop, text: shop.settings.put(text, "x", by="Ana"),
    "deed": lambda shop, text: shop.audit.note(text, "test", text),
    "job of": lambda shop, text: shop.jobs.with_opening_event(text),
    "note": lambda shop, text: shop.jobs.append(1, {"kind": "note", "text": text}, by="Ana", id=new_id()),
    "kind": lambda shop, text: shop.jobs.append(1, {"kind": text}, by="Ana", id=new_id()),
    "by": lambda shop, text: shop.jobs.append(1, torque(), by=text, id=new_id()),
    "id": lambda shop, text: shop.jobs.append(1, torque(), by="Ana", id=text),
    "at": lambda shop, text: shop.jobs.append(1, torque(), by="Ana", id=new_id(), at=text),
    "vehicle": lambda shop, text: shop.jobs.open(
        Draft(opened_body(vehicle={"name": text}), new_id()), by="Ana"
    ),
    "record": lambda shop, text: shop.transfer.take_in(text.encode("utf-8", "replace"), "x", by="Ana"),
    "table": lambda shop, text: shop.transfer.csv(1, text),
}
BY_NUMBER: dict[str, Callable[[Shop, int], Any]] = {
    "line": lambda shop, number: shop.list.line(number),
    "append": lambda shop, number: shop.jobs.append(number, torque(), by="Ana", id=new_id()),
    "entries": lambda shop, number: shop.jobs.entries(number),
    "since": lambda shop, number: shop.jobs.entries(1, since=number),
    "record": lambda shop, number: shop.jobs.record(number),
    "undo": lambda shop, number: shop.jobs.undo(1, number, "x", by="Ana", id=new_id()),
    "page": lambda shop, number: shop.list.page(limit=number),
    "person": lambda shop, number: shop.people.one(number),
    "torque": lambda shop, number: shop.jobs.append(
        1, torque(number, torque_nm=number), by="Ana", id=new_id()
    ),
    "deeds": lambda shop, number: shop.audit.page(before=number, limit=number),
}


@pytest.mark.parametrize("what", BY_TEXT)
def test_any_text(shop: Shop, what: str) -> None:
    open_job(shop)
    for text in TEXTS:
        answered(lambda text=text: BY_TEXT[what](shop, text))  # type: ignore[misc]
    assert shop.check() == []
    shop.list.page(find="orrin")
    shop.audit.page()


@pytest.mark.parametrize("what", BY_NUMBER)
def test_any_number(shop: Shop, what: str) -> None:
    open_job(shop)
    for number in NUMBERS:
        answered(lambda number=number: BY_NUMBER[what](shop, number))  # type: ignore[misc]
    assert shop.check() == []


def answered(call: Callable[[], Any]) -> None:
    said = ""
    try:
        call()
    except ColdsoakError as error:
        said = str(error)
    assert "refused (" not in said  # the database's own words are for nobody
    assert len(said) < 2000


@pytest.mark.parametrize("text", TEXTS)
def test_a_file_name_is_always_one(text: str) -> None:
    name = safe_file_name(text)
    assert 1 <= len(name) <= 100
    assert name.isprintable()
    assert not set(name) & set('/\\:*?"<>|%')
