"""Which column of a catalogue is which: the trade's names, with unit, frequency, temperature or quantity beside."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache

from recap.intake.columns import plain_name
from recap.intake.quantities import model_factor, plain_number
from recap.problem_codes import report
from recap.problems import Location, Problem, RecapError
from recap.ruledata import number, table

_FREQUENCY = re.compile(r"(?P<number>\d+(?:[.,]\d+)?)\s*(?P<prefix>[kKM])?\s*[Hh][Zz]")
_TEMPERATURE = re.compile(r"(?P<number>[-+]?\d{2,3})\s*(?:°\s*C|℃|deg\.?\s*C)|@\s*(?P<bare>\d{2,3})\s*C\b", re.I)
_MONEY = re.compile(r"\b(EUR|USD|GBP|CHF|SEK|DKK|NOK|PLN|CZK|JPY|AUD|CAD)\b|[€$£¥]", re.I)
_SYMBOLS = {"€": "EUR", "$": "USD", "£": "GBP", "¥": "JPY"}
_COUNT = r"(?P<count>\d[\d.,' ]*)"
_PIECES = r"(?:\+|pcs?\.?|pieces?|off|up|stk\.?)"
_BREAK = re.compile(
    rf"(?:(?:unit |net )?(?:price|preis|prix|cost|each)\s*(?:[@/:x]|at|from|for|per|ab|>=|≥|>)?\s*{_COUNT}\s*{_PIECES}?"
    rf"|(?:from |ab |≥|>=|x)?\s*{_COUNT.replace('count', 'alone')}\s*{_PIECES}(?:\s*(?:price|each))?"
    rf"|(?:qty|quantity)\s*{_COUNT.replace('count', 'quantity')}\+?)",
    re.I,
)
_PAIR_QUANTITY = re.compile(
    r"(?:price\s*)?(?:break|qty|quantity|level|step)\s*(?P<a>\d)(?:\s*(?:qty|quantity|from))?", re.I
)
_PAIR_PRICE = re.compile(r"(?:(?:price\s*)?break|level|step)?\s*(?:price\s*)?(?P<a>\d)(?:\s*price)?", re.I)
_UNIT_AT_END = re.compile(r"^(.*?)[\s(\[/,_:]+(?:in\s+)?([^\s()\[\]/,_]{1,6})[)\]]?\s*$")
_EXTREMES = re.compile(r"\b(?:max(?:imum)?|typ(?:ical)?|nom(?:inal)?|rms)\b\.?", re.I)
_ENDINGS = re.compile(r"[\s@(\[/,:–-]+$|^[\s)\]/,:–-]+")
_GRAMS = {"g": 1.0, "kg": 1e3, "mg": 1e-3}
HIGH_FROM_HZ = 1000.0  # storage only: figures from here up go to the "high" place of a part


@dataclass(frozen=True, slots=True)
class CatalogueColumn:
    """One known column: how its cells are read, and what its heading says besides."""

    field: str
    heading: str
    reads: str
    unit: str
    low: float | None
    high: float | None
    list: str
    bare_unit: str = ""
    """What a bare number counts in."""
    frequency_hz: float | None = None
    temperature_c: float | None = None
    break_quantity: float | None = None
    currency: str = ""


@dataclass(frozen=True, slots=True)
class CatalogueLayout:
    """Which column of a table is which; `pairs` are columns of quantities with the column of their price."""

    columns: Mapping[int, CatalogueColumn]
    pairs: tuple[tuple[int, int], ...] = ()

    def has(self, field: str) -> bool:
        """Tell whether a column for this field was found."""
        return any(column.field == field for column in self.columns.values())


@cache
def catalogue_columns() -> tuple[CatalogueColumn, ...]:
    """Return every column that a catalogue may have."""
    return tuple(
        CatalogueColumn(
            row["field"], row["heading"], row["reads"], row["unit"],
            number(row, "low"), number(row, "high"), row["list"], row["unit"],
        )
        for row in table("catalogue_columns")
    )  # fmt: skip


@cache
def _by_name() -> Mapping[str, CatalogueColumn]:
    names: dict[str, CatalogueColumn] = {}
    rows = table("catalogue_columns")
    for wanted in ("heading", "synonyms"):
        for row, column in zip(rows, catalogue_columns(), strict=True):
            for name in row[wanted].split(";"):
                names.setdefault(plain_name(name) or name, column)
    return names


@cache
def factor(unit: str, column_unit: str) -> float | None:
    """Return the size of a written unit in the model's unit; None for one of another kind.

    >>> factor("mΩ", "ohm"), factor("nF", "uF"), factor("kg", "g"), factor("V", "mm")
    (0.001, 1e-09, 1000.0, None)
    """
    if column_unit == "g":
        return _GRAMS.get(unit.strip().casefold())
    return model_factor(unit, column_unit)


def known_headings(row: Sequence[str], renames: Mapping[str, str]) -> int:
    """Count the cells of a row that would be headings."""
    found = [column for text in row if 0 < len(text) < 80 and (column := match(text, renames))]
    return len({(column.field, column.break_quantity, column.frequency_hz) for column in found})


def lay_out(
    headings: Sequence[str], renames: Mapping[str, str], place: Sequence[Location]
) -> tuple[CatalogueLayout, list[Problem]]:
    """Match every heading of a row, and say which are unknown or come twice."""
    pairs, paired = _pairs(headings)
    columns: dict[int, CatalogueColumn] = {}
    taken: set[tuple[object, ...]] = set()
    problems: list[Problem] = []
    for index, text in enumerate(headings):
        if index in paired:
            continue
        column = match(text, renames)
        name = (column.field, column.frequency_hz, column.break_quantity) if column is not None else ()
        if column is None:
            if text:
                hint = f'map it with --heading "{text}=NEW" if it matters, NEW being a heading of the list in README'
                problems.append(report("catalogue-heading", "is not read", place[index], text, hint))
        elif name in taken:
            message = f"is a second column for {column.heading}; the first one counts"
            problems.append(report("catalogue-heading-twice", message, place[index], text))
        else:
            taken.add(name)
            columns[index] = column
    return CatalogueLayout(columns, pairs), problems


def match(text: str, renames: Mapping[str, str]) -> CatalogueColumn | None:
    """Return the column that a heading names, with what else the heading says.

    >>> found = match("Ripple current (mA) @105°C 100kHz", {})
    >>> found.field, found.bare_unit, found.frequency_hz, found.temperature_c
    ('ripple', 'mA', 100000.0, 105.0)
    >>> match("Price EUR 100+", {}).break_quantity
    100.0
    """
    if renames and plain_name(text) in renames:
        text = renames[plain_name(text)]
    direct = _named(text)
    if direct is not None:
        return direct
    rest, frequency_hz = _taken_out(text, _FREQUENCY, _hertz)
    rest, temperature_c = _taken_out(rest, _TEMPERATURE, lambda m: float(m["number"] or m["bare"]))
    rest, currency = _taken_out(rest, _MONEY, lambda m: _SYMBOLS.get(m[0], m[0].upper()))
    rest = _trimmed(rest)
    column = _named(rest) or _named(_trimmed(_EXTREMES.sub(" ", rest)))
    if column is None and (count := _break_quantity(rest)) is not None:
        column = replace(_by_name()["price"], break_quantity=count)
    if column is None and currency and not rest:
        column = _by_name()["price"]
    if column is None:
        return None
    return replace(column, frequency_hz=frequency_hz, temperature_c=temperature_c, currency=str(currency or ""))


def renaming(wishes: Mapping[str, str]) -> dict[str, str]:
    """Check the renames a user asks for; raises RecapError for a new name that is no heading here."""
    for old, new in wishes.items():
        if match(new, {}) is None:
            known = ", ".join(column.heading for column in catalogue_columns())
            raise RecapError(f'--heading "{old}={new}": {new} is no heading of a catalogue; known are {known}')
    return {plain_name(old): new for old, new in wishes.items()}


def is_known(name: str) -> bool:
    """Tell whether a name is a heading of catalogues."""
    return match(name, {}) is not None


def _named(text: str) -> CatalogueColumn | None:
    column = _by_name().get(plain_name(text) or text.strip())
    if column is not None:
        return _with_own_unit(column, text)
    ending = _UNIT_AT_END.match(text.strip())
    if ending is None:
        return None
    column = _by_name().get(plain_name(ending[1]) or ending[1].strip())
    if column is None:
        return None
    if column.unit and factor(ending[2], column.unit) is not None:
        return replace(column, bare_unit=ending[2])
    return replace(column, bare_unit="%") if ending[2] == "%" else None


def _with_own_unit(column: CatalogueColumn, text: str) -> CatalogueColumn:
    """A heading that is itself a unit, such as nF, sets the unit of bare numbers below it."""
    if column.unit and len(text.strip()) > 1 and factor(text.strip(), column.unit) is not None:
        return replace(column, bare_unit=text.strip())
    return column


def _hertz(match: re.Match[str]) -> float:
    scale = {"k": 1e3, "m": 1e6}.get((match["prefix"] or "").casefold(), 1.0)
    return float(match["number"].replace(",", ".")) * scale


def _taken_out(text: str, pattern: re.Pattern[str], read: object) -> tuple[str, float | None]:
    found = pattern.search(text)
    if found is None or not callable(read):
        return text, None
    return f"{text[: found.start()]} {text[found.end() :]}", read(found)


def _trimmed(text: str) -> str:
    text = re.sub(r"\(\s*[@,/]*\s*\)|\[\s*\]|\s@(?=\s|$)", " ", text)
    while (shorter := _ENDINGS.sub("", " ".join(text.split()))) != text:
        text = shorter
    return text


def _break_quantity(text: str) -> float | None:
    found = _BREAK.fullmatch(text)
    if found is None:
        return None
    digits = found["count"] or found["alone"] or found["quantity"]
    try:
        return plain_number(re.sub(r"[ ',.](?=\d{3}\b)", "", digits.strip(" .,'")))
    except ValueError:
        return None


def _pairs(headings: Sequence[str]) -> tuple[tuple[tuple[int, int], ...], frozenset[int]]:
    """Find columns such as "Qty 1", "Price 1", "Qty 2", "Price 2": a quantity with its price, by number."""
    quantities: dict[str, int] = {}
    prices: dict[str, int] = {}
    for index, text in enumerate(headings):
        bare = " ".join(_MONEY.sub(" ", text).split())
        if found := _PAIR_QUANTITY.fullmatch(bare):
            quantities.setdefault(found["a"], index)
        elif "price" in bare.casefold() and (found := _PAIR_PRICE.fullmatch(bare)):
            prices.setdefault(found["a"], index)
    numbered = [str(number) for number in range(1, len(quantities) + 1)]
    if not quantities or any(name not in quantities or name not in prices for name in numbered):
        return (), frozenset()
    pairs = tuple((quantities[name], prices[name]) for name in numbered)
    return pairs, frozenset(index for pair in pairs for index in pair)
