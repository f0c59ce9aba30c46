"""The Unit, Boards and Rails sheets."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, TypeVar

from recap.intake.cells import Sheet, written
from recap.intake.columns import Column, plain_name
from recap.intake.effort import MOST_BOARDS, at_most
from recap.intake.headings import find_headings, known_count, match
from recap.intake.ledger import Ledger, RowReader, is_blank, is_example, row_text
from recap.intake.values import ColumnReader
from recap.model import Basis, Board, CellReading, Rail, Unit
from recap.ruledata import table

FORM_HEADING = "item"
"""First cell of the Unit sheet's heading row, below which each row is one item with its entry."""

_Named = TypeVar("_Named", Board, Rail)


@dataclass(slots=True)
class Surroundings:
    """What stands around the capacitors of one file."""

    units: list[Unit] = field(default_factory=list)
    boards: list[Board] = field(default_factory=list)
    rails: list[Rail] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    _boards: dict[str, str] = field(default_factory=dict)
    _rails: dict[str, str] = field(default_factory=dict)

    def board_name(self, written_name: str) -> str:
        """Return a board's name as the Boards sheet spells it."""
        return self._boards.get(plain_name(written_name), written_name) if self._boards else written_name

    def rail_name(self, written_name: str) -> str:
        """Return a rail's name as the Rails sheet spells it."""
        return self._rails.get(rail_key(written_name), written_name) if self._rails else written_name

    def add_board(self, board: Board) -> bool:
        """Add a board; tell whether its name is new."""
        return _add(board, plain_name(board.name), self.boards, self._boards)

    def add_rail(self, rail: Rail) -> bool:
        """Add a rail; tell whether its name is new."""
        return _add(rail, rail_key(rail.name), self.rails, self._rails)


def _add(thing: _Named, key: str, things: list[_Named], names: dict[str, str]) -> bool:
    if key in names:
        return False
    at_most(MOST_BOARDS, len(things) + 1, thing.location)
    names[key] = thing.name
    things.append(thing)
    return True


@lru_cache(maxsize=4096)
def rail_key(name: str) -> str:
    """Return a rail's name so that spellings meet, its sign kept.

    >>> rail_key("+5 V") == rail_key("5v"), rail_key("−12V")
    (True, '-12v')
    """
    return name.casefold().replace(" ", "").replace("−", "-").replace("–", "-").lstrip("+")


def default_fields() -> frozenset[str]:
    """Return the fields of a unit that have a stated default."""
    return frozenset(row["field"] for row in table("columns") if row["sheet"] == "Unit" and row["default"])


def read_units(
    sheet: Sheet, fallback_name: str, renames: Mapping[str, str], ledger: Ledger, around: Surroundings
) -> None:
    """Read the Unit sheet, as the form's list of items or as a table with a row for each unit."""
    if not any(known_count(row, "Unit", renames) >= 3 for row in sheet.rows[:20]):
        around.units.append(_unit(_items(sheet, renames, ledger, around), fallback_name, sheet, ledger))
        return
    for reader, row in _rows(sheet, "Unit", renames, ledger):
        fields, _ = reader.read(row)
        if reader.unread(row):
            fields["notes"] = "; ".join(filter(None, (fields.get("notes"), reader.unread(row))))
        around.units.append(_unit(fields, fallback_name, sheet, ledger))
        at_most(MOST_BOARDS, len(around.units), sheet.location(row))


def read_boards(sheet: Sheet, renames: Mapping[str, str], ledger: Ledger, around: Surroundings) -> None:
    """Read the Boards sheet."""
    for reader, row in _rows(sheet, "Boards", renames, ledger):
        fields, _ = reader.read(row)
        name = fields.get("name", "")
        place = reader.location(row, "name")
        if not name:
            text = row_text(sheet.rows[row])
            ledger.report("no-board", "a row without a board's name; kept in the unit's notes", place, text[:80])
            around.notes.append(f"Boards row {row + 1}: {text}")
            continue
        unread = reader.unread(row)
        if unread:
            fields["description"] = "; ".join(filter(None, (fields.get("description"), unread)))
        if not around.add_board(Board(**fields, location=place)):
            ledger.report("board-twice", "is listed twice; the first row counts", place, name)
            around.notes.append(f"Boards row {row + 1}: {row_text(sheet.rows[row])}")


