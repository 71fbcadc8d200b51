"""`coldsoak people`: who may log in when the pages are served to the network."""

from pathlib import Path
from typing import IO

import click

from coldsoak.cli.shop_options import shop_options
from coldsoak.errors import InputError


@click.group()
def command() -> None:
    """Add people to the shop and list them."""


@command.command("add")
@click.argument("name")
@click.option(
    "--role", type=click.Choice(["technician", "lead", "reader"]), default="technician", show_default=True
)
@click.option(
    "--passphrase-from", type=click.File("r"), help="Read the passphrase from a file, - for standard input."
)
@shop_options
def add(
    name: str,
    role: str,
    passphrase_from: IO[str] | None,
    data: Path | None,
    database: str | None,
) -> int:
    """Add NAME, who then chooses a passphrase."""
    from typing import cast

    from coldsoak.shop.passphrase import is_short
    from coldsoak.shop.people import Role
    from coldsoak.shop.store import open_shop

    with open_shop(data, database) as shop:
        if passphrase_from is None:
            passphrase = str(
                click.prompt("Passphrase", hide_input=True, confirmation_prompt="The same again")
            )
        else:
            passphrase = passphrase_from.read().rstrip("\r\n")
        if not passphrase:
            raise InputError("there is no passphrase: type one of 8 characters or more.")
        person = shop.people.add(name, cast("Role", role), passphrase, by="the shop's machine")
        click.echo(f"{person.name} may log in as {person.role}.")
        if is_short(passphrase):
            click.echo("15 characters or more are advised: several words.")
    return 0


@command.command("list")
@shop_options
def everybody(data: Path | None, database: str | None) -> int:
    """List the people of the shop."""
    from coldsoak.shop.store import open_shop

    with open_shop(data, database, make=False) as shop:
        known = list(shop.people.everybody())
        if not known:
            click.echo("Nobody has a passphrase yet: add a lead with `coldsoak people add NAME --role lead`.")
        for person in known:
            click.echo(f"{person.name}: {person.role}{'' if person.active else ', may no longer log in'}")
    return 0
