"""Ripple of a rectifier's reservoir or of a switcher's output capacitor, from the circuit."""

from __future__ import annotations

from recap.calculators.answer import Answer
from recap.calculators.ripple_mains import RECTIFIERS, mains_ripple
from recap.calculators.ripple_switched import SWITCHERS, switched_ripple
from recap.units import NotAQuantity, quoted

SUPPLIES = (*RECTIFIERS, *SWITCHERS)
SHARED = ("supply", "capacitance", "load", "esr")
MAINS_ONLY = (
    "mains", "secondary", "load_resistance", "load_power", "source_resistance", "diode_drop", "diode_resistance",
    "rectifier", "holds_to", "original_capacitance",
)  # fmt: skip
SWITCHED_ONLY = (
    "switching", "duty", "output", "inductor_ripple", "peak_current", "valley_current", "conduction",
)  # fmt: skip


def ripple(supply: str, **given: str | None) -> Answer:
    """Return dc level, ripple and capacitor current of a supply; options as texts with units, named as in the CLI.

    Raises NotAQuantity for an option that is missing, belongs to another kind of supply or cannot be read.
    """
    if supply not in SUPPLIES:
        raise NotAQuantity(f'"{quoted(supply)}" is no supply known here: {", ".join(SUPPLIES)}')
    mains = supply in RECTIFIERS
    foreign = [name for name in (SWITCHED_ONLY if mains else MAINS_ONLY) if given.pop(name, None) is not None]
    if foreign:
        options = ", ".join("--" + name.replace("_", "-") for name in foreign)
        raise NotAQuantity(f"{options} does not belong to a {supply} supply")
    answer = mains_ripple if mains else switched_ripple
    return answer(supply, **{name: text for name, text in given.items() if text is not None})
