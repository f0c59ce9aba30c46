"""Written numbers: decimal point or comma, thousands in several styles, fractions."""

from __future__ import annotations

import re
from decimal import Decimal
from typing import NamedTuple

# A number as it may stand in a clause, taken whole or not at all; groups of thousands parted by spaces need `SPACED`.
NUMBER = r"(?>(?<![\w.,])\.\d+|^,\d+|\d+(?:[.,']\d+)*)"
SPACED = rf"(?:\d{{1,3}}(?: \d{{3}})+(?:[.,]\d+)?(?!\d)|{NUMBER})"
# Inches may be mixed numbers: 1 3/8, 1-3/8, 3/8.
MIXED = r"(?:\d+[ -])?\d+/\d+"
_MOST_DIGITS = 15  # nobody writes more, and more would not be finite


class Numeral(NamedTuple):
    """A number with its other possible value, and how settled the choice is."""

    value: Decimal
    other: Decimal | None = None
    settled: bool = True


def thousands_settled(groups: list[str]) -> bool:
    """Return whether spaced groups can only be one number: 2 200 cannot be 2 pieces of a real value, 2 220 can."""
    return groups[-1] == "000" or len(groups) > 2 or groups[-1] not in _OWN_VALUES


_OWN_VALUES = {"100", "120", "150", "180", "220", "270", "330", "390", "470", "560", "680", "820"}


def read_number(text: str, *, thousands_only: bool = False, decimals_only: bool = False) -> Numeral | None:
    """Return the value of a written number, likeliest first, or None when it is malformed.

    >>> read_number("12,5").value, read_number("1.000,5").value
    (Decimal('12.5'), Decimal('1000.5'))
    >>> read_number("22,000")
    Numeral(value=Decimal('22000'), other=Decimal('22.000'), settled=False)
    """
    if sum(map(str.isdigit, text)) > _MOST_DIGITS:
        return None
    text = text.replace("'", " ")
    if " " in text:
        head, *rest = text.split(" ")
        if not all(re.fullmatch(r"\d{3}", group[:3]) for group in rest):
            return None
        joined = read_number("".join([head, *rest]))
        if joined is None:
            return None
        groups = [head, *rest]
        if thousands_settled(groups):
            return Numeral(joined.value)
        return Numeral(joined.value, None, settled=False)
    marks = [char for char in text if char in ".,"]
    if not marks:
        return Numeral(Decimal(text))
    if len(set(marks)) == 2:
        return _both_marks(text)
    if len(marks) > 1:
        if re.fullmatch(r"\d{1,3}(?:[.,]\d{3})+", text):
            return Numeral(Decimal(re.sub("[.,]", "", text)))
        return None
    decimal = Decimal(text.replace(",", ".") if text[0] not in ".," else "0." + text[1:])
    if not re.fullmatch(r"[1-9]\d{0,2}[.,]\d{3}", text) or decimals_only:
        return Numeral(decimal)
    grouped = Decimal(re.sub("[.,]", "", text))
    if thousands_only:
        return Numeral(grouped)
    if text.endswith("0"):
        return Numeral(grouped, decimal, settled=False)
    return Numeral(decimal, grouped, settled=False)


def _both_marks(text: str) -> Numeral | None:
    point = max(text.rfind("."), text.rfind(","))
    whole, mark, part = text[:point], text[point], text[point + 1 :]
    if mark in whole or not re.fullmatch(r"\d{1,3}(?:[.,]\d{3})+", whole):
        return None
    return Numeral(Decimal(re.sub("[.,]", "", whole) + "." + part))


def read_inches(text: str) -> Decimal:
    """Return the value of a plain or mixed number of inches.

    >>> read_inches("1-3/8")
    Decimal('1.375')
    """
    if "/" not in text:
        return Decimal(text.replace(",", "."))
    *whole, fraction = re.split("[ -]", text)
    over, under = fraction.split("/")
    below = Decimal(under) or Decimal(1)
    return Decimal(whole[0] if whole else 0) + Decimal(over) / below
