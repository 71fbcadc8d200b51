"""The one door to the shop's data.

>>> import tempfile
>>> from pathlib import Path
>>> from uuid import uuid4
>>> with open_shop(Path(tempfile.mkdtemp()) / "shop") as shop:
...     opened = shop.jobs.open(Draft({"kind": "opened", "job": "2027-0001", "vehicle": {"name": "Orrin van"},
...         "unit": {"name": "Orrin R6"}, "complaint": "Lamp on after a cold night."}, uuid4()), by="Ana Sorel")
...     noted = shop.jobs.append(opened.job_id, {"kind": "note", "text": "Fluid is clean."}, by="Ana Sorel", id=uuid4())
...     noted.seq, shop.list.page(find="orrin clean").jobs[0].summary.number
(2, '2027-0001')
"""

from pathlib import Path
from types import TracebackType

from coldsoak.errors import NotThereError
from coldsoak.shop.audit import Audit
from coldsoak.shop.blobs import Blobs
from coldsoak.shop.changes import Changes
from coldsoak.shop.check import chain_problems, file_problems
from coldsoak.shop.clock import Clock, now
from coldsoak.shop.database import Database
from coldsoak.shop.job_list import JobList
from coldsoak.shop.jobs import Draft, Jobs
from coldsoak.shop.keep import work_through
from coldsoak.shop.migrate import bring_up
from coldsoak.shop.papers import Papers
from coldsoak.shop.passphrase import Hasher
from coldsoak.shop.people import People
from coldsoak.shop.place import FILE, Place, place, usual_folder
from coldsoak.shop.runs import Runs
from coldsoak.shop.sessions import Policy, Sessions
from coldsoak.shop.settings import SUMMARY_VERSION, Settings, read_setting, write_setting
from coldsoak.shop.summary import VERSION
from coldsoak.shop.sweep import Swept, sweep
from coldsoak.shop.transfer import Transfer

__all__ = ["Draft", "Shop", "open_shop"]


class Shop:
    """Everything the shop keeps, by what it is. One object serves every thread; close it at the end."""

    def __init__(self, where: Place, *, clock: Clock, policy: Policy, hasher: Hasher) -> None:
        self.place = where
        self.now = clock
        self.database = Database(where)
        try:
            bring_up(self.database)
            _bring_up_summaries(self.database)
        except BaseException:
            self.database.close()
            raise
        self.audit = Audit(self.database, clock)
        self.changes = Changes(self.database, clock)
        self.jobs = Jobs(self.database, self.changes, clock)
        self.list = JobList(self.database)
        self.transfer = Transfer(self.database, self.jobs, self.changes, self.audit, clock)
        self.blobs = Blobs(self.database, clock)
        self.runs = Runs(where.folder / "readings", clock)
        self.papers = Papers(self.database, self.audit, clock)
        self.people = People(self.database, self.audit, clock, hasher)
        self.sessions = Sessions(self.database, self.audit, clock, hasher, policy)
        self.settings = Settings(self.database, self.audit)

    def check(self) -> list[str]:
        """Follow every chain and hold every file against its hash; return a sentence for whatever is wrong."""
        with self.database.read() as connection:
            return [*chain_problems(connection), *file_problems(connection, self.place.blobs)]

    def sweep(self, older_than_s: float = 7 * 24 * 3600.0) -> Swept:
        """Remove files that no entry speaks of and that are older than this."""
        return sweep(self.database, self.now, older_than_s)

    def close(self) -> None:
        """Give every connection back."""
        self.changes.close()
        self.database.close()

    def __enter__(self) -> "Shop":
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


def open_shop(
    data: Path | None = None,
    database: str | None = None,
    *,
    clock: Clock = now,
    policy: Policy | None = None,
    hasher: Hasher | None = None,
    make: bool = True,
) -> Shop:
    """Open the shop in a folder (the platform's own when not named), making or upgrading what is needed.

    `database` names a PostgreSQL server, as in postgresql+psycopg://user@host/name; files stay in the folder. With
    `make` false a shop that is not there is refused.
    """
    folder = data or usual_folder()
    if not make and not (folder.is_dir() if database else (folder / FILE).is_file()):
        raise NotThereError(f"there is no shop in {folder}: name its folder with --data.")
    return Shop(place(data, database), clock=clock, policy=policy or Policy(), hasher=hasher or Hasher())


def _bring_up_summaries(database: Database) -> None:
    """Work out anew what is worked out from events, when another version of the program did it last."""
    with database.read() as connection:
        if read_setting(connection, SUMMARY_VERSION) == VERSION:
            return
    with database.write() as connection:
        database.hold(connection, "tables")
        if read_setting(connection, SUMMARY_VERSION) == VERSION:  # another program was quicker
            return
        work_through(connection)
        write_setting(connection, SUMMARY_VERSION, VERSION)
