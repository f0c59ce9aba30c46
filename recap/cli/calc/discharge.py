"""`recap calc discharge`."""

from __future__ import annotations

import click

from recap.calculators.discharge import discharge
from recap.cli.printing import json_option, show


@click.command()
@click.option("--capacitance", required=True, help="Capacitance, or the sum of a parallel bank: 470uF.")
@click.option("--voltage", required=True, help="Highest voltage it may hold: 400V.")
@click.option("--resistor", help="Resistor you have: 4.7k. Without it one is suggested.")
@click.option("--to", help="Voltage to discharge to: 50V. Default 60 V.")
@json_option
def command(capacitance: str, voltage: str, resistor: str | None, to: str | None, as_json: bool) -> None:
    """Stored energy and a resistor to discharge it.

    Shows the time to 60, 50 and 10 V, what may creep back, and which published limits the charge reaches and
    the discharge keeps. A hazard that is met is bad; a discharge demand that is met is good.

    Example: recap calc discharge --capacitance 470uF --voltage 400V --resistor 4.7k --to 50V
    """
    show(discharge(capacitance, voltage, resistor, to), as_json)
