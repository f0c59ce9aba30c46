"""`recap calc lamp`."""

from __future__ import annotations

import click

from recap.calculators.lamp import LOAD_KINDS, lamp
from recap.cli.printing import json_option, show


@click.command()
@click.option("--lamp", "rating", required=True, help='The lamp\'s rating: "60W 230V".')
@click.option("--mains", required=True, help="Mains voltage: 230V.")
@click.option("--load", required=True, help="What the load takes at full mains: 30W.")
@click.option(
    "--load-kind",
    type=click.Choice(LOAD_KINDS),
    default="resistive",
    show_default=True,
    help="A linear set is nearly resistive; a switching supply takes constant power.",
)
@json_option
def command(rating: str, mains: str, load: str, load_kind: str, as_json: bool) -> None:
    """A series lamp limiter's operating points.

    A constant-power load has none, one or two of them; all are shown, with whether they hold.

    Example: recap calc lamp --lamp "60W 230V" --mains 230V --load 30W --load-kind constant-power
    """
    show(lamp(rating, mains, load, load_kind), as_json)
