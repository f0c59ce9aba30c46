"""What a column's heading adds: a number under Volts is volts."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal

from recap.intake.grammar import dates
from recap.intake.grammar.bare import as_volts
from recap.intake.grammar.codes import is_code, picofarads
from recap.intake.grammar.items import Item, Option
from recap.intake.grammar.numerals import NUMBER, Numeral, read_number
from recap.intake.grammar.sizes import millimetres
from recap.intake.grammar.values import coded_voltage, in_series, is_old_value, known_ratings, tolerance_letters
from recap.units import farads, volts

FIELDS: Mapping[str, tuple[str, ...]] = {
    "capacitance": ("capacitance_f", "sections_f"),
    "voltage": ("rated_voltage_v", "ac"),
    "temperature": ("temperature_c",),
    "size": ("diameter_mm", "length_mm"),
    "diameter": ("diameter_mm",),
    "length": ("length_mm",),
    "lead_spacing": ("lead_spacing_mm",),
    "tolerance": ("tolerance_pct",),
    "date": ("date",),
    "designators": ("designators", "quantity"),
    "quantity": ("quantity",),
    "endurance": ("endurance_h",),
    "ripple": (),
}
_FACTORS = {"f": 0, "mf": -3, "uf": -6, "u": -6, "mfd": -6, "nf": -9, "n": -9, "pf": -12, "p": -12}
_NUMBER = re.compile(rf"[+]? ?(?P<number>{NUMBER})")
_TIMES = re.compile(rf"(?P<number>\d{{1,2}}) ?[xX*] ?(?P<value>{NUMBER})")
_PAIR = re.compile(rf"(?P<one>{NUMBER}) ?(?P<mark>/|-|@| ) ?(?P<two>{NUMBER}) ?[vV]?")


def read_in_column(text: str, expect: str, unit: str) -> Item | None:
    """Return the piece that a bare text is under a heading, or None where the heading adds nothing."""
    reader = _READERS.get(expect)
    return reader(text, unit) if reader else None


def cannot_be(text: str, expect: str) -> str | None:
    """Return why a bare number does not fit its column, or None when it is no bare number."""
    if expect not in _READERS or expect in ("designators", "date") or not re.fullmatch(rf"[+-]? ?{NUMBER}", text):
        return None
    return f"{text} is out of range for {expect.replace('_', ' ')}"


def _plain(text: str, **how: bool) -> Numeral | None:
    match = _NUMBER.fullmatch(text)
    return read_number(match["number"], **how) if match else None


def _item(kind: str, text: str, fields: Mapping[str, object], because: str, doubt: str = "") -> Item:
    return Item(kind, text, (Option(fields, because),), doubt, f"number in the {kind.replace('_', ' ')} column")


def _capacitance(text: str, unit: str) -> Item | None:
    damage = dates.damaged_text(text, "capacitance")
    if damage:
        return damage
    if pair := _PAIR.fullmatch(text):
        value, rated = (read_number(pair[name]) for name in ("one", "two"))
        usable = value and rated and value.value > 0 and float(rated.value) in known_ratings()
        if usable and value and rated and not (pair["mark"] == " " and pair["two"] == "000"):
            farad, volt = float(value.value.scaleb(-6)), float(rated.value)
            doubt = "" if pair["mark"] in "/@" and value.settled else "the second number is likely volts"
            because = f"{farads(farad)} and {volts(volt)} in a capacitance column"
            return _item("capacitance", text, {"capacitance_f": farad, "rated_voltage_v": volt}, because, doubt)
        return None
    if times := _TIMES.fullmatch(text):
        return _several_of(times)
    numeral = _plain(text)
    if numeral is None or numeral.value <= 0:
        return None
    power = _FACTORS.get(unit.lower().replace("µ", "u").replace("μ", "u").replace(" ", ""), -6)
    options = [
        Option(
            {"capacitance_f": float(value.scaleb(power))},
            f"{value:f} in the column's unit: {farads(float(value.scaleb(power)))}",
        )
        for value in (numeral.value, numeral.other)
        if value is not None
    ]
    doubt = "" if numeral.settled else "the separator may be decimal or part thousands"
    doubt = doubt or ("" if unit else "the column names no unit; µF is likely")
    if re.fullmatch(r"\d{4}", text) and not (in_series(float(text)) or is_old_value(float(text))):
        doubt = doubt or ("it may be a date code" if dates.week_options(text) else "")
    if is_code(text) and int(text[2]) >= 3 and power == -6:
        code = Option({"capacitance_f": float(picofarads(text))}, f"code {text}: {farads(float(picofarads(text)))}")
        likely_code = int(text[2]) in (4, 5, 6, 7)
        options, doubt = (
            ([code, *options] if likely_code else [*options, code]),
            "a three-digit code, or plain µF",
        )
    return Item("capacitance", text, tuple(options), doubt, "number in the capacitance column")


def _several_of(times: re.Match[str]) -> Item | None:
    """Read 2x100 in a capacitance column: pieces, or sections of one can."""
    numeral = read_number(times["value"])
    if numeral is None or numeral.value <= 0 or int(times["number"]) == 0:
        return None
    value = {"capacitance_f": float(numeral.value.scaleb(-6))}
    options = (
        Option({**value, "quantity": int(times["number"])}, f"{times['number']} pieces of {numeral.value} µF"),
        Option({**value, "sections": int(times["number"])}, f"{times['number']} sections of {numeral.value} µF"),
    )
    return Item(
        "capacitance",
        times[0],
        options,
        "several pieces, or equal sections of one can",
        "count and value in the capacitance column",
    )


def _voltage(text: str, unit: str) -> Item | None:
    damage = dates.damaged_text(text, "voltage")
    if damage:
        return damage
    if re.fullmatch(r"[0-4][A-HJKLPQVWZ]", text) and (rated := coded_voltage(text)):
        return _item("voltage", text, {"rated_voltage_v": rated}, f"voltage code {text} is {volts(rated)}")
    if pair := _PAIR.fullmatch(text):
        return _two_ratings(pair)
    numeral = _plain(text, decimals_only=True)
    if numeral is None or not 0 < numeral.value <= 50_000:
        return None
    value = float(numeral.value) * (1000.0 if unit.lower() == "kv" else 1.0)
    return Item(
        "voltage",
        text,
        (as_volts(value, f"{volts(value)} in a voltage column"),),
        "",
        "number in the voltage column",
    )


def _two_ratings(pair: re.Match[str]) -> Item | None:
    """Read 450/525 in a voltage column: working and surge, or two ratings that must not become one."""
    low, high = (read_number(pair[name], decimals_only=True) for name in ("one", "two"))
    if low is None or high is None or not 0 < low.value < 50_000:
        return None
    if low.value < high.value <= low.value * Decimal("1.35"):
        first = as_volts(float(low.value), f"{low.value} V working and {high.value} V surge is likely")
        return Item("voltages", pair[0], (first,), "two voltages in one cell", "two numbers in the voltage column")
    none = Option({}, f"{low.value} and {high.value}: several ratings, no single one")
    return Item("voltages", pair[0], (none,), "two voltages in one cell", "two numbers in the voltage column")


def _temperature(text: str, unit: str) -> Item | None:
    match = re.fullmatch(r"[+-]? ?(\d{2,3}(?:[.,]\d)?)", text)
    if not match or not (70 if text[0] == "-" else 0) <= (value := float(match[1].replace(",", "."))) <= 200:
        return None
    return _item("temperature", text, {"temperature_c": value}, f"{value:g} °C in a temperature column")


def _measure(kind: str, name: str) -> Callable[[str, str], Item | None]:
    def read(text: str, unit: str) -> Item | None:
        if not re.fullmatch(rf"(?:[A-Za-zØ]{{1,2}} ?=? ?)?{NUMBER}", text):
            return None
        value = millimetres(re.sub(r"^[A-Za-zØ]+ ?=? ?", "", text), unit or "mm")
        return _item(kind, text, {name: value}, f"{value:g} mm in a {kind.replace('_', ' ')} column") if value else None

    return read


def _tolerance(text: str, unit: str) -> Item | None:
    if text in tolerance_letters():
        low, high = tolerance_letters()[text]
        return _item(
            "tolerance",
            text,
            {"tolerance_pct": (low, high)},
            f"tolerance letter {text}: {low:+g} to {high:+g} %",
        )
    numeral = _plain(text, decimals_only=True)
    if numeral is None or numeral.value > 100:
        return None
    value = float(numeral.value)
    if 0 < value < 1:  # a spreadsheet keeps 20 % as 0.2
        value = float(Decimal(str(value)) * 100)
    return _item("tolerance", text, {"tolerance_pct": (-value, value)}, f"±{value:g} % in a tolerance column")


def _date(text: str, unit: str) -> Item | None:
    found: list[str] = []
    year = re.fullmatch(r"19[5-9]\d|20[0-3]\d", text)
    if re.fullmatch(r"\d{4}", text):
        found = ([text] if year else []) + dates.week_options(text)
    elif re.fullmatch(r"\d\d[-/ .]\d\d", text):
        found = dates.week_options(text[:2] + text[3:])
    elif re.fullmatch("[A-Z][1-9OND]", text):
        found = dates.letter_options(text)[-3:]
    elif match := dates.ISO.fullmatch(text):
        found = [f"{match['year']}-{match['month']}-{match['day']}"]
    elif re.fullmatch(r"\d{4}-W\d\d|\d{4}-\d\d", text):
        found = [text]
    if not found:
        return None
    doubt = "" if len(found) == 1 else "the code fits several dates"
    return Item("date", text, tuple(dates.date_option(date) for date in found[:3]), doubt, "date code")


def _quantity(text: str, unit: str) -> Item | None:
    numeral = _plain(re.sub(r"(?i)^x ?| ?x$", "", text), thousands_only=True)
    if numeral is None or numeral.value != int(numeral.value):
        return None
    return _item("quantity", text, {"quantity": int(numeral.value)}, f"{int(numeral.value)} in a quantity column")


def _designators(text: str, unit: str) -> Item | None:
    if re.fullmatch(r"\d{1,4}[a-z]?", text):
        fields = {"designators": (text,), "quantity": 1}
        return _item(
            "designators",
            text,
            fields,
            f'"{text}" as a designator without letter',
            "a designator without letter",
        )
    if re.fullmatch(r"(?i)n\.?c\.?|n/c", text):
        return _item("quantity", text, {"quantity": 0}, "not fitted", "NC may also mean no connection")
    return None


def _endurance(text: str, unit: str) -> Item | None:
    numeral = _plain(text, thousands_only=True)
    if numeral is None or not 100 <= numeral.value <= 1_000_000:
        return None
    return _item("endurance", text, {"endurance_h": float(numeral.value)}, f"{numeral.value} h in an endurance column")


_READERS: Mapping[str, Callable[[str, str], Item | None]] = {
    "capacitance": _capacitance,
    "voltage": _voltage,
    "temperature": _temperature,
    "diameter": _measure("diameter", "diameter_mm"),
    "length": _measure("length", "length_mm"),
    "lead_spacing": _measure("lead_spacing", "lead_spacing_mm"),
    "tolerance": _tolerance,
    "date": _date,
    "quantity": _quantity,
    "designators": _designators,
    "endurance": _endurance,
}
