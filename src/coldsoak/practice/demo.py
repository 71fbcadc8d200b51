"""The invented shop's files, written from the data in `coldsoak/demo`."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from importlib.resources import files
from pathlib import Path
from textwrap import fill
from typing import Any

from coldsoak.errors import InputError
from coldsoak.logs.log import Log
from coldsoak.practice.run import PracticeRun, simulate
from coldsoak.practice.write import log_text
from coldsoak.whole_file import whole_file

README = "README.txt"
OPENING = "Demo files of "


@dataclass(frozen=True)
class DemoLog:
    """One log of the shop: file name, what it is about, how it comes about and how it is written.

    `names` has the header text by quantity, in the order of the columns; `drive_seed` sends the vehicle of `seed` over
    another road.
    """

    file: str
    about: str
    scenario: str
    seed: int
    duration_s: float
    rate_hz: float
    layout: str
    names: Mapping[str, str]
    drive_seed: int | None = None

    def run(self) -> PracticeRun:
        """Simulate the drive."""
        return simulate(
            self.scenario,
            seed=self.seed,
            duration_s=self.duration_s,
            rate_hz=self.rate_hz,
            drive_seed=self.drive_seed,
        )

    def text(self) -> bytes:
        """Return the bytes of the file."""
        log = self.run().log
        chosen = {c.quantity: c for c in log.channels}
        channels = tuple(replace(chosen[quantity], name=name) for quantity, name in self.names.items())
        return log_text(Log(log.time_s, channels, log.provenance, log.gaps), self.layout, seed=self.seed)


def demo_logs() -> tuple[DemoLog, ...]:
    """Return the logs of the shop.

    >>> [log.scenario for log in demo_logs()]
    ['cold_soak', 'wandering_contact', 'restricted_cooler', 'hot_start', 'hot_start']
    """
    return tuple(DemoLog(**log) for log in _shop()["log"])


def is_demo(folder: Path) -> bool:
    """Return whether `folder` was written by `write_demo`."""
    readme = folder / README
    return readme.is_file() and readme.read_text("utf-8", errors="replace").startswith(OPENING)


def write_demo(folder: Path, *, force: bool = False) -> tuple[list[Path], list[Path]]:
    """Write the shop's files into `folder`; return the paths of all, and of those that were kept as they are.

    The bytes are the same every time. In a demo folder a file that says something else than the demo's was changed by
    somebody, and is kept. A folder that holds something else is refused. With `force` files of the same name are replaced in
    either.
    """
    if folder.exists() and not folder.is_dir():
        raise InputError(f"{folder} is a file; name a folder for the demo files.")
    if folder.is_dir() and any(folder.iterdir()) and not is_demo(folder) and not force:
        raise InputError(
            f"{folder} holds files that are not the demo's; name an empty or a new folder, or add --force to write "
            "beside them."
        )
    logs = demo_logs()
    texts = {Path("logs") / log.file: log.text() for log in logs}
    texts |= shop_files()
    texts[Path(README)] = _readme(logs).encode("utf-8")
    kept = []
    for name, text in texts.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        if path.is_file() and not force:
            if path.read_bytes() != text:
                kept.append(path)
            continue
        with whole_file(path) as new:
            new.write_bytes(text)
    return [folder / name for name in texts], kept


def demo_files(folder: Path) -> list[Path]:
    """Return the paths that `write_demo` writes."""
    logs = (Path("logs") / log.file for log in demo_logs())
    return [folder / name for name in (*logs, *shop_files(), Path(README))]


def shop_files() -> dict[Path, bytes]:
    """Return the shop's unit sheets, jobs, crib and prices by the names they have in the demo folder.

    >>> [str(name) for name in shop_files()][-2:]
    ['crib.yaml', 'prices.yaml']
    """
    data = files("coldsoak").joinpath("demo")
    kept = {"units": (".yaml",), "jobs": (".yaml", ".svg")}
    names = [
        Path(folder) / name
        for folder, kinds in kept.items()
        for name in sorted(one.name for one in data.joinpath(folder).iterdir() if one.name.endswith(kinds))
    ]
    names += [Path("crib.yaml"), Path("prices.yaml")]
    return {name: data.joinpath(*name.parts).read_bytes() for name in names}


def _shop() -> dict[str, Any]:
    return tomllib.loads(files("coldsoak").joinpath("demo", "shop.toml").read_text("utf-8"))


def _readme(logs: tuple[DemoLog, ...]) -> str:
    shop = _shop()
    listed = "\n\n".join(
        f"  logs/{log.file}\n" + fill(log.about, 90, initial_indent="    ", subsequent_indent="    ")
        for log in logs
    )
    text = str(shop["readme"]).lstrip("\n")
    units = "\n".join(f"  {name.as_posix()}" for name in shop_files() if name.parts[0] == "units")
    return text.format(name=shop["name"], logs=listed, first=logs[0].file, units=units)
