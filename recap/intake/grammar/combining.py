"""From the pieces of a text to its readings."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from recap.intake.can_size import Fit, size_check
from recap.intake.grammar.items import Item, Option
from recap.intake.grammar.placing import part_pairs, place_numbers
from recap.intake.grammar.reading import Certainty, Reading
from recap.intake.grammar.values import DOUBLE_LAYER_V
from recap.units import volts

MOST_READINGS = 3
WHOLE_TEXT = "whole text"  # the kind of a piece that only casts doubt on all others
CAPACITANCES = ("capacitance", "capacitances", "code")


def settle(items: Sequence[Item]) -> list[Item]:
    """Return the pieces with their mutual relations settled: bare numbers placed, repeats and conflicts resolved."""
    pieces = settle_voltages(settle_capacitances(place_numbers(part_pairs(items))))
    return settle_codes(settle_counts(settle_designators(settle_farads(pieces))))


def combine(pieces: Sequence[Item]) -> tuple[Reading, ...]:
    """Return the readings that settled pieces allow together, likeliest first, at most three."""
    cases = [item for item in pieces if item.kind == "case"]
    pieces = [item for item in pieces if item.options or item.doubt]
    if not pieces and cases:
        because = f"{cases[0].text}: a chip case code, also a date code; no value"
        return (Reading(because=because),)
    understood = any(option.fields for item in pieces for option in item.options)
    if not understood and all(item.kind == WHOLE_TEXT for item in pieces):
        return ()
    return _readings(_break_tie(list(pieces)))


def _readings(pieces: Sequence[Item]) -> tuple[Reading, ...]:
    doubts = list(dict.fromkeys(item.doubt for item in pieces if not item.settled))
    first = [item.options[0] for item in pieces if item.options]
    choices = [first]
    for index, item in enumerate(item for item in pieces if item.options):
        choices += [[*first[:index], other, *first[index + 1 :]] for other in item.options[1:]]
    found: list[Reading] = []
    for options in choices:
        facts = _merge(options)
        if any(facts == known.facts for known in found):
            continue
        because = "; ".join(dict.fromkeys(option.because for option in options if option.because))
        found.append(Reading(**facts, because=because))
    found = found[:MOST_READINGS]
    if not doubts:
        return (replace(found[0], certainty=Certainty.CERTAIN),)
    open_value = any(item.options and not item.options[0].fields for item in pieces if not item.settled)
    alternatives = any("alternatives" in doubt for doubt in doubts)
    best = Certainty.AMBIGUOUS if open_value or alternatives else Certainty.LIKELY
    why = "; ".join(doubt for doubt in doubts if doubt)
    return tuple(
        replace(
            reading,
            certainty=best if index == 0 else Certainty.AMBIGUOUS,
            because=f"{reading.because}; {why}" if reading.because and why else reading.because or why,
        )
        for index, reading in enumerate(found)
    )


def _merge(options: Iterable[Option]) -> dict[str, Any]:
    facts: dict[str, Any] = {}
    times = None
    for option in options:
        for name, value in option.fields.items():
            if name == "sections":
                times = value
            elif name == "ac" and facts.get("ac"):
                continue  # a mains class outweighs a plain unit
            elif name == "quantity" and "quantity" in facts:
                facts[name] = facts[name] if value == 1 else value
            else:
                facts[name] = value
    if times and "capacitance_f" in facts:
        facts["sections_f"] = (facts.pop("capacitance_f"),) * times
    if "sections_f" in facts:
        facts.pop("capacitance_f", None)
    return facts


def settle_capacitances(items: Sequence[Item]) -> list[Item]:
    """Make one piece of several capacitances: one value written twice, sections, or alternatives."""
    found = [item for item in items if item.kind in CAPACITANCES and item.options]
    if len(found) < 2:
        return list(items)
    others = [item for item in items if item.kind not in CAPACITANCES or not item.options]
    united = [item for item in found if item.kind == "capacitance"]
    codes = [item for item in found if item.kind == "code"]
    if len(united) == 1 and codes:
        value = united[0].fields["capacitance_f"]
        agreeing = all(any(option.fields.get("capacitance_f") == value for option in code.options) for code in codes)
        if agreeing:
            extra = {k: v for code in codes for k, v in code.fields.items() if k != "capacitance_f"}
            merged = [replace(o, fields={**o.fields, **extra}) for o in united[0].options]
            return [*others, replace(united[0], options=tuple(merged))]
    values = [item.fields.get("capacitance_f") for item in found]
    if None not in values:
        volts_known = {item.fields.get("rated_voltage_v") for item in items if item.kind == "voltage"}
        joined = any("+" in item.before for item in found[1:]) or any("+" in item.before for item in others)
        if len(set(values)) == 1 and not joined:
            return [*others, found[0]]
        if joined:
            sections = Option({"sections_f": tuple(values)}, "sections of one can")
            doubt = "sections with different ratings" if len(volts_known) > 1 else ""
            doubt = doubt or ("" if all(item.settled for item in found) else "a section can be read in two ways")
            return [*others, replace(found[0], kind="capacitances", options=(sections,), doubt=doubt)]
    options = tuple(option for item in found for option in item.options[:1])
    doubt = "several capacitances: alternatives, sections or two parts"
    return [*others, replace(found[0], options=options, doubt=doubt, rule="several capacitances")]


def settle_voltages(items: Sequence[Item]) -> list[Item]:
    """Make one piece of several voltages; a surge voltage or a bracketed higher one is no rating."""
    found = [item for item in items if item.kind in ("voltage", "voltages")]
    after_surge = {
        items[index + 1].start
        for index, item in enumerate(items[:-1])
        if item.kind == "surge word"
        and items[index + 1].kind == "voltage"
        and items[index + 1].before in ("", ":", "=")
    }
    if after_surge:
        items = [
            replace(item, kind="surge", options=(), doubt="", value=item.fields.get("rated_voltage_v"))
            if item.start in after_surge and item.kind == "voltage"
            else item
            for item in items
        ]
        found = [item for item in found if item.start not in after_surge]
    if len(found) < 2:
        return list(items)
    others = [item for item in items if item not in found]
    rated = [item.fields.get("rated_voltage_v") for item in found]
    if len(set(rated)) == 1 and rated[0] is not None:
        return [*others, found[0]]
    ac = {k: v for item in found for k, v in item.fields.items() if k == "ac"}
    first, second = rated[0], rated[1]
    if len(found) == 2 and first and second and first < second <= 1.35 * first and found[1].before in ("(", "/", "["):
        doubt = f"{volts(second)} is likely the surge voltage"
        return [*others, replace(found[0], doubt=doubt)]
    listed = " and ".join(volts(value) for value in rated if value)
    doubt = f"several ratings, {listed}: none may stand for all"
    return [*others, replace(found[0], kind="voltages", options=(Option(ac, doubt),), doubt=doubt)]


def settle_codes(items: Sequence[Item]) -> list[Item]:
    """Take a code's letter as a tolerance where the voltage is given beside it."""
    if not any("rated_voltage_v" in item.fields for item in items if item.kind != "code"):
        return list(items)
    settled = []
    for item in items:
        kept = tuple(option for option in item.options if "rated_voltage_v" not in option.fields)
        if item.rule == "three-digit code and letter" and kept and len(kept) < len(item.options):
            item = replace(item, options=kept, doubt="" if len(kept) == 1 else item.doubt)
        settled.append(item)
    return settled


