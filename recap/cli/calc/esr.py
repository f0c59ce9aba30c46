"""`recap calc esr`."""

from __future__ import annotations

import click

from recap.calculators.esr import esr
from recap.cli.printing import json_option, show


@click.command()
@click.option("--capacitance", required=True, help="Marked capacitance: 100uF.")
@click.option("--rated-voltage", required=True, help="Marked voltage: 16V.")
@click.option("--frequency", help="The instrument's test frequency: 100kHz.")
@click.option("--reading", help="What the instrument showed: 0.5ohm.")
@json_option
def command(capacitance: str, rated_voltage: str, frequency: str | None, reading: str | None, as_json: bool) -> None:
    """The ESR ceiling of a value, and a reading's verdict at the instrument's frequency.

    Data sheets limit the loss at 100 or 120 Hz only. A reading at another frequency is compared as far as that
    goes, and the verdict says so.

    Example: recap calc esr --capacitance 100uF --rated-voltage 16V --frequency 100kHz --reading 0.5ohm
    """
    show(esr(capacitance, rated_voltage, frequency, reading), as_json)