def read_rails(sheet: Sheet, renames: Mapping[str, str], ledger: Ledger, around: Surroundings) -> None:
    """Read the Rails sheet."""
    for reader, row in _rows(sheet, "Rails", renames, ledger):
        fields, _ = reader.read(row)
        name = fields.get("name", "")
        place = reader.location(row, "name")
        if not name:
            text = row_text(sheet.rows[row])
            ledger.report("rail-not-listed", "a row without a rail's name; kept in the unit's notes", place, text[:80])
            around.notes.append(f"Rails row {row + 1}: {text}")
            continue
        if not around.add_rail(Rail(**fields, location=place)):
            ledger.report("rail-twice", "is listed twice; the first row counts", place, name)
            around.notes.append(f"Rails row {row + 1}: {row_text(sheet.rows[row])}")
        elif reader.unread(row):
            around.notes.append(f"Rail {name}: {reader.unread(row)}")


def settle_names(around: Surroundings) -> None:
    """Spell boards and rails everywhere as their own sheets do."""
    around.rails = [
        replace(
            rail,
            made_on=around.board_name(rail.made_on),
            feeds=tuple(around.board_name(name) for name in rail.feeds),
        )
        for rail in around.rails
    ]
    around.boards = [
        replace(
            board,
            rails_needed=tuple((around.rail_name(name), amps) for name, amps in board.rails_needed),
        )
        for board in around.boards
    ]


def _rows(sheet: Sheet, kind: str, renames: Mapping[str, str], ledger: Ledger) -> Iterator[tuple[RowReader, int]]:
    """Go through the rows of a table that hold something."""
    layout, problems = find_headings(sheet, kind, renames)
    ledger.problems += problems
    if layout is None:
        if any(not is_blank(cells) for cells in sheet.rows):
            ledger.report("no-headings", f"no row of headings for {kind} was found", sheet.location(0))
        return
    ledger.kept += layout.unknown.values()
    reader = RowReader(sheet, layout, ledger)
    for row in range(layout.row + 1, len(sheet.rows)):
        if not is_blank(sheet.rows[row]) and not is_example(sheet.rows[row]):
            yield reader, row


def _items(sheet: Sheet, renames: Mapping[str, str], ledger: Ledger, around: Surroundings) -> dict[str, Any]:
    """Read the form's list of items: what it is, the entry, its basis."""
    fields: dict[str, Any] = {}
    assumed: set[str] = set()
    defaults = {row["field"]: row["default"] for row in table("columns") if row["sheet"] == "Unit"}
    for row, cells in enumerate(sheet.rows):
        start = next((index for index, value in enumerate(cells) if value != ""), None)
        if start is None or is_example(cells) or written(cells[start]).casefold() == FORM_HEADING:
            continue
        name = written(cells[start])
        column = match(name, "Unit", renames)
        entry = cells[start + 1] if start + 1 < len(cells) else ""
        place = sheet.location(row, start + 1, name)
        if entry == "" or not written(entry):
            continue
        if column is None:
            ledger.report("unknown-heading", "is no item known here; kept in the unit's notes", place, name)
            ledger.kept.append(name)
            around.notes.append(f"{name}: {written(entry)}")
            continue
        _take(column, ColumnReader(column, ledger.effort), entry, place, fields, ledger)
        basis = written(cells[start + 2]).casefold() if start + 2 < len(cells) else ""
        if basis == Basis.ASSUMED and written(entry) == defaults[column.field]:
            assumed.add(column.field)
            ledger.filled.discard(f"unit.{column.field}")
    fields["assumed"] = frozenset(assumed)
    return fields


def _take(column: Column, read: ColumnReader, entry: Any, place: Any, fields: dict[str, Any], ledger: Ledger) -> None:
    reading = read(entry)
    if reading.value is not None:
        fields[column.field] = reading.value
        ledger.filled.add(f"unit.{column.field}")
    if not reading.plain:
        ledger.readings.append(CellReading(place, written(entry), reading.shown, reading.certainty, reading.because))
        for finding in reading.findings:
            ledger.report(finding.code, finding.message, place, written(entry)[:80], finding.hint)


def _unit(fields: dict[str, Any], fallback_name: str, sheet: Sheet, ledger: Ledger) -> Unit:
    name = fields.pop("name", "")
    if not name:
        ledger.report(
            "unit-not-named",
            f"the unit has no name; it is called {fallback_name}",
            sheet.location(0),
            hint="name it on the Unit sheet",
        )
    stated = fields.pop("assumed", frozenset())
    assumed = frozenset(stated | {name for name in default_fields() if name not in fields})
    return Unit(name=name or fallback_name, **fields, assumed=assumed, location=sheet.location(0))
