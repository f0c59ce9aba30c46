"""Bodies and hole patterns: diameter, length, lead spacing, chip cases; millimetres, inches and mils."""

from __future__ import annotations

import re
from collections.abc import Sequence

from recap.intake.grammar.capacitance import UNIT as _FARAD
from recap.intake.grammar.items import Builder, Item, Option
from recap.intake.grammar.numerals import MIXED, NUMBER, read_inches, read_number
from recap.intake.grammar.values import diameters_mm, pitch_mm, shortest_mm

LONGEST_MM = 400.0

_MM = r"mm\.?(?![A-Za-z])"
_CM = r"cm\.?(?![A-Za-z])"
_INCH = r"(?:\"|''|inch(?:es)?|in\.?(?![A-Za-z]))"
_MIL = r"(?:mils?|thou)(?![A-Za-z])"
_N = rf"(?:{MIXED}(?= ?(?:{_INCH}|x|by))|{NUMBER})"
_U = rf"(?:{_MM}|{_CM}|{_INCH}|{_MIL})"
_MEASURE = rf"(?P<number>{_N}) ?-?(?P<unit>{_U})?"
_SET = r" ?[:=]? ?"
_O = r"(?<![A-Za-z0-9])"
_ALONE = r"(?![A-Za-z])(?! ?[:=]? ?\d)"  # a label after a number must not belong to the next one

_DIAMETER = r"(?:diam(?:eter)?\.?|dia\.?|durchm(?:esser)?\.?|o\.?d\.?|Ø)"
_LENGTH = (
    r"(?:heights?|high|tall|h[öo]he|hoehe|hauteur|altezza|ht\.?|hgt\.?"
    r"|(?<=mm )h|(?<=mm)h|len(?:gth)?\.?|long|l[äa]nge|laenge|longueur|lunghezza)"
)
_SPACING = (
    r"(?:(?:lead|pin|hole|wire)[ -]?(?:spacing|pitch|space|distance|centers|centres)|lead sp\.?"
    r"|pitch|spacing|raster(?:ma(?:ss|ß))?|rm|l\.?s\.?|l/s|p\.?c\.?m|pas|passo|paso|centres|centers)"
)
DIAMETER = (
    re.compile(rf"{_O}{_DIAMETER}{_SET}{_MEASURE}(?!\w)", re.I),
    re.compile(rf"{_MEASURE} ?(?:in )?{_DIAMETER}{_ALONE}", re.I),
    re.compile(rf"{_O}[Dd](?: ?[:=] ?| ?){_MEASURE}(?![A-Za-z0-9])(?![.,]\d)"),
)
LENGTH = (
    re.compile(rf"{_O}{_LENGTH}{_SET}{_MEASURE}(?!\w)", re.I),
    re.compile(rf"{_MEASURE} ?(?:in )?{_LENGTH}{_ALONE}", re.I),
    re.compile(rf"{_O}[LlHh](?: ?[:=] ?| ?){_MEASURE}(?![A-Za-z0-9])(?![.,]\d)"),
)
SPACING = (
    re.compile(rf"{_O}{_SPACING}{_SET}{_MEASURE}(?!\w)", re.I),
    re.compile(rf"{_MEASURE} ?-?{_SPACING}{_ALONE}", re.I),
    re.compile(rf"{_O}[Pp](?: ?[:=] ?| ?){_MEASURE}(?![A-Za-z0-9])(?![.,]\d)"),
)
_TIMES = r"(?: ?(?:x|\*|by) ?| ?/ ?(?=\d+(?:[.,]\d+)? ?mm))"
PRODUCT = re.compile(
    rf"(?P<mark>Ø ?|D ?[=:]? ?|dia\.? ?)?(?P<a>{_N}) ?(?P<ua>{_U})?(?P<amark> ?(?:{_DIAMETER}|D|W))?"
    rf"{_TIMES}(?P<bmark>[LH] ?=? ?|Ø ?)?(?P<b>{_N}) ?(?P<ub>{_U})?"
    rf"(?P<bmark2> ?(?:Ø|dia\.?|{_LENGTH}|[LH]))?(?![a-wyz0-9])"
    rf"(?:(?:{_TIMES}|(?P<slash> ?/ ?))(?P<cmark>[PH] ?=? ?|RM ?)?(?P<c>{_N}) ?(?P<uc>{_U})?)?"
    rf"(?![A-Za-z0-9]|[.,]\d| ?[+/] ?\d)(?! ?(?:{_FARAD}|V)(?![A-Za-z0-9]))",
    re.I,
)
LENGTH_ALONE = re.compile(rf"(?P<number>{_N}) ?(?P<unit>{_U})")
CHIP = re.compile(
    r"(?:(?:case|size|eia|smd|pkg|package)[ :]?)?(?P<code>0201|0402|0603|0805|1206|1210|1808|1812|1825|2220|2225"
    r"|2010|2012|2512|3216|3528|6032|7343|7360|7361|2917|2312|1411)(?:-\d\d)?(?![\w.,])"
    rf"(?! ?(?:{_FARAD}|V|h|hrs?|hours?|mm)(?![A-Za-z]))",
    re.I,
)
CASE_LETTER = re.compile(r"(?:case|size|bauform) ?(?P<code>[A-EVXYPTSR])\b|\b(?P<code2>[A-EVXY])[ -]?case\b", re.I)

