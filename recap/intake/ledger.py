"""What accumulates while the files of a job are read: nothing is dropped without an entry here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from recap.intake.cans import settle
from recap.intake.cells import Sheet, Value, written
from recap.intake.columns import Column
from recap.intake.effort import Effort
from recap.intake.headings import Layout
from recap.intake.readings import Finding, Reading
from recap.intake.values import ColumnReader
from recap.model import CellReading, LeftOut
from recap.problem_codes import report
from recap.problems import Location, Problem

EXAMPLE_MARK = "(example)"
"""A row whose first filled cell begins with this is an example of the form and is passed over."""


@dataclass(slots=True)
class Ledger:
    """Problems, readings and accounts of rows."""

    problems: list[Problem] = field(default_factory=list)
    readings: list[CellReading] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)
    blank_rows: int = 0
    rows_in: int = 0
    filled: set[str] = field(default_factory=set)
    kept: list[str] = field(default_factory=list)
    effort: Effort = field(default_factory=Effort)
    """What is left for the markings of the file being read."""

    def report(self, code: str, message: str, location: Location, value: str = "", hint: str = "") -> None:
        """Note a problem."""
        self.problems.append(report(code, message, location, value, hint))

    def leave_out(self, sheet: Sheet, row: int, code: str, reason: str, hint: str = "") -> None:
        """Account for a row that gives no position."""
        location = sheet.location(row)
        text = row_text(sheet.rows[row])
        self.left_out.append(LeftOut(location, text, reason))
        self.report(code, reason, location, text[:80], hint)


class RowReader:
    """Reads the rows below one row of headings."""

    def __init__(self, sheet: Sheet, layout: Layout, ledger: Ledger) -> None:
        self.sheet = sheet
        self.layout = layout
        self.ledger = ledger
        self._columns = [(index, column, ColumnReader(column, ledger.effort)) for index, column in layout.known.items()]
        self.has_board = layout.has("key.board")
        self.has_designator = layout.has("key.designator")

    def read(self, row: int) -> tuple[dict[str, Any], dict[str, Any]]:
        """Return what the row's own cells say by field, and what they say beside their own field."""
        cells = self.sheet.rows[row]
        fields: dict[str, Any] = {}
        extras: dict[str, Any] = {}
        noted: list[tuple[int, Column, Value, Reading]] = []
        width = len(cells)
        for index, column, read in self._columns:
            value = cells[index] if index < width else ""
            # Most cells say what another said before; looking that up here is what keeps large files quick.
            reading = read.texts.get(value) if value.__class__ is str else None
            if reading is None:
                if value == "" or (isinstance(value, str) and not value.strip()):
                    if self.sheet.damage:
                        self._look_again(row, index, column.heading)
                    continue
                reading = read(value)
                self.ledger.filled.add(column.field)
            if reading.value is not None:
                fields[column.field] = reading.value
            if not reading.plain:
                noted.append((index, column, value, reading))
                for name, told in reading.extras.items():
                    extras.setdefault(name, told)
        for index, column, value, reading in noted:
            if reading.alternatives and column.field == "marked.capacitance_f":
                reading = settle(reading, {**extras, **fields})
                if reading.value is not None:
                    fields[column.field] = reading.value
            self._note(row, index, column.heading, value, reading)
        return fields, extras

    def unread(self, row: int) -> str:
        """Return the cells of the row that no column reads, as one text for the notes."""
        if not self.layout.unknown:
            return ""
        cells = self.sheet.rows[row]
        parts = []
        for index, heading in self.layout.unknown.items():
            if index < len(cells) and cells[index] != "" and (text := written(cells[index])):
                parts.append(f"{heading}: {text}")
        return "; ".join(parts)

    def location(self, row: int, field_name: str) -> Location:
        """Return the address of a field's cell in a row, or of the row's beginning."""
        for index, column, _ in self._columns:
            if column.field == field_name:
                return self.sheet.location(row, index, column.heading)
        return self.sheet.location(row)

    def report(self, row: int, field_name: str, finding: Finding) -> None:
        """Report a finding at a field's cell."""
        place = self.location(row, field_name)
        index = next((index for index, column, _ in self._columns if column.field == field_name), None)
        cells = self.sheet.rows[row]
        value = written(cells[index]) if index is not None and index < len(cells) else ""
        self.ledger.report(finding.code, finding.message, place, value[:80], finding.hint)

    def _note(self, row: int, index: int, heading: str, value: Value, reading: Reading) -> None:
        place = self.sheet.location(row, index, heading)
        text = written(value)
        self.ledger.readings.append(CellReading(place, text, reading.shown, reading.certainty, reading.because))
        for finding in reading.findings:
            self.ledger.report(finding.code, finding.message, place, text[:80], finding.hint)

    def _look_again(self, row: int, index: int, heading: str) -> None:
        damage = self.sheet.damage_at(row, index, heading)
        if damage is not None:
            self.ledger.problems.append(damage)


def is_blank(cells: Sequence[Value]) -> bool:
    """Tell whether a row holds nothing."""
    return not any(value != "" and (not isinstance(value, str) or value.strip()) for value in cells)


def is_example(cells: Sequence[Value]) -> bool:
    """Tell whether a row is the form's example."""
    for value in cells:
        if value != "":
            return isinstance(value, str) and value.strip().casefold().startswith(EXAMPLE_MARK)
    return False


def row_text(cells: Sequence[Value]) -> str:
    """Return a whole row as one text."""
    return " | ".join(written(value) for value in cells if written(value))
