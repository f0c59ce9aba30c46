"""Tolerance, temperature and endurance."""

from __future__ import annotations

import re
from collections.abc import Sequence

from recap.intake.grammar.items import Item, Option
from recap.intake.grammar.numerals import SPACED, read_number
from recap.intake.grammar.values import COLDEST_CLASSES_C, HOTTEST_CLASSES_C, tolerance_letters
from recap.units import plain

_PERCENT = r"(?:%|per ?cent|pct\.?|p\.c\.|proz(?:ent)?\.?)"
_PM = r"(?:±|\+ ?/ ?-|\+-|\+ ?or ?-|-/\+|\+\\-)"
_N = r"\d{1,3}+(?:[.,]\d++)?+"
_TO = r"(?: ?(?:/|\.\.+|to|~|,|-\+|bis|;|\|) ?| ?)"
SYMMETRIC = re.compile(
    rf"(?i:tol(?:erance)?\.? ?[:=]? ?)?{_PM} ?(?P<number>{_N})(?: ?{_PERCENT})?(?! ?[°CVv]|\d)", re.I
)
ASYMMETRIC = re.compile(
    rf"(?:(?P<low>- ?{_N}|0) ?{_PERCENT}?{_TO}(?P<high>\+ ?{_N})"
    rf"|(?P<high2>\+ ?{_N}) ?{_PERCENT}?{_TO}(?P<low2>- ?{_N}|0(?!\d)))"
    rf"(?P<percent> ?{_PERCENT})?(?![\d°]| ?°|\.\d| ?(?:deg|C\b|V|[unp]F))",
    re.I,
)
BARE = re.compile(
    rf"(?i:tol(?:erance)?\.? ?[:=]? ?)?(?P<sign>[+-] ?)?(?P<number>{_N}) ?{_PERCENT}(?: ?tol\w*\.?)?", re.I
)
WORDED = re.compile(rf"(?i:tol(?:erance)?\.? ?[:=]? ?)(?P<sign>)(?P<number>{_N})(?!\w)")
LETTER = re.compile(r"(?P<letter>[FGHJKLMNPQRTWXZ])(?=\d{2,4} ?V|[^A-Za-z0-9]|$|\d{2,3}(?!\w))")

_DEGREE = (
    r"(?:° ?[CK]?|['o*^?\ufffd] ?C|deg(?:r(?:ees?)?)?\.? ?C?(?:elsius)?|Cels(?:ius)?|grad(?: ?C)?|C)"
    r"(?![A-Za-z0-9])"
)
_T = r"\d{1,3}+(?:\.\d)?+"
RANGE = re.compile(
    rf"(?P<low>[+-]? ?{_T}) ?(?:{_DEGREE})?(?: ?(?:to|bis|\.\.+|/|~|thru|-|,) ?| ?(?=\+))"
    rf"(?P<high>\+? ?{_T}) ?(?P<unit>{_DEGREE})",
    re.I,
)
BARE_RANGE = re.compile(
    rf"(?P<low>- ?{_T})(?: ?(?:to|bis|\.\.+|/|~) ?| ?(?=\+))(?P<high>\+? ?{_T})(?P<unit>)(?![\w%.]| ?%)", re.I
)
CLIMATIC = re.compile(r"(?P<low>\d\d)/(?P<high>\d{3})(?:/\d\d)?(?![\w/])")
FAHRENHEIT = re.compile(rf"(?P<number>[+-]?{_T}) ?(?:° ?F|deg(?:rees?)?\.? ?F(?:ahrenheit)?)(?![A-Za-z0-9])", re.I)
TEMPERATURE = re.compile(
    rf"(?:(?:temp(?:erature)?\.?|T) ?[:=]? ?)?(?P<sign>[+-] ?)?(?P<number>{_T}) ?(?P<unit>{_DEGREE})", re.I
)
LABELLED_TEMPERATURE = re.compile(
    rf"(?:temp(?:erature)?\.?|T ?[:=]) ?[:=]? ?(?P<sign>\+)?(?P<number>{_T})(?P<unit>)(?![\w.])", re.I
)
ENDURANCE = re.compile(
    rf"(?P<number>{SPACED}) ?(?P<kilo>k)? ?-?(?:h(?:ou)?rs?\.?|hours?|h\.?|std\.?|stunden)(?![A-Za-z0-9])",
    re.I,
)


def _percent(low: float, high: float, text: str) -> Option:
    return Option({"tolerance_pct": (low, high)}, f'"{text.strip()}" is a tolerance of {low:+g} to {high:+g} %')