_NAMES = {"diameter": "diameter_mm", "length": "length_mm", "lead_spacing": "lead_spacing_mm"}


def millimetres(number: str, unit: str | None) -> float | None:
    """Return a written measure in millimetres; without unit it is millimetres already."""
    if "/" in number and not (unit or "").startswith(("'", '"', "i", "I")):
        return None
    if "/" in number:
        value = float(read_inches(number))
    else:
        numeral = read_number(number, decimals_only=True)
        if numeral is None:
            return None
        value = float(numeral.value)
    unit = (unit or "mm").lower()
    scale = 25.4 if unit[0] in "\"'i" else 0.0254 if unit[:2] in ("mi", "th") else 10.0 if unit[0] == "c" else 1.0
    value = round(value * scale, 4)
    return value if 0 < value <= LONGEST_MM else None


def measure(match: re.Match[str], kind: str, doubt: str = "") -> Item | None:
    """Return an item for one labelled measure."""
    value = millimetres(match["number"], match["unit"])
    if value is None:
        return None
    because = f'"{match[0].strip()}" is a {kind.replace("_", " ")} of {value:g} mm'
    return Item(
        kind,
        match[0],
        (Option({_NAMES[kind]: value}, because),),
        doubt,
        f"{kind.replace('_', ' ')} with label",
    )


