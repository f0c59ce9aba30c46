"""Give every bare number of a text its meaning."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from recap.intake.grammar.alone import alone
from recap.intake.grammar.bare import KNOWN_CAPACITANCE, beside, microfarads
from recap.intake.grammar.items import Item, Option
from recap.intake.grammar.values import (
    in_series,
    is_old_value,
    known_ratings,
)
from recap.units import volts

_QUIET = {"word", "kind", "mounting", "lot", "case", "date", "quantity", "times", "designators", "tolerance"}


def part_pairs(items: Sequence[Item]) -> list[Item]:
    """Read 22/16V without another capacitance as µF and volts."""
    if any(item.kind in KNOWN_CAPACITANCE for item in items):
        return list(items)
    typed = any(item.kind == "kind" for item in items)
    return [_as_pair(item, typed) if item.kind == "voltages" and item.value else item for item in items]


def _as_pair(item: Item, typed: bool) -> Item:
    found, text, ac = item.value
    match = re.fullmatch(r"(?P<one>[\d.,]+) ?(?P<mark>[/-]) ?[\d.,]+", text)
    if len(found) != 2 or not match or found[1] not in known_ratings():
        return item
    value, rated = found
    if not (in_series(value) or is_old_value(value)):
        return item
    extra = {} if ac is None else {"ac": ac}
    option = Option({**microfarads(value).fields, "rated_voltage_v": rated, **extra}, f"{value:g} µF {volts(rated)}")
    clear = match["mark"] == "/" and (typed or value not in known_ratings() or value > rated)
    if clear:
        return replace(item, kind="pair", options=(option,), doubt="", rule="value before volts")
    if match["mark"] == "-" and value < rated and value in known_ratings():
        return item
    return replace(item, kind="pair", options=(option, *item.options), doubt="µF and volts, or two ratings")


def place_numbers(items: Sequence[Item]) -> list[Item]:
    """Give every bare number the meaning that its neighbours leave for it."""
    numbers = [item for item in items if item.kind == "number" and item.value]
    rest = [item for item in items if item.kind != "number" or not item.value]
    kinds = {item.kind for item in rest}
    fields = {name for item in rest for name in item.fields}
    if not numbers:
        return rest
    if kinds <= _QUIET:
        return [*rest, *alone(numbers, rest)]
    farad_values = {item.fields.get("capacitance_f", 0.0) for item in rest}
    placed = []
    for number in numbers:
        item = beside(number, kinds, fields, farad_values)
        fields |= set(item.fields)
        kinds.add(item.kind)
        placed.append(item)
    return sorted([*rest, *placed], key=lambda item: item.start)
