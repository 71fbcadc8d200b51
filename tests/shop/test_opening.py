"""Opening a store: from nothing, from the first release's tables, twice at once, and what is refused."""

import os
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import alembic.op
import pytest
import sqlalchemy as sa
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from tests.shop.entries import Place, new_id, open_job, torque

from coldsoak.errors import InputError, NotThereError, StoreError
from coldsoak.shop import Shop, open_shop
from coldsoak.shop.database import APPLICATION_ID, Database
from coldsoak.shop.migrate import KNOWN, NEWEST, SCRIPTS, bring_up
from coldsoak.shop.place import FILE
from coldsoak.shop.place import place as place_at
from coldsoak.shop.tables import tables

FIRST = Path(__file__).with_name("data") / "first-tables.sql"
"""What a store with the first tables held, as `.dump` of SQLite wrote it: two jobs, people, sheets, a photo."""


def test_a_new_store_has_the_newest_tables(make_place: Callable[..., Place]) -> None:
    with make_place(empty=True).open() as shop, shop.database.read() as connection:
        assert connection.execute(sa.text("SELECT version_num FROM alembic_version")).scalar_one() == NEWEST
        context = MigrationContext.configure(
            connection,
            opts={"include_name": lambda name, kind, _: kind != "table" or not name.startswith("job_search")},
        )
        assert compare_metadata(context, tables) == []


def test_every_change_of_the_tables_is_known_in_order() -> None:
    script = ScriptDirectory(str(SCRIPTS))
    found = [one.revision for one in script.walk_revisions()][::-1]
    assert tuple(found) == KNOWN
    assert script.get_current_head() == NEWEST


def test_the_first_tables_are_upgraded_with_everything_in_them(
    make_place: Callable[..., Place], kind: str
) -> None:
    """The file is from the first tables; what it held is written in it in plain sight."""
    where = make_place(empty=True)
    _first_store(where, kind)
    with where.open() as shop:
        assert shop.check() == []
        (newer, older) = shop.list.page().jobs
        assert (older.summary.number, older.summary.vehicle) == ("2027-0001", "Orrin van")
        assert (newer.summary.number, newer.summary.stage) == ("2027-0002", "judge")
        assert [one.event.kind for one in shop.jobs.entries(older.id)] == [
            "opened",
            "torque_entered",
            "undone",
            "note",
        ]
        assert older.summary.torque_entries == 0
        assert [one.id for one in shop.list.page(find="whine").jobs] == [older.id]  # the search is new
        assert [one.name for one in shop.people.everybody()] == ["Ana Sorel", "Lea Voss"]
        assert shop.papers.prices().currency == "EUR"
        assert shop.jobs.append(older.id, torque(), by="Ana Sorel", id=new_id()).seq == 5
        assert open_job(shop).job_id == 3
    with where.open() as shop:
        assert shop.check() == []


def _first_store(where: Place, kind: str) -> None:
    text = FIRST.read_text("utf-8")
    if kind == "sqlite":
        where.data.mkdir()
        with sqlite3.connect(where.data / FILE) as file:
            file.executescript(text)
            file.execute(f"PRAGMA application_id = {APPLICATION_ID}")
        file.close()
        return
    database = Database(place_at(where.data, where.database))
    held = sqlite3.connect(":memory:")
    held.executescript(text)
    try:
        bring_up(database, "0001")
        with database.write() as connection:
            known = sa.MetaData()
            known.reflect(connection)
            for table in known.sorted_tables:
                if table.name == "alembic_version":
                    continue
                found = held.execute("SELECT * FROM " + table.name)  # noqa: S608 (our own tables)
                names = [column[0] for column in found.description]
                for row in found:
                    values = dict(zip(names, row, strict=True))
                    values |= {name: bool(values[name]) for name in ("active", "is_open") if name in values}
                    connection.execute(table.insert().values(values))
            for name in ("job", "person", "audit"):
                connection.execute(sa.text(f"SELECT setval('{name}_id_seq', (SELECT max(id) FROM {name}))"))  # noqa: S608 (three names of ours)
    finally:
        held.close()
        database.close()