def diameter(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read Ø10, diam 8.3, 10 mm dia."""
    return measure(match, "diameter")


def length(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read H20, Height = 5.9 mm, 20 mm long."""
    return measure(match, "length")


def lead_spacing(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read RM27.5, Pitch 5 mm, LS=5."""
    return measure(match, "lead_spacing")


def _letter(kind: str, most: float) -> Builder:
    def read(match: re.Match[str], items: Sequence[Item]) -> Item | None:
        item = measure(match, kind)
        if item is None or next(iter(item.fields.values())) > most:
            return None
        plain_mark = re.fullmatch(r"[A-Za-z]\d+", match[0])
        alone = plain_mark and not items and not match.string[match.end() :].strip()
        if not alone:
            return item
        value = next(iter(item.fields.values()))
        if (kind == "diameter" and (value < 4 or value not in diameters_mm())) or (kind == "length" and value < 5):
            return None
        return measure(match, kind, f'"{match[0]}" alone may also be a designator')

    return read


def product(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 10x25 as diameter by length, whichever order the numbers stand in."""
    last = match["uc"] or match["ub"] or match["ua"]
    first = millimetres(match["a"], match["ua"] or match["ub"] or last)
    second = millimetres(match["b"], match["ub"] or last)
    third = millimetres(match["c"], match["uc"] or last) if match["c"] else None
    if first is None or second is None:
        return None
    marked = match["mark"] or match["amark"] or match["bmark"] or match["bmark2"]
    more: dict[str, float] = {}
    doubt = ""
    if third is not None:
        nominal = pitch_mm(first)
        if match["slash"] and nominal != third:
            return None  # 4x 10/16 is a count, µF and volts
        if first == second and third > first / 2 and not match["cmark"]:
            base = Option({"diameter_mm": first, "length_mm": third}, "square base and height of an SMD can")
            return Item("size", match[0], (base,), "three measures, likely base and height", "box")
        if not match["cmark"] and third > 15:
            return Item("size", match[0], (Option({}, "three measures of a box"),), "three measures of a box", "box")
        more["lead_spacing_mm"] = third
        usual = match["cmark"] or (nominal is not None and abs(nominal - third) <= 0.7)
        doubt = "" if usual else "three measures may also be length, width and height of a box"
    as_written = _size(first, second, more)
    swapped = _size(second, first, more)
    if "Ø" in (match["bmark"] or match["bmark2"] or "") or "dia" in (match["bmark2"] or "").lower():
        return Item("size", match[0], (swapped,), doubt, "length by diameter")
    if marked or first <= second:
        return Item("size", match[0], (as_written,), doubt, "diameter by length")
    options, order = _order(first, second, as_written, swapped)
    return Item("size", match[0], options, doubt or order, "diameter by length", confused_with=("length by diameter",))


def _size(diameter_mm: float, length_mm: float, more: dict[str, float]) -> Option:
    spacing = f", lead spacing {more['lead_spacing_mm']:g} mm" if more else ""
    because = f"diameter {diameter_mm:g} mm by length {length_mm:g} mm{spacing}"
    return Option({"diameter_mm": diameter_mm, "length_mm": length_mm, **more}, because)


def _order(first: float, second: float, as_written: Option, swapped: Option) -> tuple[tuple[Option, ...], str]:
    """Decide which of two numbers is the diameter when the larger stands first."""
    grid = diameters_mm()
    lowest = shortest_mm(first)
    if first in grid and second not in grid and lowest is not None and second >= lowest:
        return (as_written,), ""
    if second in grid and (first not in grid or (lowest is not None and second < lowest)):
        return (swapped, as_written), "the height seems to stand first"
    return (as_written, swapped), "diameter and height may stand in either order"


def measure_alone(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read a measure that does not say of what: 200 mil is likely a lead spacing."""
    value = millimetres(match["number"], match["unit"])
    if value is None:
        return None
    readings = {
        kind: Option({name: value}, f"{value:g} mm as {kind.replace('_', ' ')}") for kind, name in _NAMES.items()
    }
    spacing_first = re.search("mil|thou", match["unit"], re.I) or value in (
        2.0,
        2.5,
        3.5,
        5.0,
        7.5,
        15.0,
        22.5,
        27.5,
    )
    order = ("lead_spacing", "diameter", "length") if spacing_first else ("diameter", "length", "lead_spacing")
    return Item(
        "measure",
        match[0],
        tuple(readings[kind] for kind in order),
        "a measure of what is not said",
        "measure",
    )


def chip(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise a chip case code, which carries no value."""
    return Item("case", match[0], rule="chip case code", value=match["code"])


def case_letter(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise a lettered chip case."""
    return Item("case", match[0], rule="case letter", value=(match["code"] or match["code2"]).upper())


CLAUSES = (
    (PRODUCT, product),
    *((pattern, lead_spacing) for pattern in SPACING[:2]),
    *((pattern, diameter) for pattern in DIAMETER[:2]),
    *((pattern, length) for pattern in LENGTH[:2]),
    (SPACING[2], _letter("lead_spacing", 45)),
    (DIAMETER[2], _letter("diameter", 110)),
    (LENGTH[2], _letter("length", 260)),
    (CASE_LETTER, case_letter),
    (CHIP, chip),
    (LENGTH_ALONE, measure_alone),
)
