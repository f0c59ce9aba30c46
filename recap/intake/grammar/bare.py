"""A number without unit beside other pieces: what they leave for it to mean."""

from __future__ import annotations

import re
from collections.abc import Collection
from dataclasses import replace
from decimal import Decimal

from recap.intake.grammar.codes import code_options, is_code, picofarads
from recap.intake.grammar.dates import date_option, week_options
from recap.intake.grammar.items import Item, Option
from recap.intake.grammar.values import (
    HOTTEST_CLASSES_C,
    USUAL_CLASSES_C,
    in_series,
    known_ratings,
)
from recap.units import farads, volts

KNOWN_CAPACITANCE = {"capacitance", "capacitances", "code"}
_KNOWN_VOLTAGE = {"voltage", "voltages"}


def microfarads(value: float, because: str = "") -> Option:
    """Return a number taken as µF."""
    farad = float(Decimal(repr(value)).scaleb(-6))
    return Option({"capacitance_f": farad}, because or f"{value:g} as {farads(farad)}, µF understood")


def as_volts(value: float, because: str = "") -> Option:
    """Return a number taken as volts."""
    return Option({"rated_voltage_v": value}, because or f"{value:g} as {volts(value)}")


def number_value(item: Item) -> float:
    """Return the likeliest value of a bare number."""
    return float(item.value[0].value)


def beside(number: Item, kinds: set[str], fields: set[str], known_farads: Collection[float] = ()) -> Item:
    """Return the piece that a number becomes beside others of these kinds and fields."""
    value, text, tag = number_value(number), number.value[1], number.value[2]
    if value == 0:
        return replace(number, kind="word", options=(), doubt="a lone zero is left unexplained")
    has_capacitance = bool(kinds & KNOWN_CAPACITANCE)
    has_voltage = bool(kinds & _KNOWN_VOLTAGE)
    before = number.before
    if tag:
        if has_capacitance and not has_voltage and value in known_ratings() and len(tag) == 1:
            return replace(
                number,
                kind="voltage",
                options=(as_volts(value),),
                doubt=f'the letters "{tag}" are not understood',
            )
        return replace(
            number,
            kind="word",
            options=(),
            doubt="" if has_capacitance and has_voltage else "a number is left unexplained",
        )
    hot = value in USUAL_CLASSES_C and "temperature_c" not in fields
    if hot and ("endurance_h" in fields or (has_capacitance and has_voltage)):
        return _temperature(number, value)
    if is_code(text) and float(picofarads(text)) in known_farads:
        return replace(number, kind="word", options=())
    if has_capacitance and not has_voltage:
        if hot and value != 125 and "/" not in before:
            return replace(_temperature(number, value), doubt="it may be volts")
        if value in known_ratings() and (value > 20 or re.fullmatch(r"[/@,;:-]?", before)):
            doubt = "" if before or value not in (5, 10, 20) else "the number may be per cent"
            return replace(number, kind="voltage", options=(as_volts(value),), doubt=doubt, rule="volts without unit")
        doubt = "the number is likely volts"
        if value not in known_ratings():
            return replace(number, kind="word", options=(), doubt=f'the number "{text}" is left unexplained')
        return replace(number, kind="voltage", options=(as_volts(value),), doubt=doubt, rule="volts without unit")
    if has_voltage and not has_capacitance:
        return _capacitance_beside_volts(number, value, text)
    if value in HOTTEST_CLASSES_C and "endurance_h" in fields and "temperature_c" not in fields:
        return _temperature(number, value)
    weeks = week_options(text) if re.fullmatch(r"\d{4}", text) else []
    if weeks and "date" not in fields and has_capacitance:
        return replace(number, kind="date", options=(date_option(weeks[0]),), rule="date code")
    return replace(number, kind="word", options=(), doubt=f'the number "{text}" is left unexplained')


def _temperature(number: Item, value: float) -> Item:
    option = Option({"temperature_c": value}, f"{value:g} beside the other values is {value:g} °C")
    return replace(number, kind="temperature", options=(option,), rule="temperature without unit")


def _capacitance_beside_volts(number: Item, value: float, text: str) -> Item:
    if is_code(text) and int(text[2]) >= 4:
        options, doubt = code_options(text)
        return replace(number, kind="code", options=options, doubt=doubt, rule="three-digit code")
    option = microfarads(value)
    sure = value >= 1000 or (value not in known_ratings() and in_series(value) and value < 100)
    options = (option,)
    if is_code(text):
        options = (
            option,
            Option({"capacitance_f": float(picofarads(text))}, f"or a code: {farads(float(picofarads(text)))}"),
        )
    doubt = "" if sure and number.value[0].settled else "a number beside volts is likely µF"
    return replace(number, kind="capacitance", options=options, doubt=doubt, rule="µF understood")
