"""`recap calc substitute-value`."""

from __future__ import annotations

import click

from recap.calculators.substitute_value import ROLES, substitute_value
from recap.cli.printing import json_option, show


@click.command()
@click.option("--capacitance", required=True, help="The old value: 50uF.")
@click.option("--voltage", help="The old rating: 150V.")
@click.option(
    "--role", type=click.Choice(ROLES, case_sensitive=False), metavar="ROLE", help=f"What it does: {', '.join(ROLES)}."
)
@json_option
def command(capacitance: str, voltage: str | None, role: str | None, as_json: bool) -> None:
    """Today's values for an old one, with the change in per cent.

    With a role, only values within its window are shown, best first; without one, each option says which roles
    take it. Two parts in parallel are offered too, and above 450 V two in series.

    Example: recap calc substitute-value --capacitance 50uF --voltage 150V --role reservoir
    """
    show(substitute_value(capacitance, voltage, role), as_json)
