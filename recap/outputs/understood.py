"""What was understood of an inspection, for people and programs."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from enum import Enum
from typing import Any

from recap.model import Inspection, PlusAt, Position
from recap.problems import Problem, Severity
from recap.ruledata import table

SHOWN_READINGS = 40
_EMPTY: tuple[object, ...] = (None, "", (), frozenset(), PlusAt.NOT_SEEN)


@dataclass(frozen=True, slots=True)
class Unlock:
    """A column with empty cells and the check that filling them makes possible."""

    sheet: str
    heading: str
    field: str
    essential: bool
    empty: int
    of: int
    unlocks: str


def unlocks(inspection: Inspection) -> tuple[Unlock, ...]:
    """Return the columns whose empty cells stand in the way of checks, in the workbook's order."""
    rows_of: dict[str, Sequence[object]] = {
        "Unit": inspection.units,
        "Boards": [board for unit in inspection.units for board in unit.boards],
        "Rails": [rail for unit in inspection.units for rail in unit.rails],
        "Capacitors": inspection.positions,
    }
    found = []
    for row in table("columns"):
        things = rows_of[row["sheet"]]
        empty = sum(1 for thing in things if _is_empty(thing, row["field"]))
        if row["unlocks"] and (empty or not things):
            essential = row["group"] == "essential"
            found.append(
                Unlock(row["sheet"], row["heading"], row["field"], essential, empty, len(things), row["unlocks"])
            )
    return tuple(found)


def _is_empty(thing: object, field: str) -> bool:
    if field in getattr(thing, "assumed", ()):
        return True
    value: Any = thing
    for part in field.split("."):
        value = getattr(value, part)
    return value in _EMPTY or value == "unknown"


def understood_document(inspection: Inspection, problems: Sequence[Problem]) -> dict[str, Any]:
    """Return what `recap read --json` prints, as plain JSON values."""
    result = {
        "files": list(inspection.files),
        "rows": {
            "in": inspection.rows_in,
            "with_positions": inspection.rows_in - len(inspection.left_out) - inspection.blank_rows,
            "left_out": len(inspection.left_out),
            "blank": inspection.blank_rows,
        },
        "units": [_plain(asdict(unit)) for unit in inspection.units],
        "positions": [_position(position) for position in inspection.positions],
        "left_out": [_plain(asdict(item)) for item in inspection.left_out],
        "readings": [_plain(asdict(item)) for item in inspection.readings],
        "kept_columns": list(inspection.kept_columns),
        "unlocks": [asdict(item) for item in unlocks(inspection)],
    }
    return {"result": result, "problems": [problem.as_json() for problem in problems]}


def _position(position: Position) -> dict[str, Any]:
    document: dict[str, Any] = _plain(asdict(position))
    document["key"] = str(position.key)
    return document


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _plain(item) for name, item in value.items()}
    if isinstance(value, frozenset):
        return sorted(str(item) for item in value)
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return str(value) if isinstance(value, Enum) else value


def understood_text(inspection: Inspection, problems: Sequence[Problem]) -> str:
    """Return what `recap read` prints for people."""
    parts = [
        _what_was_found(inspection),
        _readings(inspection),
        _left_out(inspection),
        _problems(problems),
        _what_more(inspection),
    ]
    return "\n\n".join(part for part in parts if part)


def _what_was_found(inspection: Inspection) -> str:
    lines = []
    for unit in inspection.units:
        here = [position for position in inspection.positions if position.key.unit == unit.name]
        boards = Counter(position.key.board for position in here)
        lines.append(f"{unit.name}: {_count(len(here), 'position')} on {_count(len(boards), 'board')}")
        lines += [f"  {board}: {_count(number, 'position')}" for board, number in boards.items()]
        listed = f"{_count(len(unit.boards), 'board')} and {_count(len(unit.rails), 'rail')} described"
        lines.append(f"  {listed}; stance {unit.stance}, downstream {unit.downstream}")
        if unit.assumed:
            names = {row["field"]: row["heading"] for row in table("columns") if row["sheet"] == "Unit"}
            lines.append(f"  assumed: {', '.join(names[name] for name in names if name in unit.assumed)}")
    used = inspection.rows_in - len(inspection.left_out) - inspection.blank_rows
    lines.append(
        f"{_count(inspection.rows_in, 'row')} below the headings: {used} with positions, "
        f"{len(inspection.left_out)} left out, {inspection.blank_rows} blank or example"
    )
    if inspection.kept_columns:
        lines.append(f"kept in the notes: {', '.join(inspection.kept_columns)}")
    return "\n".join(lines)


