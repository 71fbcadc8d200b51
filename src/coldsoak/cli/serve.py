"""`coldsoak serve`: the shop's pages for the bay."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from coldsoak.cli.shop_options import shop_options
from coldsoak.errors import InputError

if TYPE_CHECKING:
    import socket as sockets

    from fastapi import FastAPI

PORT = 8765
COLLECT_AFTER = (20_000, 20, 50)
SWITCH_S = 0.001
"""An entry waits for the disk several times; each time it takes its turn among pages that are being made this much later."""
MOST_CONNECTIONS = 500
"""A device holds one or two while a job is open on it; beyond these, callers are told to try again."""


@click.command()
@shop_options
@click.option(
    "--port", type=click.IntRange(1, 65535), default=PORT, show_default=True, help="Port to answer on."
)
@click.option("--lan", is_flag=True, help="Answer other devices too; everybody then needs a passphrase.")
@click.option(
    "--name", "names", multiple=True, metavar="HOST", help="Name of this machine on the network (repeatable)."
)
@click.option(
    "--cert",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    metavar="FILE",
    help="TLS certificate (PEM).",
)
@click.option(
    "--key",
    type=click.Path(path_type=Path, exists=True, dir_okay=False),
    metavar="FILE",
    help="Its private key (PEM).",
)
@click.option(
    "--demo",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    metavar="FOLDER",
    help="Put the files of a demo folder into a shop that has no jobs yet.",
)
@click.option(
    "--journal",
    type=click.Path(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Write requests here, as JSON lines.",
)
def command(
    data: Path | None,
    database: str | None,
    port: int,
    lan: bool,
    names: tuple[str, ...],
    cert: Path | None,
    key: Path | None,
    demo: Path | None,
    journal: Path | None,
) -> int:
    """Serve the shop's pages until stopped with Ctrl-C.

    Only this machine can reach them unless --lan is given.
    """
    from coldsoak.cli.serve_socket import addresses, check_certificate, listen, private_files, write_journal
    from coldsoak.shop.store import open_shop
    from coldsoak.web.bay.app import create_app

    if (cert is None) != (key is None):
        raise InputError("a certificate needs its key: give both --cert and --key, or neither.")
    if cert is not None and key is not None:
        check_certificate(cert, key)
    with listen("0.0.0.0" if lan else "127.0.0.1", port) as socket:  # noqa: S104 (asked for with --lan)
        private_files()
        write_journal(journal)
        with open_shop(data, database) as shop:
            if lan and not any(one.active for one in shop.people.everybody()):
                raise InputError(
                    "with --lan everybody needs a passphrase and nobody has one: add a lead first with "
                    "`coldsoak people add NAME --role lead`."
                )
            if demo is not None:
                from coldsoak.shop.demo_shop import fill_demo

                fill_demo(shop, demo)
            known = addresses(lan, names)
            app = create_app(shop, lan=lan, hosts=known)
            for host in known:
                click.echo(f"Open {'https' if cert else 'http'}://{host}:{port}/")
            click.echo(f"The data lie in {shop.place.folder}")
            if lan and cert is None:
                click.echo(
                    "Without --cert passphrases cross the network as they are: use it on a network of your own only."
                )
            click.echo("Stop with Ctrl-C.")
            _run(app, socket, cert, key)
    return 0


def _run(app: "FastAPI", socket: "sockets.socket", cert: Path | None, key: Path | None) -> None:
    import asyncio
    import gc
    import sys

    import uvicorn

    sys.setswitchinterval(SWITCH_S)
    gc.collect()
    gc.freeze()  # what the program is made of is never looked through again: that would hold everybody up for 0.2 s
    gc.set_threshold(*COLLECT_AFTER)
    config = uvicorn.Config(
        app,
        log_config=None,
        access_log=False,
        server_header=False,
        proxy_headers=False,  # nothing stands before it: who asks is who is connected
        ws="none",
        lifespan="on",
        limit_concurrency=MOST_CONNECTIONS,
        timeout_keep_alive=20,
        timeout_graceful_shutdown=3,
        ssl_certfile=str(cert) if cert else None,
        ssl_keyfile=str(key) if key else None,
    )
    serving = uvicorn.Server(config).serve(sockets=[socket])
    try:
        with asyncio.Runner(loop_factory=config.get_loop_factory()) as runner:
            runner.run(serving)
    finally:
        serving.close()  # stopped before it began, it would be complained of as never awaited