def settle_designators(items: Sequence[Item]) -> list[Item]:
    """Make one piece of the designators that stand apart in a text."""
    found = [item for item in items if item.kind == "designators"]
    if len(found) < 2:
        return list(items)
    names = tuple(dict.fromkeys(name for item in found for name in item.fields["designators"]))
    option = Option({"designators": names, "quantity": len(names)}, f"{len(names)} positions: {', '.join(names[:6])}")
    doubt = next((item.doubt for item in found if item.doubt), "")
    if any("or" in item.before.lower().split() for item in found[1:]):
        doubt = "one of several positions"
    others = [item for item in items if item.kind != "designators"]
    return [replace(found[0], options=(option,), doubt=doubt), *others]


def settle_counts(items: Sequence[Item]) -> list[Item]:
    """Doubt a count that differs from the number of designators beside it."""
    named = next((item for item in items if item.kind == "designators"), None)
    if named is None:
        return list(items)
    return [
        replace(item, doubt="the count differs from the designators")
        if item.kind in ("quantity", "times") and item.fields.get("quantity") != named.fields["quantity"]
        else item
        for item in items
    ]


def settle_farads(items: Sequence[Item]) -> list[Item]:
    """Take a bare F literally beside a rating that only double-layer parts carry."""
    if not any(item.fields.get("rated_voltage_v") in DOUBLE_LAYER_V for item in items):
        return list(items)
    return [
        replace(item, options=tuple(o for o in item.options if o.fields["capacitance_f"] >= 0.01), doubt="")
        if item.rule == "bare F" and any(o.fields["capacitance_f"] >= 0.01 for o in item.options)
        else item
        for item in items
    ]


def _break_tie(pieces: list[Item]) -> list[Item]:
    """Let the can's volume decide between readings of a capacitance such as mF."""
    known = _merge(item.options[0] for item in pieces if item.options)
    diameter, length, rated = (known.get(name) for name in ("diameter_mm", "length_mm", "rated_voltage_v"))
    if diameter is None or length is None or rated is None:
        return pieces
    settled = []
    for item in pieces:
        if item.kind in CAPACITANCES and len(item.options) > 1:
            fitting = [
                option
                for option in item.options
                if "capacitance_f" in option.fields
                and size_check(option.fields["capacitance_f"], rated, diameter, length).fit is Fit.PLAUSIBLE
            ]
            if len(fitting) == 1:
                why = f"{item.doubt}; only this value suits the can's volume"
                item = replace(item, options=tuple(fitting), doubt=why)
        settled.append(item)
    return settled