def _readings(inspection: Inspection) -> str:
    """List what was not certain or was written in another way, alike ones together."""
    order = ("refused", "ambiguous", "likely", "certain")
    groups: dict[tuple[str, str, str, str], list[str]] = {}
    for item in inspection.readings:
        if item.certainty == "certain" and _says_itself(item.text, item.reading):
            continue
        key = (item.certainty, item.location.heading, item.text, item.reading)
        groups.setdefault(key, []).append(str(item.location).rpartition(":")[2])
    if not groups:
        return ""
    entries = sorted(groups.items(), key=lambda entry: order.index(entry[0][0]))
    lines = ["Cells that were read with some thought:"]
    for (certainty, heading, text, reading), cells in entries[:SHOWN_READINGS]:
        meant = reading if certainty in ("certain", "likely") else f"not used ({reading})" if reading else "not used"
        sure = "" if certainty == "certain" else f"  [{certainty}]"
        more = f" and {len(cells) - 1} more" if len(cells) > 1 else ""
        lines.append(f"  {heading}: {_short(text)} → {_short(meant, 60)}{sure}  ({cells[0]}{more})")
    if len(entries) > SHOWN_READINGS:
        lines.append(f"  … and {len(entries) - SHOWN_READINGS} more; --json lists all")
    return "\n".join(lines)


def _says_itself(text: str, reading: str) -> bool:
    """Tell whether a reading only adds a space, a decimal point or the end of a unit to what was written."""
    figures, understood = (re.findall(r"\d+(?:\.\d+)?", each.replace(",", ".")) for each in (text, reading))
    letters, spelt = (re.sub(r"[^a-z°%]", "", _ascii(each)) for each in (text, reading))
    return figures == understood and spelt.startswith(letters)


def _ascii(text: str) -> str:
    return text.casefold().replace("µ", "u").replace("μ", "u").replace("ω", "ohm")


def _left_out(inspection: Inspection) -> str:
    if not inspection.left_out:
        return ""
    lines = ["Rows left out:"]
    lines += [f"  {item.location}: {item.reason}: {_short(item.text, 60)}" for item in inspection.left_out]
    return "\n".join(lines)


def _problems(problems: Sequence[Problem]) -> str:
    if not problems:
        return "No problems."
    counts = Counter(problem.severity for problem in problems)
    order = (Severity.ERROR, Severity.WARNING, Severity.NOTE)
    head = ", ".join(_count(counts[severity], str(severity)) for severity in order if counts[severity])
    lines = [f"{head}:"]
    lines += [f"  {problem}" for severity in order for problem in problems if problem.severity is severity]
    return "\n".join(lines)


def _what_more(inspection: Inspection) -> str:
    """Say which checks would become possible, the essentials first."""
    if not inspection.positions:
        return ""
    lines = ["What more would make possible:"]
    for sheet, items in _by_sheet(unlocks(inspection)):
        lines.append(f"  on {sheet}")
        groups: dict[tuple[str, int], list[str]] = {}
        for item in sorted(items, key=lambda item: not item.essential):
            groups.setdefault((item.unlocks, item.empty if item.sheet != "Unit" else 0), []).append(item.heading)
        for (check, empty), headings in groups.items():
            lines.append(f"    {', '.join(headings)}{_how_empty(empty, items[0].of)}: {check}")
    return "\n".join(lines) if len(lines) > 1 else ""


def _by_sheet(items: Sequence[Unlock]) -> Iterator[tuple[str, list[Unlock]]]:
    for sheet in ("Capacitors", "Rails", "Boards", "Unit"):
        here = [item for item in items if item.sheet == sheet]
        if here:
            yield sheet, here


def _how_empty(empty: int, of: int) -> str:
    return f" (empty in {empty:,} of {of:,})" if 0 < empty < of else ""


def _short(text: str, longest: int = 40) -> str:
    text = re.sub(r"\s+", " ", text)
    return text if len(text) <= longest else text[: longest - 1] + "…"


def _count(number: int, noun: str) -> str:
    return f"{number:,} {noun}{'' if number == 1 else 's'}"
