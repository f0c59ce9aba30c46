"""What somebody wrote into a box, read with care: a number, a bound, a word, or something that is none of these."""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import inf

_NUMBER = re.compile(r"^([<>≤≥]?)\s*([-−+]?)\s*(\d+(?:[.,]\d*)?|[.,]\d+)(?:[eE]([-+]?\d+))?$")
_PERHAPS_THOUSANDS = re.compile(r"^[1-9]\d{0,2},\d{3}$")
_TICKED = {"yes", "x", "✓", "✔", "true", "1"}
_BEYOND = {"ol", "open", "∞", "inf", "infinite", "o.l."}
_NOTHING = {"none", "noise", "nothing"}


@dataclass(frozen=True, slots=True)
class Number:
    """A reading from `low` to `high`: equal for a plain number, open on one side for a bound such as < 5."""

    low: float
    high: float

    @property
    def exact(self) -> float | None:
        """The number itself; None for a bound."""
        return self.low if self.low == self.high else None


def ticked(entry: object) -> bool:
    """Return whether a box is ticked."""
    return entry is True or (not isinstance(entry, bool) and str(entry).strip().lower() in _TICKED)


def text_of(entry: object) -> str:
    """Return an entry as text; an empty box is empty text."""
    if entry is None or entry is False:
        return ""
    if entry is True:
        return "yes"
    if isinstance(entry, float) and entry.is_integer():
        return str(int(entry))
    return str(entry).strip()


def number_of(entry: object) -> Number | None:
    """Return the number in an entry; None where there is none. Decimal comma or point, < and > as bounds.

    What may be a thousands comma is no number: a thousand and one are too far apart to guess.

    >>> number_of("4,7").exact, number_of("−12.1").exact, number_of("< 5").high, number_of("OL").low
    (4.7, -12.1, 5.0, inf)
    >>> number_of("1,234") is None, number_of("about 5") is None
    (True, True)
    """
    if isinstance(entry, bool) or entry is None:
        return None
    if isinstance(entry, int | float):
        value = float(entry)
        return Number(value, value) if abs(value) < inf else None
    text = str(entry).strip()
    if text.lower() in _BEYOND:
        return Number(inf, inf)
    match = _NUMBER.match(text)
    if not match or _PERHAPS_THOUSANDS.match(match[3]):
        return None
    value = float(match[3].replace(",", ".")) * 10.0 ** int(match[4] or 0)
    if match[2] in ("-", "−"):
        value = -value
    if match[1] in ("<", "≤"):
        return Number(-inf, value)
    if match[1] in (">", "≥"):
        return Number(value, inf)
    return Number(value, value)


def says_nothing_to_read(entry: object) -> bool:
    """Return whether the words say that there was nothing to read.

    >>> says_nothing_to_read("None"), says_nothing_to_read("5")
    (True, False)
    """
    return text_of(entry).lower() in _NOTHING
