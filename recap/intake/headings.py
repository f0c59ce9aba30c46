"""Which column is which: headings are matched without regard to case, spaces or trade."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from recap.intake.cells import Sheet, Value, written
from recap.intake.columns import Column, by_name, columns, group_names, plain_name
from recap.intake.effort import MOST_UNKNOWN
from recap.intake.quantities import unit_factor
from recap.problems import Problem, RecapError, UnreadableFile

LOOK_DOWN = 40
"""Rows from the top among which the headings are looked for."""

_UNIT_AT_END = re.compile(r"^(.*?)[\s(\[/,_]+(?:in\s+)?([^\s()\[\]/,_]{1,6})[)\]]?\s*$")


@dataclass(frozen=True, slots=True)
class Layout:
    """Where the headings stand and what each column holds; `unknown` columns are kept in the notes."""

    row: int
    known: Mapping[int, Column]
    unknown: Mapping[int, str]

    def has(self, field: str) -> bool:
        """Tell whether a column for this field was found."""
        return any(column.field == field for column in self.known.values())


def find_headings(sheet: Sheet, kind: str, renames: Mapping[str, str]) -> tuple[Layout | None, list[Problem]]:
    """Find the row of headings of a sheet of one kind; None when no row looks like one."""
    best, best_count = None, 0
    for index, row in enumerate(sheet.rows[:LOOK_DOWN]):
        count = known_count(row, kind, renames)
        if count > best_count:
            best, best_count = index, count
    if best is None or (best_count < 2 and not _lone_heading(sheet.rows[best], kind, renames)):
        return None, []
    return lay_out(sheet, best, kind, renames)


def known_count(row: Sequence[Value], kind: str, renames: Mapping[str, str]) -> int:
    """Count the different columns that the cells of a row would be headings of."""
    found = {
        column.field
        for cell in row
        if isinstance(cell, str) and 0 < len(cell) < 80 and (column := match(cell, kind, renames))
    }
    return len(found)


def lay_out(
    sheet: Sheet, row: int, kind: str, renames: Mapping[str, str], depths: Sequence[int] | None = None
) -> tuple[Layout, list[Problem]]:
    """Match every heading of a row, and say which are unknown or come twice; `depths` are those of the sheet."""
    known: dict[int, Column] = {}
    unknown: dict[int, str] = {}
    problems: list[Problem] = []
    taken: dict[str, int] = {}
    width = max((len(cells) for cells in sheet.rows[row:]), default=0) if depths is None else len(depths)
    texts = [written(value) for value in sheet.rows[row]] + [""] * (width - len(sheet.rows[row]))
    for index in sorted(range(width), key=lambda index: not _is_own_heading(texts[index], kind)):
        text = texts[index]
        column = match(text, kind, renames)
        if column is None and plain_name(text) in group_names(kind) and not _cells_below(sheet, row, index, depths):
            continue
        place = sheet.location(row, index, text)
        if column is not None and column.field not in taken:
            known[index] = column
            taken[column.field] = index
            continue
        if column is not None:
            unknown[index] = text
            problems.append(
                Problem(
                    "heading-twice",
                    f"is a second column for {column.heading}; its cells are kept in the notes",
                    place,
                    text,
                    'rename one of them, or map it with --heading "OLD=NEW"',
                )
            )
        elif text:
            unknown[index] = text
            problems.append(
                Problem(
                    "unknown-heading",
                    "is no heading known here; its cells are kept in the notes",
                    place,
                    text,
                    f'map it with --heading "{text}=NEW", NEW being one of the workbook\'s headings',
                )
            )
        elif _cells_below(sheet, row, index, depths):
            unknown[index] = f"column {place.cell.rstrip('0123456789')}"
            problems.append(
                Problem(
                    "no-heading",
                    "this column has cells but no heading; they are kept in the notes",
                    place,
                    hint="give it a heading",
                )
            )
    if len(unknown) > MOST_UNKNOWN:
        raise UnreadableFile(f"{sheet.location(row)}: {len(unknown):,} columns whose headings are not known here")
    problems.sort(key=lambda problem: (len(problem.location.cell), problem.location.cell))
    return Layout(row, known, unknown), problems


def column_depths(sheet: Sheet) -> list[int]:
    """Return the last row in which each column holds something."""
    depths: list[int] = []
    for row, cells in enumerate(sheet.rows):
        depths += [-1] * (len(cells) - len(depths))
        for index, value in enumerate(cells):
            if value != "" and written(value):
                depths[index] = row
    return depths


def match(text: str, kind: str, renames: Mapping[str, str]) -> Column | None:
    """Return the column that a heading names, its unit replaced by the one written in the heading."""
    name = plain_name(text)
    if renames:
        name = renames.get(name, name)
    column = by_name(kind).get(name)
    if column is not None:
        return _with_own_unit(column, text)
    ending = _UNIT_AT_END.match(text.strip())
    if ending:
        column = by_name(kind).get(plain_name(ending[1]))
        if column is not None and column.unit and unit_factor(ending[2], column.unit) is not None:
            return replace(column, bare_unit=ending[2])
    return None


def renaming(wishes: Mapping[str, str]) -> dict[str, str]:
    """Check the renames a user asks for; the new name must be a heading that is known somewhere."""
    renames: dict[str, str] = {}
    for old, new in wishes.items():
        name = plain_name(new)
        if not is_known(new):
            known = ", ".join(column.heading for column in columns("Capacitors"))
            raise RecapError(f'--heading "{old}={new}": {new} is no heading; known are {known}')
        renames[plain_name(old)] = name
    return renames


def is_known(name: str) -> bool:
    """Tell whether a name is a heading of some sheet of an inspection."""
    return any(plain_name(name) in by_name(kind) for kind in ("Capacitors", "Boards", "Rails", "Unit"))


def unknown_note(layout: Layout, row: Sequence[Value]) -> str:
    """Return the cells of unknown columns as one text for the notes."""
    parts = (
        f"{heading}: {written(row[index])}"
        for index, heading in layout.unknown.items()
        if index < len(row) and written(row[index])
    )
    return "; ".join(parts)


def _is_own_heading(text: str, kind: str) -> bool:
    """The workbook's own headings come before their synonyms."""
    return any(plain_name(text) == plain_name(column.heading) for column in columns(kind))


def _cells_below(sheet: Sheet, row: int, index: int, depths: Sequence[int] | None) -> bool:
    if depths is not None:
        return depths[index] > row
    return any(written(cells[index]) for cells in sheet.rows[row + 1 :] if index < len(cells))


def _with_own_unit(column: Column, text: str) -> Column:
    """A heading that is itself a unit, such as nF, sets the unit of bare numbers below it."""
    if column.unit and plain_name(text) != plain_name(column.unit):
        bare = text.strip()
        if unit_factor(bare, column.unit) not in (None, 1.0):
            return replace(column, bare_unit=bare)
    return column


def _lone_heading(row: Sequence[Value], kind: str, renames: Mapping[str, str]) -> bool:
    """A list of one column may have only its designators' heading."""
    texts = [cell for cell in row if isinstance(cell, str) and cell.strip()]
    column = match(texts[0], kind, renames) if len(texts) == 1 else None
    return column is not None and column.field in ("key.designator", "marked.capacitance_f")
