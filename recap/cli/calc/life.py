"""`recap calc life`."""

from __future__ import annotations

from typing import Any

import click

from recap.calculators.life import BASES, FAMILIES, STYLES, life
from recap.cli.printing import json_option, show


@click.command()
@click.option("--endurance", required=True, help="Hours at the rated temperature: 2000h.")
@click.option("--rated-temperature", required=True, help="Upper category temperature: 105C.")
@click.option("--ambient", help="Air temperature near the part: 55C.")
@click.option("--duty", help="A repeated mix instead of one ambient: 8h@45C,8h@55C.")
@click.option("--case-temperature", help="Measured on the can's bottom instead of the ambient: 58C.")
@click.option("--diameter", help="Of the can, to get from case to ambient with a known ripple: 16mm.")
@click.option("--rated-ripple", help="Rated ripple with the frequency of the rating: 1.2A@100kHz.")
@click.option("--ripple", multiple=True, help="Ripple in use, once for each frequency: 0.6A@100kHz.")
@click.option(
    "--multiplier",
    "multipliers",
    multiple=True,
    help="The part's own ripple multiplier, 1 at the rating: 1.4@10kHz. Without any, its class stands in.",
)
@click.option("--rated-voltage", help="Rated voltage: 25V.")
@click.option("--voltage", help="Voltage in use: 12V. Counts for snap-in and screw types only.")
@click.option("--family", type=click.Choice(FAMILIES), default="wet", show_default=True, help="Electrolyte.")
@click.option("--style", type=click.Choice(STYLES), default="radial", show_default=True, help="Body.")
@click.option(
    "--endurance-basis",
    type=click.Choice(BASES),
    default="endurance",
    show_default=True,
    help="What the hours mean: an endurance test with ripple, the maker's useful life, or a test with DC only.",
)
@click.option("--hours-per-year", help="Hours of use a year, to show calendar years as well: 200h.")
@json_option
def command(as_json: bool, **given: Any) -> None:
    """Estimated life at temperature, ripple and voltage: low, nominal and high over the published models.

    The nominal figure is the ten-degree rule (life doubles for every 10 K cooler; solid polymer: ten times per
    20 K), with the core's own heating when a ripple is given. Low and high are what the most cautious and the
    most hopeful model say; each model's figure is listed with its source.

    \b
    Examples:
      recap calc life --endurance 2000h --rated-temperature 105C --ambient 55C
      recap calc life --endurance 5000h --rated-temperature 105C --duty "8h@45C,16h@30C" \\
          --rated-ripple 1.2A@100kHz --ripple 0.5A@100Hz --ripple 0.6A@100kHz --rated-voltage 25V
    """
    show(life(**given), as_json)
