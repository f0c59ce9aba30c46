"""Cells that hold what is marked on a body: the one grammar reads them, the column says what is wanted."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping
from typing import Any

from recap.intake.cells import Value, written
from recap.intake.columns import Column
from recap.intake.notation import Marking, format_marking, read_cell
from recap.intake.notation import Reading as Said
from recap.intake.quantities import NotReadError, read_quantity, tidy
from recap.intake.ranges import out_of_range, percent_format
from recap.intake.readings import Finding, Reading
from recap.model import Legible

MARKED: Mapping[str, tuple[str, str, str]] = {
    "capacitance": ("capacitance", "capacitance_f", "not-a-capacitance"),
    "voltage": ("voltage", "rated_voltage_v", "not-a-voltage"),
    "tolerance": ("tolerance", "tolerance_pct", "not-a-tolerance"),
    "temperature": ("temperature", "temperature_c", "not-a-temperature"),
    "endurance": ("endurance", "endurance_h", "not-an-endurance"),
    "size": ("size", "diameter_mm", "not-a-size"),
    "length": ("length", "length_mm", "not-a-size"),
    "spacing": ("lead_spacing", "lead_spacing_mm", "not-a-size"),
    "date": ("date", "date", ""),
}
"""What a column holds: what the grammar is told to expect, the fact wanted, the code when it is not there."""

LENGTHS = ("size", "length", "spacing")
NOT_KNOWN = frozenset({"?", "??", "???", "-", "--", "–", "—", "n/a", "na", "n.a.", "unknown", "not known", "tbd", "x"})
ILLEGIBLE = frozenset({"illegible", "unreadable", "not legible", "not readable", "no marking", "unmarked"})

_EXAMPLES = {
    "capacitance": "write it as 0.47 µF, 470 or 4u7",
    "voltage": "write it as 16 or 6.3",
    "tolerance": "write it as 20 or -10/+50",
    "temperature": "write it as 105",
    "endurance": "write it as 2000",
    "size": "write it in mm, as 10 or 10x16",
    "length": "write it in mm, as 16",
    "spacing": "write it in mm, as 5",
}
_BESIDE = {
    "capacitance_f": "marked.capacitance_f",
    "sections_f": "sections_f",
    "rated_voltage_v": "marked.rated_voltage_v",
    "ac": "marked.ac",
    "tolerance_pct": "marked.tolerance",
    "diameter_mm": "body.diameter_mm",
    "length_mm": "body.length_mm",
    "lead_spacing_mm": "body.lead_spacing_mm",
    "temperature_c": "marked.temperature_c",
    "endurance_h": "marked.endurance_h",
    "quantity": "quantity",
}
_DOCUMENTED = {"capacitance_f": "documented.capacitance_f", "rated_voltage_v": "documented.rated_voltage_v"}
PLAIN_DESIGNATOR = re.compile(r"[A-Za-z]{1,4}\d{1,6}[A-Za-z]?")


def read_marked(value: Value, column: Column) -> Reading:
    """Return the reading of a cell of a column of markings."""
    text = written(value)
    if text.casefold() in NOT_KNOWN:
        return Reading(None, "unknown", because="said to be unknown")
    if text.casefold() in ILLEGIBLE:
        return Reading(None, "unknown", because="said to be illegible", extras={"marked.legible": Legible.NO})
    if column.reads in LENGTHS:
        length = _length(value, text, column)
        if length is not None:
            return length
    expect, fact, code = MARKED[column.reads]
    marking = read_cell(value, expect, column.bare_unit)
    found = [said for said in marking.readings if fact in said.facts]
    if isinstance(value, dt.date):
        found = [said for said in found if set(said.facts) == {fact}] or found
    if not found and column.reads == "capacitance":
        found = [said for said in marking.readings if said.sections_f]
    if not found:
        return _refused(marking, column, code)
    best = found[0]
    if isinstance(value, dt.date):
        return _undated(found, column, text)
    if best.certainty == "ambiguous":
        return _ambiguous(found, column, fact)
    return _used(found, marking, column, value)


def read_designators(value: Value, column: Column) -> Reading:
    """Return the designators of a cell; what is no list of them is one name in the user's words."""
    text = written(value)
    if PLAIN_DESIGNATOR.fullmatch(text):
        return Reading((text,), text, plain=True)
    marking = read_cell(text, "designators")
    best = marking.best
    if best is None or not best.designators:
        return Reading((text,), text, plain=True)
    if best.certainty == "ambiguous":
        finding = Finding("ambiguous", f"{best.because}; taken as one name", "write one row for each position")
        return Reading((text,), text, "ambiguous", best.because, findings=(finding,))
    names = best.designators
    findings: tuple[Finding, ...] = ()
    if best.certainty == "likely" and len(names) > 1:
        findings = (Finding("likely-reading", best.because, "write one row for each position if that is wrong"),)
    shown, plain = ", ".join(names), names == (text,)
    return Reading(names, shown, str(best.certainty), best.because, findings=findings, plain=plain)


def read_body_text(value: Value, column: Column) -> Reading:
    """Keep the text of a body, and take from it what is certain."""
    text = written(value)
    marking = read_cell(text)
    if not marking.certain or marking.best is None:
        return Reading(text, text, plain=True)
    extras = _beside(marking.best, marking, _BESIDE)
    return Reading(text, format_marking(marking.best), "certain", marking.best.because, extras=extras)


def read_date_code(value: Value, column: Column) -> Reading:
    """Keep a date code as it stands, with the year where the code fits one year only."""
    text = written(value)
    marking = read_cell(value, "date")
    years = {int(said.date[:4]) for said in marking.readings if said.date}
    if len(years) != 1:
        because = f"fits several years: {', '.join(map(str, sorted(years)))}" if years else "no known date code"
        return Reading(text, text, "ambiguous" if years else "certain", because, plain=not years)
    because = marking.best.because if marking.best else ""
    return Reading(text, str(min(years)), because=because, extras={"marked.year": min(years)})


