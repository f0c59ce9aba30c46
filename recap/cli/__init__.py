"""The command line: one file a command, each the thin twin of one public function.

A command's module is imported only when the command runs, so that help and small questions stay quick.
"""

from __future__ import annotations

import importlib
import sys
from typing import Any

import click

from recap.cli.running import ReaderGone, run


class LateGroup(click.Group):
    """A group whose commands live in modules of their own, imported when asked for."""

    def __init__(self, *args: Any, modules: dict[str, tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.modules = modules

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the command names in the order of the work."""
        return list(self.modules)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import and return one command."""
        if cmd_name not in self.modules:
            return None
        command: click.Command = importlib.import_module(self.modules[cmd_name][0]).command
        return command

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command, and tell a reader that has gone from a disk that is full."""
        try:
            result = super().invoke(ctx)
            sys.stdout.flush()
        except BrokenPipeError as error:
            raise ReaderGone from error
        return result

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List the commands without importing any of them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in self.modules.items()])


COMMANDS = {
    "blank": ("recap.cli.blank", "Write the empty inspection workbook."),
    "read": ("recap.cli.read", "Read an inspection; show what was understood and what more would unlock."),
    "order": ("recap.cli.order", "The whole job: shopping list, work orders, plan."),
    "check": ("recap.cli.check", "May this part go there? Point by point, with margins."),
    "parts": ("recap.cli.parts", "Read parts catalogues; show what was understood."),
    "explain": ("recap.cli.explain", "Why a position needs what it needs, rule by rule."),
    "advise": ("recap.cli.advise", "What to measure next, and what it would change."),
    "sign-off": ("recap.cli.sign_off", "Read filled work orders and bring-ups; say what passes, write the record."),
    "rules": ("recap.cli.rules", "List the rules with their sources."),
    "calc": ("recap.cli.calc", "The bench sums: life, ripple, discharge and more."),
}


@click.group(cls=LateGroup, modules=COMMANDS, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="electrolytic-recap", prog_name="recap")
def recap() -> None:
    """Plan the capacitor work on old electronics, from inspection to proven rails.

    Start with `recap blank inspection.xlsx`, fill it in, look at it with `recap read inspection.xlsx`,
    then run `recap order inspection.xlsx --out my-order`.
    """


def main() -> None:
    """Run the command line."""
    run(recap)
