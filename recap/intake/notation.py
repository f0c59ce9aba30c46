"""How people write capacitors down, read without guessing: the public face of the grammar."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from recap.intake.grammar import dates
from recap.intake.grammar.alone import lone_letter
from recap.intake.grammar.cleaning import clean, repair_look_alikes
from recap.intake.grammar.columns import FIELDS, cannot_be, read_in_column
from recap.intake.grammar.combining import WHOLE_TEXT, combine, settle
from recap.intake.grammar.items import Item
from recap.intake.grammar.reading import Certainty, Marking, Reading, format_marking
from recap.intake.grammar.refusing import negative, reason
from recap.intake.grammar.scanning import scan

__all__ = ["Certainty", "Marking", "Reading", "format_marking", "read_cell", "read_marking"]

LONGEST = 1000  # characters; a longer text is refused, never cut, as what is cut would be lost unseen


@lru_cache(maxsize=8192)
def read_marking(text: str, expect: str | None = None, unit: str = "") -> Marking:
    """Return the readings of a text, likeliest first, or a refusal with its reason.

    `expect` names the column's quantity, one of the keys of `columns.FIELDS`; `unit` the unit in its heading.

    >>> read_marking("4u7 63V").best.capacitance_f
    4.7e-06
    >>> read_marking("6.3", expect="voltage").best.certainty.value
    'certain'
    >>> read_marking("1k5").refused
    '1k5 is a resistance'
    """
    if expect is not None and expect not in FIELDS:
        raise ValueError(f"expect must be one of {', '.join(FIELDS)}, not {expect}")
    if len(text) > LONGEST:
        return Marking(text, refused=f"longer than {LONGEST:,} characters; split it")
    cleaned = clean(text)
    found = _pieces(cleaned, expect, unit)
    refused = negative(cleaned, found)
    items = settle(found)
    readings = () if refused or _spoilt(items) else combine(items)
    if expect and readings:
        readings = _focus(readings, expect)
        if readings[0].facts.keys().isdisjoint(FIELDS[expect]) and (refused := cannot_be(cleaned, expect)):
            readings = ()
    if not readings and not refused:
        refused = reason(cleaned, items)
    return _marking(text, readings, refused, items)


def read_cell(value: object, expect: str | None = None, unit: str = "") -> Marking:
    """Return the readings of a typed spreadsheet cell; a date under a value heading is recovered and flagged.

    >>> import datetime
    >>> found = read_cell(datetime.date(2024, 10, 25), expect="capacitance").best
    >>> found.capacitance_f, found.rated_voltage_v, found.certainty.value
    (1e-05, 25.0, 'likely')
    """
    if isinstance(value, (datetime.datetime, datetime.date)):
        return _read_date(value, expect)
    if isinstance(value, bool) or value is None:
        return read_marking("", expect, unit)
    if isinstance(value, (int, float)):
        if not math.isfinite(value):
            return Marking(str(value), refused="not a number")
        return read_marking(str(int(value)) if value == int(value) else repr(value), expect, unit)
    return read_marking(str(value), expect, unit)


def _read_date(value: datetime.date, expect: str | None) -> Marking:
    text = value.isoformat() if not isinstance(value, datetime.datetime) else value.date().isoformat()
    if expect == "date":
        return Marking(text, (Reading(date=text, certainty=Certainty.CERTAIN, because="a date in a date column"),))
    options = dates.recover(value.day, value.month, value.year, expect=expect)
    if not options:
        return Marking(text, refused="a date where a value was expected")
    item = Item("damage", text, options, dates.DOUBT, "spreadsheet damage", confused_with=("date",))
    readings = combine([item])
    return _marking(text, _focus(readings, expect) if expect else readings, None, [item])


def _pieces(text: str, expect: str | None, unit: str) -> Sequence[Item]:
    if expect:
        item = read_in_column(text, expect, unit)
        if item:
            return [item]
    item = dates.damaged_text(text) or lone_letter(text)
    if item:
        return [item]
    repaired = repair_look_alikes(text)
    return [*scan(repaired), *_doubts(text, repaired)]


def _doubts(text: str, repaired: str) -> Sequence[Item]:
    """Return what makes the whole text doubtful, whatever stands in it."""
    found = []
    if repaired != text:
        found.append(("letters stand for the digits 1 and 0", "look-alike letters"))
    if "?" in text or "\ufffd" in text:
        found.append(("a question mark or an unreadable sign stands in it", "question mark"))
    if re.match(r"- \d", text):
        found.append(("a dash stands first; it may be a minus", "leading dash"))
    return [Item(WHOLE_TEXT, "", doubt=doubt, rule=rule) for doubt, rule in found]


def _spoilt(items: Sequence[Item]) -> bool:
    """Return whether a piece forbids any reading: a zero rating, another part, a quantity that is no capacitor's."""
    kinds = {item.kind for item in items}
    if "zero" in kinds:
        return True
    return bool(kinds & {"resistance", "inductance", "other part"}) and not any(item.options for item in items)


def _focus(readings: Sequence[Reading], expect: str) -> tuple[Reading, ...]:
    """Keep the readings that give what the column holds, where there are any."""
    wanted = [reading for reading in readings if any(name in reading.facts for name in FIELDS[expect])]
    if not wanted:
        return tuple(readings)
    if wanted[0].certainty is Certainty.AMBIGUOUS and readings[0] is not wanted[0]:
        wanted[0] = replace(wanted[0], certainty=Certainty.LIKELY)
    return tuple(wanted)


def _marking(text: str, readings: tuple[Reading, ...], refused: str | None, items: Sequence[Item]) -> Marking:
    def first(kind: str) -> object:
        return next((item.value for item in items if item.kind == kind), None)

    bounded = any(item.kind == "voltage" and item.value == "bound" for item in items)
    return Marking(
        text,
        readings,
        refused,
        kind=first("kind"),  # type: ignore[arg-type]
        mounting=first("mounting"),  # type: ignore[arg-type]
        safety_class=first("safety"),  # type: ignore[arg-type]
        case_code=first("case"),  # type: ignore[arg-type]
        ripple_current_a=first("ripple"),  # type: ignore[arg-type]
        ripple_frequency_hz=first("frequency"),  # type: ignore[arg-type]
        surge_voltage_v=first("surge"),  # type: ignore[arg-type]
        lower_bound=bounded,
        notation=tuple(dict.fromkeys(item.rule for item in items if item.rule)),
        confused_with=tuple(dict.fromkeys(name for item in items for name in item.confused_with)),
    )
