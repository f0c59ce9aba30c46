"""Rated voltages: DC and AC spellings, surge and lower bounds, several ratings in one clause."""

from __future__ import annotations

import re
from collections.abc import Sequence

from recap.intake.grammar.items import Item, LatePattern, Option
from recap.intake.grammar.numerals import NUMBER, read_number
from recap.intake.grammar.values import known_ratings
from recap.units import volts

HIGHEST_V = 50_000.0

_DC = (
    r"w\.? ?v\.? ?d\.? ?c\.?|v(?:olts?)?\.? ?d\.? ?c\.?(?: ?w(?:kg|k|v)?\.?)?|d\.? ?c\.? ?w\.? ?v\.?"
    r"|d\.? ?c\.? ?v(?:olts?)?\.?|v(?:olts?)?\.? ?c\.? ?c\.?|v ?=|v-(?=\s|$|[),;])|v -(?=$|[),;])"
)
_AC = (
    r"v(?:olts?)?\.? ?a\.? ?c\.?|v(?:olts?)?\.? ?c\.? ?a\.?|a\.? ?c\.? ?v(?:olts?)?\.?|v(?:olts?)? ?~"
    r"|v(?:olts?)?\.? ?(?:rms|eff)\.?"
)
_SIMPLE = r"w\.? ?v\.?|v\.? ?w(?:kg)?\.?|volts?\.?|v\.?"
_END = r"(?![A-Za-z])|(?=[XYxy]\d)|(?=(?:NP|BP|MK[PTS])\b)"
UNIT = rf"(?:(?i:k)?(?:(?P<ac>(?i:{_AC}))|(?P<dc>(?i:{_DC}))|(?i:{_SIMPLE}))(?:{_END}))"
_PLAIN_UNIT = rf"(?:(?i:k)?(?i:{_AC}|{_DC}|{_SIMPLE})(?:{_END}))"
_GAP = r"(?: ?- ?(?=[A-Za-z])| )?"
_AFTER = r"(?P<after> ?\(?(?:surge|peak|pk|test|min(?:imum)?|max(?:imum)?|or more|and up)\b\.?\)?(?! ?[:=]? ?\d))?"
_BETWEEN = r" ?(?:/|-and-|-to-|-or-|-|\.\.+|&|,(?= )|~) ?| (?:or|and|to|und|oder|bis|et|ou) "

VOLTAGE = LatePattern(rf"(?P<bound>>=? ?|~ ?)?(?P<number>{NUMBER}){_GAP}{UNIT}(?i:{_AFTER})")
SEVERAL = LatePattern(
    rf"(?P<numbers>{NUMBER}(?: ?{_PLAIN_UNIT})?(?:(?:{_BETWEEN}){NUMBER}(?: ?{_PLAIN_UNIT})?)*(?:{_BETWEEN}){NUMBER})"
    rf"{_GAP}{UNIT}(?i:{_AFTER})"
)
LABELLED = LatePattern(
    rf"(?i:(?P<dc>wvdc|vdcw|dcwv|vdc)|(?P<ac>vac)|w\.?v\.?|v\.?w\.?"
    rf"|volts?|voltage|rated voltage|[uv](?=[ ]?[:=])|v(?= \d))"
    rf" ?[:=]? ?(?P<number>{NUMBER})(?: ?(?:{_PLAIN_UNIT}))?(?P<after>)(?![\w.,]*\d)(?![A-Za-z])"
)
TILDE = re.compile(r"(?P<number>[1-9]\d\d) ?~(?! ?\d)")
INFIX = re.compile(r"(?P<whole>\d{1,3})[Vv](?P<part>\d)(?![A-Za-z0-9])(?![.,]\d)")


def _current(match: re.Match[str]) -> bool | None:
    """Return whether the unit says AC or DC, None where it says neither."""
    return True if match["ac"] else False if match["dc"] else None


def _fields(value: float, ac: bool | None) -> dict[str, object]:
    return {"rated_voltage_v": value} if ac is None else {"rated_voltage_v": value, "ac": ac}


def _kilo(match: re.Match[str]) -> float:
    unit = match[0][match.end("number") - match.start() :].lstrip(" -")
    return 1000.0 if unit[:1] in "kK" else 1.0


