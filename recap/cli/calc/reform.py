"""`recap calc reform`."""

from __future__ import annotations

import click

from recap.calculators.reform import HISTORIES, reform
from recap.cli.printing import json_option, show


@click.command()
@click.option("--capacitance", required=True, help="Marked capacitance: 100uF.")
@click.option("--voltage", required=True, help="Rated voltage: 450V.")
@click.option("--stored", type=float, metavar="YEARS", help="Years without voltage, from the date code.")
@click.option(
    "--history",
    type=click.Choice(HISTORIES),
    default="used",
    show_default=True,
    help="Unused means new stock of known date; anything else is used.",
)
@json_option
def command(capacitance: str, voltage: str, stored: float | None, history: str, as_json: bool) -> None:
    """A reforming plan for a wet aluminium capacitor out of the circuit.

    A used or undated part starts at 0 V with at most 1 mA (small) or 5 mA (large), our judgement. The resistor
    is sized for a part that turns out to be shorted.

    Example: recap calc reform --capacitance 100uF --voltage 450V --stored 5 --history unused
    """
    show(reform(capacitance, voltage, stored, history), as_json)
