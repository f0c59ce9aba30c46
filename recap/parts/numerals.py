"""Numbers as catalogues write them: a column's other cells tell whether its comma is a decimal mark."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from recap.intake.quantities import NotReadError, plain_number, tidy
from recap.parts.headings import factor

_NUMBER = re.compile(
    r"(?P<about>[~≈≤≥<>]?=?)\s*(?:[€$£¥]\s*)?"
    r"(?P<number>[+-]?(?:\d{1,3}(?:[ '’]\d{3})+|\d+)?(?:[.,]\d+)*(?:e[+-]?\d{1,3})?)"
    r"\s*(?P<unit>.*?)\s*",
    re.IGNORECASE,
)
_COMMA_DECIMAL = re.compile(r"(?:^|[^\d.,])\d*,(?:\d{1,2}|\d{4,})(?![\d.,])|(?<![\d.,])0,\d|\.\d{3},\d")
_POINT_DECIMAL = re.compile(r"(?:^|[^\d.,])\d*\.(?:\d{1,2}|\d{4,})(?![\d.,])|(?<![\d.,])0\.\d|,\d{3}\.\d")
UNKNOWN_TEXTS = frozenset(
    {"", "-", "–", "—", "n/a", "na", "n.a.", "none", "null", "nan", "unknown", "?", "tbd", "#n/a"}
)


def says_nothing(text: str) -> bool:
    """Return whether a cell stands for "not known"."""
    return text.strip().casefold() in UNKNOWN_TEXTS


def decimal_mark(texts: Iterable[str]) -> str | None:
    """Return the decimal mark of a column, None where its cells do not tell or contradict each other.

    >>> decimal_mark(["1.250", "0,31"]), decimal_mark(["1.250", "3.1"]), decimal_mark(["1.250", "3"])
    (',', '.', None)
    """
    comma = point = False
    for text in texts:
        comma = comma or bool(_COMMA_DECIMAL.search(text))
        point = point or bool(_POINT_DECIMAL.search(text))
        if comma and point:
            return None
    return "," if comma else "." if point else None


def read_number(text: str, mark: str | None, bare_unit: str, column_unit: str) -> float:
    """Return a written number in the model's unit; raises NotReadError, ambiguous where it could be thousands.

    >>> read_number("1.250", ",", "mA", "A"), read_number("330 mΩ", None, "ohm", "ohm")
    (1.25, 0.33)
    """
    text = unicodedata.normalize("NFKC", text).replace("−", "-").replace("–", "-").strip()
    match = _NUMBER.fullmatch(text)
    if not match or not re.search(r"\d", match["number"]):
        raise NotReadError("is not a number")
    value = _value(match["number"], mark)
    if not column_unit:
        if match["unit"] and not re.fullmatch(r"[A-Za-z€$£¥/. ]{1,8}", match["unit"]):
            raise NotReadError("is not a number")
        return value
    scale = factor(match["unit"] or bare_unit, column_unit)
    if scale is None:
        raise NotReadError(f"has a unit that does not fit; {bare_unit} is meant here")
    return tidy(value * scale)


def read_whole(text: str) -> float:
    """Return a count of pieces; a comma or point can only part thousands, a bound counts as what it says.

    >>> read_whole("1.000"), read_whole("> 2,500 pcs"), read_whole("out of stock")
    (1000.0, 2500.0, 0.0)
    """
    plain = unicodedata.normalize("NFKC", text).strip().casefold()
    if plain in ("no", "out of stock", "sold out", "none in stock", "out"):
        return 0.0
    match = re.fullmatch(
        r"(?:in stock:?\s*)?[<>≥~]?=?\s*(\d{1,3}(?:[.,' ]\d{3})+|\d+)(?:[.,]0*)?\s*"
        r"(?:\+|pcs?\.?|pieces?|stk\.?|off|x|in stock|available|/\s*\w+)?",
        plain,
    )
    if match is None:
        raise NotReadError("is not a whole number")
    return float(re.sub(r"[.,' ]", "", match[1]))


def _value(digits: str, mark: str | None) -> float:
    bare = re.sub(r"[ '’]", "", digits)
    if mark is None:
        return plain_number(bare)
    other = "," if mark == "." else "."
    try:
        return float(bare.replace(other, "").replace(mark, "."))
    except ValueError:
        raise NotReadError("is not a number") from None
