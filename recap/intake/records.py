"""From files to the inspection: units, boards, rails and positions with everything that was doubtful."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from recap.intake.cells import Sheet, read_sheets
from recap.intake.columns import plain_name
from recap.intake.effort import MOST_BOARDS, Effort, at_most
from recap.intake.headings import find_headings, renaming
from recap.intake.ledger import Ledger
from recap.intake.positions import Job, board_of, read_positions
from recap.intake.surroundings import (
    Surroundings,
    default_fields,
    read_boards,
    read_rails,
    read_units,
    settle_names,
)
from recap.model import Board, Inspection, Position, PositionKey, Rail, Unit
from recap.problems import Location, Problem, UnreadableFile

NOT_DATA = ("readme", "lists")
_HEADINGS_HINT = 'headings such as Designator, Value and Volts are needed, or map yours with --heading "OLD=NEW"'
MOST_NAMES = 20
"""Names of boards or rails that a hint lists."""


def read_inspection(
    paths: Sequence[str | Path], headings: Mapping[str, str] | None = None
) -> tuple[Inspection, list[Problem]]:
    """Read the files of one job; `headings` maps headings as written to those of the workbook.

    Raises UnreadableFile when a file cannot be read at all; everything else is a problem in the list.
    """
    renames = renaming(headings or {})
    ledger = Ledger()
    units: dict[str, Unit] = {}
    positions: list[Position] = []
    met: dict[tuple[str, ...], PositionKey] = {}
    for path in map(Path, paths):
        sheets, problems = read_sheets(path)
        ledger.effort = Effort()
        ledger.problems += problems
        found = _read_file(path, sheets, renames, ledger, met, units)
        positions += found
    if not positions:
        ledger.report("no-positions", "no row gave a position", Location(", ".join(map(str, paths))))
    inspection = Inspection(
        files=tuple(map(str, paths)),
        units=tuple(units.values()),
        positions=tuple(positions),
        left_out=tuple(ledger.left_out),
        blank_rows=ledger.blank_rows,
        rows_in=ledger.rows_in,
        readings=tuple(ledger.readings),
        kept_columns=tuple(dict.fromkeys(ledger.kept)),
        columns=frozenset(ledger.filled),
    )
    return inspection, ledger.problems


def _read_file(
    path: Path,
    sheets: list[Sheet],
    renames: Mapping[str, str],
    ledger: Ledger,
    met: dict[tuple[str, ...], PositionKey],
    units: dict[str, Unit],
) -> list[Position]:
    named = {plain_name(sheet.name): sheet for sheet in sheets}
    around = Surroundings()
    if "boards" in named:
        read_boards(named["boards"], renames, ledger, around)
    if "rails" in named:
        read_rails(named["rails"], renames, ledger, around)
    settle_names(around)
    if "unit" in named:
        read_units(named["unit"], path.stem, renames, ledger, around)
    if not around.units:
        around.units.append(Unit(name=path.stem, assumed=default_fields()))
    positions: list[Position] = []
    lists = _lists(sheets, renames, ledger)
    if not lists and not named.keys() & {"unit", "boards", "rails"}:
        raise UnreadableFile(f"{path}: this is no list of capacitors: no row of headings was found; {_HEADINGS_HINT}")
    for sheet in lists:
        job = Job(around.units[0].name, board_of(sheet), around, ledger, met)
        positions += read_positions(sheet, job, renames)
    _count_boards(positions)
    _check_names(positions, around, ledger)
    _add_units(units, around, positions, ledger)
    return positions


def _lists(sheets: list[Sheet], renames: Mapping[str, str], ledger: Ledger) -> list[Sheet]:
    """Return the sheets that hold positions."""
    workbook = any(plain_name(sheet.name) == "capacitors" for sheet in sheets)
    chosen = []
    for sheet in sheets:
        name = plain_name(sheet.name)
        if name == "capacitors":
            chosen.append(sheet)
        elif name in NOT_DATA or name in ("unit", "boards", "rails") or not any(map(any, sheet.rows)):
            continue
        else:
            layout, _ = find_headings(sheet, "Capacitors", renames)
            if layout is not None and (not workbook or layout.has("key.designator")):
                chosen.append(sheet)
            else:
                _account_unread(sheet, workbook, ledger)
    return chosen


def _account_unread(sheet: Sheet, workbook: bool, ledger: Ledger) -> None:
    if workbook:
        ledger.report("sheet-not-read", "has no headings that are known here", Location(sheet.file, sheet.name))
        return
    place = Location(sheet.file, sheet.name)
    ledger.report("no-headings", "no row of headings was found", place, hint=_HEADINGS_HINT)


def _count_boards(positions: list[Position]) -> None:
    first_on_board = {position.key[:2]: position for position in reversed(positions)}
    if len(first_on_board) > MOST_BOARDS:
        places = dict.fromkeys(position.key[:2] for position in positions)
        too_many = first_on_board[list(places)[MOST_BOARDS]]
        at_most(MOST_BOARDS, len(first_on_board), too_many.location)


def _check_names(positions: list[Position], around: Surroundings, ledger: Ledger) -> None:
    """Report boards and rails that positions name and their sheets do not, each once."""
    boards = {board.name for board in around.boards}
    rails = {rail.name for rail in around.rails}
    known_boards, known_rails = _first_few(around.boards), _first_few(around.rails)
    for position in positions:
        board, rail = position.key.board, position.rail
        if boards and board not in boards:
            boards.add(board)
            ledger.report("board-not-listed", "is not on the Boards sheet", position.location, board, known_boards)
        if rail and around.rails and rail not in rails:
            rails.add(rail)
            ledger.report("rail-not-listed", "is not on the Rails sheet", position.location, rail, known_rails)


def _first_few(things: Sequence[Board] | Sequence[Rail]) -> str:
    names = [thing.name for thing in things[:MOST_NAMES]]
    return f"known are {', '.join(names)}{' …' if len(things) > MOST_NAMES else ''}"


def _add_units(units: dict[str, Unit], around: Surroundings, positions: list[Position], ledger: Ledger) -> None:
    """Add the file's units to the job's; a unit may be spread over files."""
    first, *others = around.units
    notes = "; ".join(filter(None, (first.notes, *around.notes)))
    first = replace(first, boards=tuple(around.boards), rails=tuple(around.rails), notes=notes)
    named = dict.fromkeys(position.key.unit for position in positions)
    candidates = [first, *others]
    known = {unit.name for unit in candidates}
    candidates += [Unit(name=name, assumed=default_fields()) for name in named if name not in known]
    if named and first.name not in named and not around.boards and not around.rails and first.location.file == "":
        candidates.remove(first)
    for unit in candidates:
        before = units.get(unit.name)
        if before is None:
            units[unit.name] = unit
            continue
        if unit.location.file and before.location.file:
            ledger.report("unit-twice", "is described twice; the first description counts", unit.location, unit.name)
        base = before if before.location.file or not unit.location.file else unit
        boards, rails = {board.name for board in before.boards}, {rail.name for rail in before.rails}
        units[unit.name] = replace(
            base,
            boards=before.boards + tuple(board for board in unit.boards if board.name not in boards),
            rails=before.rails + tuple(rail for rail in unit.rails if rail.name not in rails),
        )