def voltage(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read one voltage with its unit."""
    numeral = read_number(match["number"])
    if numeral is None:
        return None
    scale, ac = _kilo(match), _current(match)
    found = [float(v) * scale for v in (numeral.value, numeral.other) if v is not None]
    if len(found) > 1 and found[0] > 3000:
        found = found[1:]
    found = [value for value in found if value <= HIGHEST_V]
    if not found:
        return None
    if found[0] == 0:
        return Item("zero", match[0], rule="voltage")
    after = (match["after"] or "").lower()
    if re.search("surge|peak|pk|test", after):
        return Item("surge", match[0], rule="surge voltage", value=found[0])
    if ac is None and (match["bound"] or "").startswith("~"):
        ac = True
    word = {True: " AC", False: " DC", None: ""}[ac]
    bound = ", a lower bound" if "min" in after or "more" in after or (match["bound"] or "").startswith(">") else ""
    options = tuple(
        Option(_fields(value, ac), f'"{match[0].strip()}" is {volts(value)}{word}{bound}') for value in found
    )
    return Item(
        "voltage", match[0], options, "the separator may be decimal or part thousands" if len(found) > 1 else "",
        "volts with unit", value="bound" if bound else None,
    )  # fmt: skip


def several(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read two or more voltages that share a unit."""
    texts = re.findall(NUMBER, match["numbers"])
    numerals = [read_number(text, decimals_only=True) for text in texts]
    if len(texts) < 2 or any(numeral is None for numeral in numerals):
        return None
    scale = 1000.0 if match[0][match.end("numbers") - match.start() :].lstrip(" -")[:1] in "kK" else 1.0
    found = [float(numeral.value) * scale for numeral in numerals if numeral]
    if 0 in found or max(found) > HIGHEST_V:
        return None
    ac = _current(match)
    carried: dict[str, object] = {} if ac is None else {"ac": ac}
    surge = re.search("surge|peak|pk|test", (match["after"] or "").lower())
    if len(set(found)) == 1 or (surge and len(found) == 2):
        return Item(
            "voltage", match[0], (Option(_fields(found[0], ac), f'"{match[0]}" is {volts(found[0])}'),),
            "", "volts with unit",
        )  # fmt: skip
    options: tuple[Option, ...]
    low, high = found[0], found[-1]
    if len(found) == 2 and "/" in match["numbers"] and low < high <= low * 1.35:
        first = Option(_fields(low, ac), f"{volts(low)} working and {volts(high)} surge is likely")
        options = (first, Option({**carried}, "or two ratings: two parts, or two sections"))
        return Item("voltages", match[0], options, "two voltages: only the first may be the rating", "several volts")
    listed = " and ".join(volts(value) for value in found)
    options = (Option(carried, f"{listed}: several ratings, no single one"),)
    return Item(
        "voltages", match[0], options, "several voltages must not become one rating", "several volts",
        (tuple(found), match["numbers"], ac),
    )  # fmt: skip


def labelled(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read WV 16, WVDC: 25, V=63."""
    numeral = read_number(match["number"], decimals_only=True)
    if numeral is None or numeral.value > HIGHEST_V:
        return None
    if numeral.value == 0:
        return Item("zero", match[0], rule="voltage")
    value, ac = float(numeral.value), _current(match)
    label = Option(_fields(value, ac), f'"{match[0]}" is {volts(value)}')
    return Item("voltage", match[0], (label,), "", "volts with label")


def infix(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 6V3: the V stands where the decimal point would."""
    value = float(f"{match['whole']}.{match['part']}")
    if value == 0:
        return Item("zero", match[0], rule="voltage")
    why = f'the V stands for the point: "{match[0]}" is {volts(value)}'
    doubt = "" if value in known_ratings() or value < 30 else "no such rating is known"
    return Item("voltage", match[0], (Option(_fields(value, None), why),), doubt, "V as decimal point")


def tilde(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 275~: the sign alone says AC volts."""
    value = float(match["number"])
    option = Option(_fields(value, True), f'"{match[0]}" is {volts(value)} AC')
    return Item("voltage", match[0], (option,), "", "volts with AC sign")


CLAUSES = ((TILDE, tilde), (INFIX, infix), (SEVERAL, several), (VOLTAGE, voltage), (LABELLED, labelled))
