"""From a cell to a value of the model, by what its column holds."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Callable, Mapping
from functools import cache
from typing import Any

from recap.intake.cells import Value, written
from recap.intake.columns import Column, plain_name
from recap.intake.effort import Effort
from recap.intake.markings import (
    MARKED,
    PLAIN_DESIGNATOR,
    read_body_text,
    read_date_code,
    read_designators,
    read_marked,
)
from recap.intake.quantities import NotReadError, model_factor, read_quantity, tidy
from recap.intake.ranges import out_of_range, percent_format, shown
from recap.intake.readings import Finding, Reading
from recap.model.lists import CLOSED_LISTS
from recap.ruledata import table
from recap.units import plain

LONGEST_TEXT = 4000


class ColumnReader:
    """Reads the cells of one column, each different content once, while there is effort left for markings."""

    def __init__(self, column: Column, effort: Effort) -> None:
        self.column = column
        self._effort = effort
        self._all_read = True
        self.texts: dict[Value, Reading] = {}
        """What was read already, by text; other kinds of cell have their own, since 1 equals true."""
        self._others: dict[tuple[type, Value], Reading] = {}
        self._read = _READERS[column.reads]

    def __call__(self, value: Value) -> Reading:
        """Return the reading of a cell that is not empty."""
        if isinstance(value, str):
            reading = self.texts.get(value)
            if reading is None:
                reading = self.texts[value] = self._fresh(value)
            return reading
        key = (type(value), value)
        reading = self._others.get(key)
        if reading is None:
            reading = self._others[key] = self._fresh(value)
        return reading

    def _fresh(self, value: Value) -> Reading:
        if isinstance(value, str) and len(value) > LONGEST_TEXT:
            finding = Finding("long-cell", f"{len(value):,} characters; only the first {LONGEST_TEXT:,} are read")
            rest = self._fresh(value[:LONGEST_TEXT])
            return Reading(rest.value, rest.shown, rest.certainty, rest.because, rest.extras, (finding, *rest.findings))
        if self.column.reads in _COSTLY:
            text = written(value)
            if not PLAIN_DESIGNATOR.fullmatch(text) and not self._effort.take(text):
                return self._unread(text)
        return self._read(value, self.column)

    def _unread(self, text: str) -> Reading:
        """Keep a marking as it stands where the file holds too many; say so at the first of the column."""
        findings: tuple[Finding, ...] = ()
        if self._all_read:
            self._all_read = False
            findings = (Finding("too-many-markings", _TOO_MANY, "look at the column, or split the list into files"),)
        kept = {"designators": (text,), "marking": text, "date": text}.get(self.column.reads)
        return Reading(kept, text if kept else "", "refused", "too many different entries", findings=findings)


def _text(value: Value, column: Column) -> Reading:
    text = value.isoformat() if isinstance(value, dt.date | dt.time) else written(value)
    return Reading(text, text, plain=True)


def _names(value: Value, column: Column) -> Reading:
    names = tuple(name.strip() for name in re.split(r"[,;\n]", written(value)) if name.strip())
    return Reading(names, ", ".join(names), plain=True)


_NEED = re.compile(r"(?P<rail>.*?\S)(?:\s*[@:=]\s*|\s+)(?P<amount>\d[\d.,]*\s*[muµ]?A?)", re.IGNORECASE)


def _rails(value: Value, column: Column) -> Reading:
    needs: list[tuple[str, float | None]] = []
    findings: list[Finding] = []
    for part in re.split(r"[;\n]|,(?!\d)", written(value)):
        if not part.strip():
            continue
        match = _NEED.fullmatch(part.strip())
        if not match:
            needs.append((part.strip(), None))
            continue
        try:
            needs.append((match["rail"], read_quantity(match["amount"], "A", "A")))
        except NotReadError as error:
            needs.append((match["rail"], None))
            findings.append(Finding("not-a-number", f"{match['amount']} {error}", "write it as +5V 1.2A"))
    text = "; ".join(rail if amps is None else f"{rail} {plain(amps)} A" for rail, amps in needs)
    return Reading(tuple(needs), text, findings=tuple(findings))


def _number(value: Value, column: Column) -> Reading:
    damage: tuple[Finding, ...] = ()
    certainty, because = "certain", ""
    if isinstance(value, dt.date):
        damage, value = (_undated(value),), f"{value.day}.{value.month}"
        certainty, because = "likely", "a spreadsheet took a decimal number for a day and month"
    try:
        if isinstance(value, bool):
            raise NotReadError("is not a number")
        if column.unit == "percent" and isinstance(value, float) and 0 < value < 1:
            damage = (percent_format(value),)
            number = tidy(value)
        elif isinstance(value, float | int):
            factor = model_factor(column.bare_unit, column.unit) or 1.0
            number = tidy(float(value) * factor)
        else:
            number = read_quantity(written(value), column.bare_unit, column.unit)
    except NotReadError as error:
        code = "ambiguous" if error.ambiguous else "not-a-number"
        hint = f"write the number alone, in {column.heading.split()[-1]}" if column.unit else ""
        certainty = "ambiguous" if error.ambiguous else "refused"
        return Reading(None, "", certainty, str(error), findings=(*damage, Finding(code, str(error), hint)))
    outside = out_of_range(number, column)
    if outside:
        return Reading(None, "", "refused", outside.message, findings=(*damage, outside))
    bare = not damage and _is_bare(value)
    return Reading(number, shown(number, column), certainty, because, findings=damage, plain=bare)


def _is_bare(value: Value) -> bool:
    """Tell whether a cell holds a number and nothing else."""
    return isinstance(value, float) or re.fullmatch(r"-?\d+(\.\d+)?", written(value)) is not None


def _integer(value: Value, column: Column) -> Reading:
    text = written(value)
    match = re.fullmatch(r"[x×]?\s*(\d{1,6})\s*(?:[x×]|off|pcs?|st(?:ü|u)?ck?)?\.?", text, re.IGNORECASE)
    if not match:
        finding = Finding("not-a-number", "is not a whole number", "write the number alone")
        return Reading(None, "", "refused", finding.message, findings=(finding,))
    number = int(match[1])
    low, high = column.low, column.high
    if (low is not None and number < low) or (high is not None and number > high):
        finding = Finding("out-of-range", f"is outside {low:g} to {high:g}")
        return Reading(None, "", "refused", finding.message, findings=(finding,))
    return Reading(number, str(number), plain=True)


def _year(value: Value, column: Column) -> Reading:
    text = str(value.year) if isinstance(value, dt.date) else written(value)
    found = re.search(r"(?<!\d)(19|20)\d\d(?!\d)", text)
    if not found:
        finding = Finding("not-a-number", "is not a year", "write four digits, such as 1984")
        return Reading(None, "", "refused", finding.message, findings=(finding,))
    exact = found[0] == text
    return Reading(int(found[0]), found[0], "certain" if exact else "likely", plain=exact)


def _choice(value: Value, column: Column) -> Reading:
    text = written(value)
    found = choices_by_name(column.list).get(_choice_name(text))
    if found is None:
        return _kind_and_mounting(text, column)
    word, meant = found
    return Reading(meant, word, because="" if word == text else "another word for it", plain=word == text)


def _choices(value: Value, column: Column) -> Reading:
    text = written(value)
    whole = choices_by_name(column.list).get(_choice_name(text))
    parts = [text] if whole else [part for part in re.split(r"[,;/&+\n]|\band\b", text) if part.strip()]
    meant: dict[str, Any] = {}
    findings: list[Finding] = []
    for part in parts:
        found = choices_by_name(column.list).get(_choice_name(part))
        if found is None:
            findings.append(_not_in_list(part.strip(), column))
        else:
            meant[found[0]] = found[1]
    certainty = "refused" if findings and not meant else "certain"
    because = findings[0].message if findings else ""
    value_set = frozenset(meant.values()) if meant else None
    return Reading(value_set, ", ".join(meant), certainty, because, findings=tuple(findings), plain=not findings)


def _kind_and_mounting(text: str, column: Column) -> Reading:
    """Read a cell that says kind and mounting together, or one of them under the heading of the other."""
    refused = Reading(None, "", "refused", "not in the list", findings=(_not_in_list(text, column),))
    if column.list not in _TOGETHER:
        return refused
    words = [word for word in re.split(r"[\s,;/()]+", text) if word]
    found: dict[str, tuple[str, Any]] = {}
    start = 0
    while start < len(words):
        for end in range(min(len(words), start + 3), start, -1):
            name = _choice_name(" ".join(words[start:end]))
            field = next((each for each in _TOGETHER if name in choices_by_name(each)), None)
            if field is not None:
                found.setdefault(field, choices_by_name(field)[name])
                start = end
                break
        else:
            return refused
    own = found.pop(column.list, (None, None))
    extras = {_TOGETHER[name]: meant for name, (_, meant) in found.items()}
    shown_words = ", ".join(word for word, _ in (own, *found.values()) if word)
    return Reading(own[1], shown_words, because="kind and mounting in one cell", extras=extras)


_TOGETHER = {"Kind": "body.kind", "Mounting": "body.mounting"}


def _not_in_list(text: str, column: Column) -> Finding:
    words = ", ".join(CLOSED_LISTS[column.list])
    return Finding("not-in-list", f"{text} is not in the list of {column.heading}", f"one of: {words}")


@cache
def choices_by_name(list_name: str) -> Mapping[str, tuple[str, Any]]:
    """Return the words of a closed list and their meaning by every known spelling."""
    names = {_choice_name(word): (word, meant) for word, meant in CLOSED_LISTS[list_name].items()}
    for row in table("choice_synonyms"):
        if row["list"] == list_name:
            for synonym in row["synonyms"].split(";"):
                meant = CLOSED_LISTS[list_name][row["value"]]
                names.setdefault(_choice_name(synonym), (row["value"], meant))
    return names


def _choice_name(text: str) -> str:
    return plain_name(text) or text.strip()


def _undated(value: dt.date) -> Finding:
    return Finding(
        "date-damage",
        f"is a date here; taken as {value.day}.{value.month}, which a spreadsheet turns into it",
        "format the column as text and type the number again",
    )


_COSTLY = frozenset({*MARKED, "designators", "marking"})
_TOO_MANY = "the file holds too many different entries; this one and new ones below it are not read"

_READERS: Mapping[str, Callable[[Value, Column], Reading]] = {
    **dict.fromkeys(MARKED, read_marked),
    "date": read_date_code,
    "designators": read_designators,
    "marking": read_body_text,
    "text": _text,
    "names": _names,
    "rails": _rails,
    "number": _number,
    "integer": _integer,
    "year": _year,
    "choice": _choice,
    "choices": _choices,
}
