"""Value codes, voltage codes and the other short marks of a body."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from recap.intake.grammar.capacitance import MICRO, PICO, option
from recap.intake.grammar.items import Item, Option
from recap.intake.grammar.values import (
    HOTTEST_CLASSES_C,
    coded_voltage,
    in_series,
    known_ratings,
    tolerance_letters,
)
from recap.units import farads, volts

_WORD_END = r"(?![A-Za-z0-9])(?![.,]\d)"
CODE_LETTER = re.compile(rf"(?P<code>\d\d[0-9])(?P<letter>[A-Za-z]){_WORD_END}")
LETTER_CODE = re.compile(rf"(?P<letter>[A-Za-z])(?P<code>\d\d[4-8])(?P<tolerance>[JKMZ])?{_WORD_END}")
VOLTAGE_THEN_CODE = re.compile(
    rf"(?P<volts>[0-4][A-HJKLPQVWZ]) ?(?P<code>\d\d[0-9]|\d[R.]\d|R\d\d|010)(?P<tolerance>[JKMZ])?{_WORD_END}"
)
CODE_THEN_VOLTAGE = re.compile(
    rf"(?P<code>\d{{3}})(?:(?P<tolerance>[JKMZ])[ /-]?| ?[/-] ?| )(?P<volts>[0-4][A-HJKLPQVWZ]){_WORD_END}"
)
VOLTAGE_CODE = re.compile(rf"(?P<volts>[0-4][A-HJKLPQVWZ]){_WORD_END}")
LOT = re.compile(rf"\d[A-Za-z]\d{_WORD_END}")
DAMAGED_CODE = re.compile(r"(?P<code>\d{2,3}[eE]\d{1,2}|\d(?:[.,]\d+)?[eE][+-]\d{1,3})(?![A-Za-z0-9])(?! ?[unpm]?[fF])")
R_POINT = re.compile(r"(?:(?P<whole>\d{1,3})[Rr](?P<part>\d{1,2}))(?P<tolerance>[JKM])?(?![A-Za-z0-9])")


def is_code(code: str) -> bool:
    """Return whether three digits hold two figures that are made and a count of zeros."""
    return bool(re.fullmatch(r"[1-9]\d\d", code, re.ASCII)) and in_series(float(code[:2]), "E24")


def picofarads(code: str) -> Decimal:
    """Return what a three-digit code stands for by the general rule.

    >>> picofarads("226")
    Decimal('0.000022')
    """
    exponent = {"8": -2, "9": -1}.get(code[2], int(code[2]))
    return Decimal(int(code[:2])).scaleb(exponent) * PICO


def code_options(code: str, *, on_part_number: bool = False) -> tuple[tuple[Option, ...], str]:
    """Return the readings of a three-digit code and the doubt: pF on a body, µF in makers' part numbers."""
    general = picofarads(code)
    first = option(general, f"three-digit code {code}: {farads(float(general))}")
    if int(code[2]) >= 4:
        return (first,), ""
    in_micro = Decimal(int(code[:2])).scaleb(int(code[2])) * MICRO
    maker = option(in_micro, f"{code} in makers' part numbers counts in µF: {farads(float(in_micro))}")
    options = [maker, first] if on_part_number else [first, maker]
    if code[2] == "0":
        plain = option(Decimal(code) * MICRO, f"{code} printed plainly on a can: {farads(float(code) * 1e-6)}")
        options = [plain, first]
    return tuple(options), "such a code counts in pF on a body and in µF in makers' part numbers"


def _tolerance(letter: str | None) -> dict[str, tuple[float, float]]:
    return {"tolerance_pct": tolerance_letters()[letter]} if letter else {}


