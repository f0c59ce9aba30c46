"""`recap calc ripple`."""

from __future__ import annotations

import click

from recap.calculators.ripple import SUPPLIES, ripple
from recap.cli.printing import json_option, show


@click.command()
@click.option("--supply", required=True, type=click.Choice(SUPPLIES), help="What feeds the capacitor.")
@click.option("--capacitance", help="The capacitor: 4700uF. In a doubler each of its two.")
@click.option("--esr", help="Its series resistance at the ripple's frequency: 30mohm.")
@click.option("--load", help="Load current: 2A.")
@click.option("--mains", help="Mains supplies: frequency, 50Hz or 60Hz.")
@click.option("--secondary", help="Mains supplies: unloaded V rms, of one half for a centre tap: 9V.")
@click.option("--load-resistance", help="Mains supplies: a resistive load instead: 6ohm.")
@click.option("--load-power", help="Mains supplies: a load of constant power instead, as a converter is: 20W.")
@click.option(
    "--source-resistance", help="Mains supplies: winding (with the primary's share), wiring, thermistor: 0.3ohm."
)
@click.option("--rectifier", help="Mains supplies: silicon (default), schottky, germanium, selenium or a valve: GZ34.")
@click.option("--diode-drop", help="Mains supplies: forward drop of one diode, at the load current: 0.8V.")
@click.option("--diode-resistance", help="Mains supplies: slope dv/di of one diode, at the load current: 5mohm.")
@click.option("--holds-to", help="Mains supplies: lowest voltage that the load works at, for the hold-up time: 200V.")
@click.option(
    "--original-capacitance",
    help="Mains supplies: what was fitted before, for the change of the rush at switch-on: 3300uF.",
)
@click.option("--switching", help="Switchers: frequency of the switch: 100kHz.")
@click.option("--duty", help="Switchers: share of the period in which a switch conducts: 0.42.")
@click.option("--output", help="Switchers: output voltage: 5V.")
@click.option("--inductor-ripple", help="Buck, forward, half-bridge: inductor current, peak to peak: 1A.")
@click.option("--peak-current", help="Flyback: highest secondary current: 6A.")
@click.option(
    "--valley-current", help="Flyback: secondary current at the end of conduction: 2A. Worked out if left away."
)
@click.option("--conduction", help="Flyback: share of the period in which the secondary conducts: 0.55. Likewise.")
@json_option
def command(supply: str, as_json: bool, **given: str | None) -> None:
    """Ripple of a rectifier's reservoir or of a switcher's output capacitor.

    A mains supply is solved for its steady state: sine source with resistance, diodes, reservoir with ESR, load.
    Drop and slope of one diode both hold at the load current; above and below it the drop follows an exponential
    junction, and what slope is left counts as a resistance. A doubler is the full-wave kind: two equal
    capacitors in series; capacitance, ESR and capacitor currents are those of each, voltages those of the output,
    and the ripple frequency is that of each capacitor's current, the mains' own.

    A half-bridge ripples at twice its switching frequency; its duty is that of one switch, below 0.5. The ripple of
    a switcher adds the shares of ESR and capacitance moment by moment.

    \b
    Examples:
      recap calc ripple --supply bridge --mains 50Hz --secondary 9V --capacitance 4700uF --load 1A \\
          --source-resistance 0.3ohm --esr 40mohm --diode-drop 0.85V --diode-resistance 60mohm
      recap calc ripple --supply buck --switching 100kHz --duty 0.42 --output 5V --load 3A \\
          --inductor-ripple 1A --capacitance 1000uF --esr 30mohm
    """
    show(ripple(supply, **given), as_json)
