"""`recap calc NAME`: the bench sums."""

import click

from recap.cli import LateGroup

CALCULATORS = {
    "marking": ("recap.cli.calc.marking", "Read what is written on a capacitor or in a list."),
    "life": ("recap.cli.calc.life", "Estimated life at temperature, ripple and voltage."),
    "ripple": ("recap.cli.calc.ripple", "Ripple of a rectifier's reservoir or a switcher's output capacitor."),
    "discharge": ("recap.cli.calc.discharge", "Stored energy and a resistor to discharge it."),
    "load": ("recap.cli.calc.load", "A dummy load for a rail."),
    "lamp": ("recap.cli.calc.lamp", "A series lamp limiter's operating points."),
    "reform": ("recap.cli.calc.reform", "A reforming plan for a wet aluminium capacitor."),
    "esr": ("recap.cli.calc.esr", "The ESR ceiling of a value, and a reading's verdict."),
    "substitute-value": ("recap.cli.calc.substitute_value", "Today's values for an old one."),
}


@click.group(cls=LateGroup, modules=CALCULATORS)
def command() -> None:
    """Small sums for the bench, each with its formula, source and caution."""