def code_letter(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 336K (a tolerance) or 107C (a chip's voltage letter)."""
    code, letter = match["code"], match["letter"].upper()
    if not is_code(code) or letter in "NPRU":
        return None  # nF, pF, µF and ohms
    if letter == "V" and (code[2] in "01239" or float(code) % 5 == 0 or float(code) in known_ratings()):
        return None
    if letter == "C" and float(code) in HOTTEST_CLASSES_C:
        return None  # 105C is a temperature
    if any(item.kind.startswith("capacitance") or item.kind == "code" for item in items):
        return None
    tolerance, alone = tolerance_letters().get(letter), coded_voltage(letter)
    options, doubt = code_options(code)
    merged = []
    if tolerance and (letter in "JKMZ" or not alone) and match["letter"].isupper():
        merged = [
            Option(
                {**o.fields, "tolerance_pct": tolerance},
                f"{o.because}, {letter} is {tolerance[0]:+g} to {tolerance[1]:+g} %",
            )
            for o in options
        ]
        settled = int(code[2]) >= 1 and (letter in "JK" or int(code[2]) >= 4)
        doubt = "" if settled else doubt
        if settled:
            merged = [o for o in merged if o.fields["capacitance_f"] == float(picofarads(code))]
    if alone and letter not in "KMZ" and not (merged and picofarads(code) < Decimal("1e-6")):
        merged += [
            Option(
                {**o.fields, "rated_voltage_v": alone},
                f"{o.because}, {letter} alone on a chip is {volts(alone)}",
            )
            for o in options
        ]
        doubt = "the letter may be a voltage, a tolerance or a series"
    if letter == "V":
        merged.append(Option({"rated_voltage_v": float(code)}, f"or plainly {code} V"))
    if not merged:
        return None
    return Item("code", match[0], tuple(merged[:3]), doubt, "three-digit code and letter", value=code)


def letter_code(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read A475 or e107: a chip's voltage letter before the code; it may also be a designator."""
    alone = coded_voltage(match["letter"]) if match["letter"] in "eGJADEV" else None
    if alone is None or not is_code(match["code"]) or any(item.kind.startswith("capacitance") for item in items):
        return None
    alone = 2.5 if match["letter"] == "e" else alone
    options, _ = code_options(match["code"])
    fields = {**options[0].fields, "rated_voltage_v": alone, **_tolerance(match["tolerance"])}
    because = f"{options[0].because}, {match['letter']} on a chip is {volts(alone)}"
    return Item(
        "code",
        match[0],
        (Option(fields, because),),
        "it may also be a designator or type mark",
        "voltage letter and code",
        value=match["code"],
    )


def voltage_and_code(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 1E 106 and 476 1C: value code and two-character voltage code."""
    rated, code = coded_voltage(match["volts"]), match["code"]
    options: tuple[Option, ...]
    if rated is None or any(item.kind.startswith("capacitance") for item in items):
        return None
    if not code.isdigit() or code[0] == "0":
        number = (
            Decimal(code.replace("R", ".") if code[0] != "R" else "0." + code[1:]) if code[0] != "0" else Decimal(1)
        )
        options, doubt = (option(number * MICRO, f"{code} is {number} µF"),), ""
    elif is_code(code):
        options, doubt = code_options(code, on_part_number=match["tolerance"] != "J")
        if match["tolerance"] in ("J", "K"):
            options, doubt = (
                tuple(o for o in options if o.fields["capacitance_f"] == float(picofarads(code))),
                "",
            )
    else:
        return None
    if len(options) > 1:  # a coulomb is more than such a part holds
        options = tuple(o for o in options if o.fields["capacitance_f"] * rated < 1.0)
        doubt = doubt if len(options) > 1 else ""
    extra = {"rated_voltage_v": rated, **_tolerance(match["tolerance"])}
    merged = tuple(
        Option({**o.fields, **extra}, f"{o.because}; voltage code {match['volts']} is {volts(rated)}") for o in options
    )
    return Item("code", match[0], merged, doubt, "value code and voltage code", value="volts")


def voltage_code(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read a two-character voltage code beside a capacitance, or alone with doubt."""
    rated = coded_voltage(match["volts"])
    kinds = {item.kind for item in items}
    if rated is None or kinds & {"voltage", "voltages"}:
        return None
    beside = kinds & {"capacitance", "code"}
    doubt = (
        ""
        if beside and match["volts"][1] != "A"
        else "a two-character voltage code is likely, but it may be a lot mark"
    )
    because = f"voltage code {match['volts']} is {volts(rated)}"
    return Item("voltage", match[0], (Option({"rated_voltage_v": rated}, because),), doubt, "voltage code")


def lot(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise digit, letter, digit: a lot code, or a resistor's value."""
    resistance = match[0][1] in "kKRM"
    kind = "resistance" if resistance and not items else "lot"
    return Item(kind, match[0], rule="lot code", confused_with=("voltage code",))


def damaged_code(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Recognise 22E1 and 2.2E+02, which a spreadsheet turns into other numbers."""
    if items:
        return None
    doubt = "a designator or code that a spreadsheet takes for a power of ten"
    text = match["code"].replace(",", ".")
    if re.search("[eE]-", text) and 0 < Decimal(text) <= 1:
        value = Decimal(text)
        return Item(
            "capacitance",
            match[0],
            (option(value, f"taken as farad: {farads(float(value))}"),),
            doubt,
            "power of ten",
        )
    return Item("number", match[0], (Option({}, f'"{match[0]}": {doubt}'),), doubt, "spreadsheet damage")


def r_point(match: re.Match[str], items: Sequence[Item]) -> Item | None:
    """Read 4R7: R for the point, of µF on an electrolytic, of pF on a ceramic, of ohms on a resistor."""
    number = Decimal(f"{match['whole']}.{match['part']}")
    if number == 0 or any(item.kind.startswith("capacitance") for item in items):
        return None
    extra = _tolerance(match["tolerance"])
    options = tuple(
        Option(
            {"capacitance_f": float(number * factor), **extra},
            f"R stands for the point: {farads(float(number * factor))}",
        )
        for factor in (MICRO, PICO)
    )
    return Item("code", match[0], options, "R is also the point of a resistance", "R as decimal point", value="R")


BEFORE_UNITS = ((DAMAGED_CODE, damaged_code),)
CLAUSES = (
    (VOLTAGE_THEN_CODE, voltage_and_code),
    (CODE_THEN_VOLTAGE, voltage_and_code),
    (CODE_LETTER, code_letter),
    (LETTER_CODE, letter_code),
    (VOLTAGE_CODE, voltage_code),
    (R_POINT, r_point),
    (LOT, lot),
)
