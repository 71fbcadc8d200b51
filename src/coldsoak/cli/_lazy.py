"""A command group that knows its commands by name and loads only the one that runs."""

import difflib
import importlib
from collections.abc import Mapping
from typing import Any, NamedTuple

import click


class Entry(NamedTuple):
    """Where a command lies, as `module:attribute`, and the line that `--help` shows for it."""

    target: str
    summary: str


class LazyGroup(click.Group):
    """A group whose help needs none of its commands to be imported."""

    def __init__(self, *args: Any, entries: Mapping[str, Entry], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.entries = entries

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 (the signature is click\'s)
        """Names in the order of a working day, not of the alphabet."""
        return list(self.entries)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002 (the signature is click\'s)
        """Load one command; nothing when there is none of that name."""
        entry = self.entries.get(cmd_name)
        if entry is None:
            return None
        module, _, attribute = entry.target.partition(":")
        command: click.Command = getattr(importlib.import_module(module), attribute)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command that was typed; when there is none, name the nearest or all of them."""
        typed = args[0]
        if typed not in self.entries and not typed.startswith("-"):
            near = difflib.get_close_matches(typed, self.entries, n=1)
            hint = f"did you mean `{near[0]}`?" if near else f"there are {', '.join(self.entries)}."
            raise click.UsageError(f"there is no command `{typed}`: {hint}", ctx)
        return super().resolve_command(ctx, args)

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002 (the signature is click\'s)
        """List the commands from the table alone."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, entry.summary) for name, entry in self.entries.items()])
