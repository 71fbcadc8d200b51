"""What the pages load: our own small files, under one digest, with nothing from a network and nothing inline.

Source: this project's own rules (modules under 200 lines, the style under 20 kB, all scripts under 60 kB, of which a page
loads at most 40 kB before the parts that only some pages need).
"""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from coldsoak.shop.store import open_shop
from coldsoak.web.bay import assets
from coldsoak.web.bay.app import create_app

SCRIPTS = [name for name in assets.names() if name.endswith(".js")]
TEMPLATES = Path(assets.__file__).parents[1] / "templates" / "bay"


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    with open_shop(tmp_path_factory.mktemp("static") / "shop") as shop:
        yield TestClient(create_app(shop), base_url="http://127.0.0.1")


def text_of(name: str) -> str:
    return (assets.read(name) or b"").decode("utf-8")


def loaded_from(name: str) -> set[str]:
    """A module and all that it imports at once; `import()` loads later."""
    found = {name}
    for other in re.findall(r'^import .* from "\./([\w.]+)";', text_of(name), flags=re.MULTILINE):
        found |= loaded_from(other)
    return found


@pytest.mark.parametrize("name", SCRIPTS)
def test_a_script_is_small_and_keeps_to_itself(name: str) -> None:
    text = (Path(assets.__file__).parents[1] / "static" / name).read_text("utf-8")
    assert len(text.splitlines()) < 200
    assert text.startswith("/**")
    assert not re.search(
        r"https?://|\beval\(|new Function|innerHTML|document\.write|SyncManager|\.sync\b", text
    )


def test_the_scripts_stay_light() -> None:
    assert sum(len(text_of(name)) for name in SCRIPTS) < 60_000
    assert sum(len(text_of(name)) for name in loaded_from("bay.js")) < 40_000
    assert len(text_of("bay.css")) < 20_000


def test_no_scripts_import_each_other_in_a_circle() -> None:
    for name in SCRIPTS:
        straight = re.findall(r'^import .* from "\./([\w.]+)";', text_of(name), flags=re.MULTILINE)
        assert all(name not in loaded_from(other) for other in straight), name


def test_a_page_names_its_files_by_what_they_hold(client: TestClient) -> None:
    page = client.get("/").text
    named = re.findall(r'(?:src|href)="(/static/[^"]+)"', page)
    assert f"/static/{assets.digest()}/bay.js" in named
    for address in named:
        answer = client.get(address)
        assert answer.status_code == 200
        assert "immutable" in answer.headers["cache-control"]


def test_a_file_of_another_version_is_not_kept(client: TestClient) -> None:
    for address in ("/static/0000000000000000/bay.js", "/static/bay.js"):
        answer = client.get(address)
        assert answer.headers["cache-control"] == "no-cache"
        assert answer.text == text_of("bay.js")
    for address in (
        "/static/0/nothing.js",
        "/static/..%2Fapp.py",
        "/static/0/..%2F..%2Fbay%2Fapp.py",
        "/static/0/.js",
    ):
        assert client.get(address).status_code == 404


def test_the_service_worker_knows_every_file(client: TestClient) -> None:
    answer = client.get("/sw.js")
    assert answer.headers["cache-control"] == "no-cache"
    for name in assets.names():
        assert (f'"{assets.address(name)}"' in answer.text) is (name != "sw.js")


@pytest.mark.parametrize("path", sorted(TEMPLATES.glob("*.j2")), ids=lambda path: path.name)
def test_a_template_has_nothing_inline(path: Path) -> None:
    """The policy of the pages (Content Security Policy Level 3: script-src 'self', style-src 'self') forbids it."""
    text = path.read_text("utf-8")
    alone = path.name == "worksheet_file.html.j2"  # a file of its own, under no policy
    assert not re.search(r"\sstyle=|\son[a-z]+=\"|javascript:|https?://", text)
    assert not re.search(r"<script(?![^>]*\ssrc=)", text)
    assert alone or "<style" not in text
