"""Why a text gives no reading."""

from __future__ import annotations

import re
from collections.abc import Sequence

from recap.intake.grammar.items import Item

_REASONS = {
    "other part": "{text} is the designator of another kind of part",
    "resistance": "{text} is a resistance",
    "inductance": "{text} is an inductance",
    "lot": "{text} is a lot or type mark; it must not be taken for a voltage code",
    "power": "{text} is a power",
    "ripple": "{text} is a current: no capacitance, voltage or size",
    "frequency": "{text} is a frequency",
    "surge": "{text} is a surge voltage, not a rating",
}
_UNIT_WORDS = re.compile(
    r"(?:[unp]?f|[unpm]|[um]fd|mf|mmf|mfds?|mkf|farads?|v|volts?|vdc|vac|wv(?:dc)?|kv|°|c|°c|mm|h|hrs?|%|ohm)",
    re.I,
)


def negative(text: str, items: Sequence[Item]) -> str | None:
    """Return a refusal when a value stands under a minus sign that would be lost."""
    if not items or not re.match(r"[(=]?-[\d.,]", text):
        return None
    first = items[0]
    if first.start > 2 or first.kind in ("tolerance", "temperature") or first.before.strip("(=") != "-":
        return None
    if first.kind == "number" and len(items) == 1 and first.value and float(first.value[0].value) >= 70:
        return None
    return f"{text.split()[0]} is negative, and its sign must not be dropped"


def reason(text: str, items: Sequence[Item]) -> str:
    """Return why the pieces give no reading."""
    if not text:
        return "empty"
    zero = next((item for item in items if item.kind == "zero"), None)
    if zero:
        return f"{zero.text.strip()} is no rating"
    for item in items:
        if item.kind in _REASONS:
            return _REASONS[item.kind].format(text=item.text.strip())
    words = [word for word in re.split(r"[\s,;/]+", text) if word]
    if words and all(_UNIT_WORDS.fullmatch(word) for word in words):
        return "a unit without a number"
    if not any(char.isdigit() for char in text):
        return "no number in it"
    return "nothing in it is understood"
