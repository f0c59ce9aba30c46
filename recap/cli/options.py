"""Options that several commands share."""

from __future__ import annotations

import click


def _pairs(context: click.Context, parameter: click.Parameter, values: tuple[str, ...]) -> dict[str, str]:
    pairs = {}
    for value in values:
        old, sign, new = value.partition("=")
        if not sign or not old.strip() or not new.strip():
            raise click.BadParameter(f'"{value}" is not OLD=NEW')
        pairs[old.strip()] = new.strip()
    return pairs


heading_option = click.option(
    "--heading",
    "headings",
    multiple=True,
    callback=_pairs,
    metavar='"OLD=NEW"',
    help='Read the column headed OLD as NEW, for example --heading "mF=Capacitance". May be given again.',
)
policy_option = click.option(
    "--policy",
    default="usual",
    show_default=True,
    metavar="NAME|FILE",
    help="A shipped policy (usual, careful) or a policy file of your own.",
)
