"""`recap calc marking`: read what is written on a capacitor or in a list."""

from __future__ import annotations

import click

from recap.cli import printing


@click.command("marking")
@click.argument("texts", metavar="TEXT...", nargs=-1, required=True)
@printing.json_option
def command(texts: tuple[str, ...], as_json: bool) -> None:
    """Read what is written on a capacitor or in a list, and say how sure the reading is.

    Each TEXT may hold a value, voltage, tolerance, temperature, endurance, size, date code, count and
    designators, alone or together. A text that can be read in several ways gives up to three readings, the likeliest
    first; one that cannot be read is refused with the reason.

    \b
    Examples:
      recap calc marking "4u7 63V"
      recap calc marking "2200/16" "47µF +75/-10" "C1-C4"
      recap calc marking -- "-40 to +85°C"
    """
    from recap.calculators.marking import marking

    printing.show(marking(texts), as_json)
