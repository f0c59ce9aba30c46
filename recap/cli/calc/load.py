"""`recap calc load`."""

from __future__ import annotations

import click

from recap.calculators.load import load
from recap.cli.printing import json_option, show


@click.command()
@click.option("--rail", required=True, help="Rail voltage with its sign: 5V or -12V.")
@click.option("--current", required=True, help="Current to draw: 1A.")
@click.option("--minimum", help="Least current that the supply needs to regulate: 0.3A.")
@click.option("--drawer", metavar='"3 x 10ohm 5W, …"', help="Resistors at hand: what of them makes this load.")
@json_option
def command(rail: str, current: str, minimum: str | None, drawer: str | None, as_json: bool) -> None:
    """A dummy load for a rail: resistor, power, and the rating that leaves margin.

    The preferred value is the next one up (E24), so that no more than the asked current flows; for the minimum
    load it is the next one down. The rating is at least twice the power.

    Example: recap calc load --rail 12V --current 1A --minimum 0.4A
    """
    show(load(rail, current, minimum, drawer), as_json)