def test_an_upgrade_that_fails_changes_nothing(
    make_place: Callable[..., Place], kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    where = make_place(empty=True)
    _first_store(where, kind)
    execute = alembic.op.execute

    def fails(statement: str) -> None:
        if "DELETE FROM setting" in statement:  # the last step of the second change
            raise RuntimeError("power cut")
        execute(statement)

    monkeypatch.setattr(alembic.op, "execute", fails)
    with pytest.raises(RuntimeError, match=r"power cut"):
        where.open()
    monkeypatch.undo()
    database = Database(place_at(where.data, where.database))
    with database.read() as connection:
        assert connection.execute(sa.text("SELECT version_num FROM alembic_version")).scalar_one() == "0001"
        assert "job_search" not in sa.inspect(connection).get_table_names()
    database.close()
    where.open().close()


def test_many_programs_open_a_new_store_at_once(make_place: Callable[..., Place]) -> None:
    where = make_place(empty=True)
    script = (
        "import sys\nfrom pathlib import Path\nfrom coldsoak.shop import open_shop\n"
        "with open_shop(Path(sys.argv[1]), sys.argv[2] or None) as shop: print(shop.settings.get('x', 'opened'))"
    )
    command = [sys.executable, "-c", script, str(where.data), where.database or ""]

    def opens(_number: int) -> subprocess.CompletedProcess[str]:
        return subprocess.run(command, capture_output=True, text=True, check=False, timeout=120)

    with ThreadPoolExecutor(4) as pool:
        for done in pool.map(opens, range(4)):
            assert (done.returncode, done.stdout) == (0, "opened\n"), done.stderr


def test_a_newer_store_is_refused_and_left_alone(place: Place) -> None:
    with place.open() as shop, shop.database.write() as connection:
        connection.execute(sa.text("UPDATE alembic_version SET version_num = '0999'"))
    said = r"was written by a newer coldsoak \(tables 0999, this program knows up to 0002\): install the newer program"
    for _ in range(2):
        with pytest.raises(StoreError, match=said):
            place.open()


def test_tables_of_another_program_are_refused(make_place: Callable[..., Place], kind: str) -> None:
    where = make_place(empty=True)
    if kind == "sqlite":
        where.data.mkdir()
        with sqlite3.connect(where.data / FILE) as file:
            file.execute("CREATE TABLE recipes (title)")
        file.close()
        before = (where.data / FILE).read_bytes()
        with pytest.raises(
            StoreError, match=r"is a database of another program: name another folder with --data"
        ):
            where.open()
        assert (where.data / FILE).read_bytes() == before
    else:
        engine = sa.create_engine(str(where.database))
        with engine.begin() as connection:
            connection.execute(sa.text("CREATE TABLE recipes (title text)"))
        engine.dispose()
        with pytest.raises(StoreError, match=r"holds tables of another program: name another place"):
            where.open()


def test_what_is_no_database_is_said(tmp_path: Path) -> None:
    (tmp_path / FILE).write_bytes(b"This is a letter to the customer. " * 200)
    with pytest.raises(
        StoreError, match=r"is damaged .*not a database.*: stop using it, copy it away and bring back"
    ):
        open_shop(tmp_path)


def test_a_damaged_file_is_said(tmp_path: Path) -> None:
    with Place(tmp_path, None).open() as shop:
        open_job(shop)
    data = bytearray((tmp_path / FILE).read_bytes())
    data[4096:] = b"\xff" * (len(data) - 4096)
    (tmp_path / FILE).write_bytes(data)
    with pytest.raises(StoreError, match=r"is damaged"):
        open_shop(tmp_path)


def test_a_folder_that_may_not_be_written_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "shop"
    folder.mkdir(mode=0o500)
    if os.geteuid() == 0:  # root may write everywhere
        monkeypatch.setattr(os, "access", lambda *_arguments: False)
    with pytest.raises(
        StoreError, match=f"^the data folder {folder} may not be written with your permissions: ask its"
    ):
        open_shop(folder)
    file = tmp_path / "file"
    file.touch()
    with pytest.raises(StoreError, match=f"^{file} is a file: name a folder with --data.$"):
        open_shop(file)
    with pytest.raises(StoreError, match=r"could not be made \(Not a directory\): name a folder of your own"):
        open_shop(file / "below")
    with pytest.raises(NotThereError, match=r"^there is no shop in .*: name its folder with --data.$"):
        open_shop(tmp_path / "nowhere", make=False)


def test_a_store_that_is_held_is_said_after_a_while(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("coldsoak.shop.database.WAIT_S", 0.3)
    with Place(tmp_path, None).open() as shop:
        job_id = open_job(shop).job_id
        holder = sqlite3.connect(tmp_path / FILE, isolation_level=None)
        holder.execute("BEGIN IMMEDIATE")
        with pytest.raises(StoreError, match=r"is held by another program for more than .*nothing was lost"):
            shop.jobs.append(job_id, torque(), by="Ana Sorel", id=new_id())
        assert shop.list.line(job_id).last_seq == 1  # reading goes on
        holder.execute("ROLLBACK")
        holder.close()
        assert shop.jobs.append(job_id, torque(), by="Ana Sorel", id=new_id()).seq == 2


def test_a_full_disk_is_said_and_nothing_is_half(tmp_path: Path) -> None:
    with Place(tmp_path, None).open() as shop:
        job_id = open_job(shop).job_id
        with shop.database.write() as connection:
            pages = connection.exec_driver_sql("PRAGMA page_count").scalar_one()
            connection.exec_driver_sql(f"PRAGMA max_page_count = {pages}")
        note = {"kind": "note", "text": "x" * 4000}
        noted = [1]

        def fill() -> None:
            for _ in range(50):
                noted.append(shop.jobs.append(job_id, note, by="Ana Sorel", id=new_id()).seq)  # noqa: PERF401

        with pytest.raises(StoreError, match=r"is full: free some space, then enter it again"):
            fill()
        assert shop.check() == []
        assert shop.list.line(job_id).last_seq == noted[-1]
        with shop.database.write() as connection:
            connection.exec_driver_sql("PRAGMA max_page_count = 1000000")
        shop.jobs.append(job_id, note, by="Ana Sorel", id=new_id())


@pytest.mark.parametrize(
    ("database", "said"),
    [
        ("mysql://root@x/y", "^the database 'mysql' is not one that coldsoak can use"),
        ("nonsense", "^the database that was named is no address"),
        ("sqlite:///x.db", "^the database 'sqlite' is not one that coldsoak can use: leave --database away"),
    ],
)
def test_other_databases_are_refused(tmp_path: Path, database: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        open_shop(tmp_path, database)


def test_a_server_that_does_not_answer_is_said_without_its_passphrase(tmp_path: Path) -> None:
    with pytest.raises(StoreError, match=r"does not answer .*check that the database server runs") as refused:
        open_shop(tmp_path, f"postgresql+psycopg://shop:hush-hush@/x?host={tmp_path}")
    assert "hush-hush" not in str(refused.value)


def test_the_settings_of_every_connection(tmp_path: Path) -> None:
    """REFERENCES, SQLite documentation: WAL with synchronous FULL (2) is on the disk at each commit."""
    with Place(tmp_path / "new", None).open() as shop:
        for way, query_only in ((shop.database.read, 1), (shop.database.write, 0)):
            with way() as connection:
                values = {
                    name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()
                    for name in (
                        "journal_mode",
                        "synchronous",
                        "foreign_keys",
                        "recursive_triggers",
                        "query_only",
                    )
                }
            assert values == {
                "journal_mode": "wal",
                "synchronous": 2,
                "foreign_keys": 1,
                "recursive_triggers": 1,
                "query_only": query_only,
            }
    file = tmp_path / "new" / FILE
    assert file.read_bytes()[68:72] == b"Cold"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700


def test_opening_and_closing_leaves_nothing_open(place: Place) -> None:
    def handles() -> int:
        return len(list(Path("/proc/self/fd").iterdir()))

    def round_trip() -> None:
        with place.open() as shop:
            shop.changes.listen(lambda _job, _seq: None)
            open_job(shop)
            shop.list.page()

    round_trip()
    before = handles()
    for _ in range(50):
        round_trip()
    assert handles() <= before


def test_the_shop_is_one_object_for_many_threads(shop: Shop) -> None:
    def work(number: int) -> int:
        job_id = open_job(shop, job=f"{number}").job_id
        shop.jobs.append(job_id, torque(), by="Ana Sorel", id=new_id())
        return len(shop.jobs.entries(job_id)) + len(shop.list.page(limit=5).jobs[:1])

    with ThreadPoolExecutor(40) as pool:
        assert set(pool.map(work, range(80))) == {3}