def symmetric(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read ±20 %."""
    value = float(match["number"].replace(",", "."))
    if value > 100:
        return None
    return Item("tolerance", match[0], (_percent(-value, value, match[0]),), "", "plus-minus tolerance")


def asymmetric(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read -10/+50 % and +75/-10, with or without the per cent sign."""
    low, high = match["low"] or match["low2"], match["high"] or match["high2"]
    below, above = (float(text.replace(" ", "").replace(",", ".")) + 0.0 for text in (low, high))
    if below < -100 or above > 300:
        return None
    percent = "%" in match[0] or bool(re.search(_PERCENT, match[0], re.I))
    if not percent and below in COLDEST_CLASSES_C and above in HOTTEST_CLASSES_C - {50, 75, 80, 100}:
        return None  # -40/+85 is a temperature range
    doubt = "" if percent or items else "no per cent sign"
    return Item("tolerance", match[0], (_percent(below, above, match[0]),), doubt, "asymmetric tolerance")


def bare(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 10 %, which is symmetric; +20 % alone may be one-sided."""
    value = float(match["number"].replace(",", "."))
    if value > 100:
        return None
    sign = (match["sign"] or "").strip()
    if sign:
        one_sided = (0.0, value) if sign == "+" else (-value, 0.0)
        options = (_percent(-value, value, match[0]), _percent(*one_sided, match[0]))
        if not (sign == "-" and items):  # "25V-20%": the hyphen only separates
            return Item("tolerance", match[0], options, "the sign may make it one-sided", "tolerance")
    return Item("tolerance", match[0], (_percent(-value, value, match[0]),), "", "tolerance in per cent")


def letter(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read a tolerance letter that stands right after a value, or alone among other clauses."""
    if not items or "tolerance" in {item.kind for item in items}:
        return None
    before = items[-1]
    attached = match.start() == before.end and before.kind in ("capacitance", "code")
    spaced = before.kind in ("capacitance", "code", "voltage") and match["letter"] in "JKMZ"
    if not attached and not spaced:
        return None
    low, high = tolerance_letters()[match["letter"]]
    return Item(
        "tolerance",
        match[0],
        (_percent(low, high, match["letter"]),),
        "",
        "tolerance letter",
        confused_with=("kilo",) if match["letter"] == "K" else (),
    )


def _degrees(value: float, text: str, doubt: str = "", rule: str = "temperature") -> Item:
    because = f'"{text.strip()}" is {plain(value, 4)} °C'
    return Item("temperature", text, (Option({"temperature_c": value}, because),), doubt, rule)


def temperature_range(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read -40 to +85 °C: the upper end is the temperature class."""
    low, high = (float(match[name].replace(" ", "").replace("+", "")) for name in ("low", "high"))
    if not -80 <= low < high <= 200 or (low >= 0 and not match["unit"]):
        return None
    if not match["unit"] and (low not in COLDEST_CLASSES_C or high not in HOTTEST_CLASSES_C):
        return None
    if low > 60:
        return None
    return _degrees(high, match[0], rule="category range, upper end")


def climatic(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 40/085/56: coldest, hottest, days of damp heat."""
    if -int(match["low"]) not in COLDEST_CLASSES_C or int(match["high"]) not in HOTTEST_CLASSES_C:
        return None
    return _degrees(float(match["high"]), match[0], rule="climatic category")


def fahrenheit(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read degrees Fahrenheit."""
    value = round((float(match["number"]) - 32) / 1.8, 1)
    return _degrees(value, match[0], rule="Fahrenheit") if -80 < value <= 200 else None


def temperature(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 105 °C in its many spellings."""
    value, unit = float(match["number"]), match["unit"].strip()
    if value > 200:
        return None
    sign = (match["sign"] or "").strip()
    if sign == "-" and not items:
        doubt = "a single negative temperature is no upper end"
        return _degrees(value if value >= 70 else -value, match[0], doubt)
    letter_only = unit in ("C", "c")
    if letter_only and value not in HOTTEST_CLASSES_C:
        return None if value < 40 or value >= 100 else _degrees(value, match[0], "not a usual temperature class")
    return _degrees(value, match[0])


def labelled_temperature(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read temp 105."""
    value = float(match["number"])
    return _degrees(value, match[0], rule="temperature with label") if value <= 200 else None


def endurance(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 2000 h; a dot or comma before three figures parts thousands, for ten hours is no endurance."""
    numeral = read_number(match["number"], thousands_only=True)
    if numeral is None:
        return None
    value = float(numeral.value) * (1000.0 if match["kilo"] else 1.0)
    if not 0 < value <= 1_000_000:
        return None
    if match[0].endswith("H") and value < 250:
        return None  # a voltage code or henries
    option = Option({"endurance_h": value}, f'"{match[0].strip()}" is {plain(value, 6)} h')
    doubt = "" if value >= 250 else "too short for an endurance"
    return Item("endurance", match[0], (option,), doubt, "hours")


CLAUSES = (
    (RANGE, temperature_range),
    (ASYMMETRIC, asymmetric),
    (BARE_RANGE, temperature_range),
    (SYMMETRIC, symmetric),
    (BARE, bare),
    (WORDED, bare),
    (CLIMATIC, climatic),
    (FAHRENHEIT, fahrenheit),
    (TEMPERATURE, temperature),
    (LABELLED_TEMPERATURE, labelled_temperature),
    (ENDURANCE, endurance),
)
LETTER_CLAUSES = ((LETTER, letter),)