def _length(value: Value, text: str, column: Column) -> Reading | None:
    """Read a plain length, by far the most usual; None for what the grammar has to read."""
    findings: tuple[Finding, ...] = ()
    certainty, because = "certain", ""
    if isinstance(value, dt.date):
        text = f"{value.day}.{value.month}"
        certainty, because = "likely", "a spreadsheet took a decimal number for a day and month"
        findings = (Finding("date-damage", f"is a date here; taken as {text}", "type it again in a cell of text"),)
    try:
        number = read_quantity(text, column.bare_unit, column.unit)
    except NotReadError:
        return None
    outside = out_of_range(number, column)
    if outside:
        return Reading(None, "", "refused", outside.message, findings=(*findings, outside))
    plain = isinstance(value, float) or text.replace(".", "").isdecimal()
    return Reading(number, f"{number:g} mm", certainty, because, findings=findings, plain=plain and not findings)


def _refused(marking: Marking, column: Column, code: str) -> Reading:
    best = marking.best
    reason = marking.refused or (best.because if best else "nothing in it is understood")
    message = f"cannot be read as {column.heading}: {reason}"
    extras = _beside(best, marking, _names(column)) if best and marking.certain else {}
    finding = Finding(code, message, _EXAMPLES.get(column.reads, ""))
    return Reading(None, "", "refused", reason, extras=extras, findings=(finding,))


def _ambiguous(found: list[Said], column: Column, fact: str) -> Reading:
    shown = " or ".join(dict.fromkeys(_shown(said) for said in found))
    finding = Finding("ambiguous", f"may be {shown}; nothing is used until it is settled", "write which it is")
    return Reading(None, shown, "ambiguous", found[0].because, findings=(finding,), alternatives=_values(found, fact))


def _undated(found: list[Said], column: Column, text: str) -> Reading:
    """Recover what a spreadsheet turned into a date; use it only if one possibility stands out.

    A day and month alone under the column's own quantity is the only thing a lone decimal number can have been.
    """
    fact = MARKED[column.reads][1]
    best = found[0]
    if best.certainty == "ambiguous" and (len(found) > 1 or len(best.facts) > 1):
        reading = _ambiguous(found, column, fact)
        damage = Finding("date-damage", f"is a date here; {reading.findings[0].message}", "type it again as text")
        return Reading(None, reading.shown, "ambiguous", reading.because, findings=(damage,))
    damage = Finding("date-damage", f"is a date here; taken as {_chosen(found)}", "type it again in a cell of text")
    extras = _beside(best, Marking(text), _names(column))
    extras.pop(column.field, None)
    return Reading(float(best.facts[fact]), _shown(best), "likely", best.because, extras, (damage,))


def _used(found: list[Said], marking: Marking, column: Column, value: Value) -> Reading:
    best = found[0]
    fact = MARKED[column.reads][1]
    facts = best.facts
    extras = _beside(best, marking, _names(column))
    extras.pop(column.field, None)
    number: Any = facts.get(fact)
    if fact == "tolerance_pct":
        number = (number[0] / 100, number[1] / 100)
    else:
        number = None if number is None else float(number)
        outsides = (out_of_range(each, column) for each in (best.sections_f if number is None else (number,)))
        outside = next(filter(None, outsides), None)
        if outside:
            extras.pop("sections_f", None)
            return Reading(None, "", "refused", outside.message, extras=extras, findings=(outside,))
    certain = best.certainty == "certain" or column.reads == "tolerance"
    findings: tuple[Finding, ...] = ()
    if column.reads == "tolerance" and isinstance(value, float) and 0 < value < 1:
        findings = (percent_format(value),)
    if not certain:
        code = "date-damage" if "spreadsheet damage" in marking.notation else "likely-reading"
        message = f"taken as {_chosen(found)}: {best.because}"
        findings = (Finding(code, message, "correct it if that is wrong"),)
    plain = certain and not extras and not findings and marking.text.strip().replace(".", "", 1).isdecimal()
    certainty = "certain" if certain else "likely"
    alternatives = () if certain else _values(found, fact)
    return Reading(number, _shown(best), certainty, best.because, extras, findings, alternatives, plain)


def _values(found: list[Said], fact: str) -> tuple[float, ...]:
    return tuple(tidy(said.facts[fact]) for said in found if isinstance(said.facts.get(fact), float))


def _names(column: Column) -> Mapping[str, str]:
    return _DOCUMENTED if column.field.startswith("documented.") else _BESIDE


def _beside(said: Said, marking: Marking, names: Mapping[str, str]) -> dict[str, Any]:
    """Return what the cell says beside its own fact, by the position's field."""
    beside: dict[str, Any] = {
        names[fact]: float(value) if isinstance(value, int) and fact.endswith("_v") else value
        for fact, value in said.facts.items()
        if fact in names
    }
    if "marked.tolerance" in beside:
        low, high = beside["marked.tolerance"]
        beside["marked.tolerance"] = (low / 100, high / 100)
    if names is _BESIDE:
        words = {
            "body.kind": marking.kind,
            "body.mounting": marking.mounting,
            "marked.safety_class": marking.safety_class,
        }
        beside |= {name: word for name, word in words.items() if word is not None}
    return beside


def _chosen(found: list[Said]) -> str:
    """Return the first reading with what it was preferred to."""
    first, *others = dict.fromkeys(_shown(said) for said in found)
    return f"{first} rather than {' or '.join(others)}" if others else first


def _shown(said: Said) -> str:
    return format_marking(said) or said.because
