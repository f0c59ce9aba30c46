"""The Capacitors sheet or a plain list: rows become positions, each row accounted for."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from recap.intake.cans import check, snap
from recap.intake.cells import Sheet
from recap.intake.columns import plain_name
from recap.intake.effort import MOST_TABLES
from recap.intake.headings import Layout, column_depths, find_headings, known_count, lay_out, match
from recap.intake.ledger import Ledger, RowReader, is_blank, is_example, row_text
from recap.intake.surroundings import Surroundings
from recap.model import Body, Documented, LeftOut, Marked, Measured, Polarity, Position, PositionKey
from recap.problems import UnreadableFile

SAME = 0.01
"""Two readings within this fraction say the same."""

_GENERIC_NAME = re.compile(r"(sheet|tabelle|feuil|hoja|foglio|blad|ark|arkusz|лист)?[ _.]*\d*", re.IGNORECASE)


@dataclass(slots=True)
class Job:
    """Where rows of one sheet belong and what was met before."""

    unit: str
    board: str
    around: Surroundings
    ledger: Ledger
    met: dict[tuple[str, ...], PositionKey]


def read_positions(sheet: Sheet, job: Job, renames: Mapping[str, str]) -> list[Position]:
    """Read every row below the headings: it gives positions, is left out with its reason, or is blank."""
    layout, problems = find_headings(sheet, "Capacitors", renames)
    job.ledger.problems += problems
    if layout is None:
        return []
    _report_above(sheet, layout, job.ledger)
    positions: list[Position] = []
    for reader, row in _data_rows(sheet, layout, job, renames):
        positions += _row_positions(reader, row, job)
    return positions


def _data_rows(sheet: Sheet, layout: Layout, job: Job, renames: Mapping[str, str]) -> Iterator[tuple[RowReader, int]]:
    ledger = job.ledger
    reader = _reader(sheet, layout, job)
    readers: dict[tuple[Any, ...], RowReader] = {}
    depths: list[int] = []
    damaged = {row for row, _ in sheet.damage}
    for row in range(layout.row + 1, len(sheet.rows)):
        cells = sheet.rows[row]
        ledger.rows_in += 1
        if is_blank(cells) and row not in damaged:
            ledger.blank_rows += 1
        elif is_example(cells):
            ledger.blank_rows += 1
            ledger.report("example-row", "an example, passed over", sheet.location(row))
        elif _repeats_headings(cells, renames):
            ledger.leave_out(sheet, row, "headings-again", "a second row of headings, used for the rows below it")
            again = readers.get(tuple(cells))
            if again is None:
                if len(readers) >= MOST_TABLES:
                    raise UnreadableFile(f"{sheet.location(row)}: more than {MOST_TABLES} tables in one sheet")
                depths = depths or column_depths(sheet)
                layout, problems = lay_out(sheet, row, "Capacitors", renames, depths)
                ledger.problems += problems
                again = readers[tuple(cells)] = _reader(sheet, layout, job)
            reader = again
        else:
            yield reader, row


def _reader(sheet: Sheet, layout: Layout, job: Job) -> RowReader:
    job.ledger.kept += layout.unknown.values()
    place = sheet.location(layout.row)
    if not layout.has("key.designator"):
        job.ledger.report(
            "rows-as-designators",
            "the list has no column of designators; its rows are named by their numbers",
            place,
            hint='map one with --heading "OLD=Designator" if there is one',
        )
    if not layout.has("key.board"):
        job.ledger.report("board-from-file", f"there is no board column; the board is called {job.board}", place)
    return RowReader(sheet, layout, job.ledger)


def _repeats_headings(cells: list[Any], renames: Mapping[str, str]) -> bool:
    """Tell whether a row is a second row of headings."""
    first = next((cell for cell in cells if cell != ""), None)
    if not isinstance(first, str) or len(first) > 80 or match(first, "Capacitors", renames) is None:
        return False
    texts = [cell for cell in cells if isinstance(cell, str) and cell.strip()]
    if len(texts) < 3 or any(not isinstance(cell, str) for cell in cells):
        return False
    count = known_count(cells, "Capacitors", renames)
    return count >= 3 and count * 2 > len(texts)


def _row_positions(reader: RowReader, row: int, job: Job) -> list[Position]:
    sheet, ledger = reader.sheet, job.ledger
    fields, extras = reader.read(row)
    _merge(fields, extras, reader, row)
    board = fields.pop("key.board", "" if reader.has_board else job.board)
    designators = fields.pop("key.designator", ())
    if not reader.has_designator:
        designators = designators or (f"row {row + 1}",)
    if not designators:
        hint = "every row needs one; name unmarked parts by their place, such as near relay 2"
        ledger.leave_out(sheet, row, "no-designator", "no designator", hint)
        return []
    if not board:
        ledger.leave_out(sheet, row, "no-board", "no board", "write the board's name in every row")
        return []
    unit = fields.pop("key.unit", "") or job.unit
    _by_size(fields, reader, row)
    sections = _sections(fields, reader, row)
    quantity = _quantity(fields, designators, reader, row)
    unread = reader.unread(row)
    if unread:
        fields["note"] = "; ".join(filter(None, (fields.get("note"), unread)))
    if fields.get("override") and not fields.get("override_reason"):
        ledger.report(
            "override-without-reason",
            "a decision is overruled without a reason",
            reader.location(row, "override"),
            str(fields["override"]),
            "say why in Override reason",
        )
    if fields.get("rail"):
        fields["rail"] = job.around.rail_name(fields["rail"])
    place = reader.location(row, "key.designator")
    positions: list[Position] = []
    for designator in designators:
        for section, of_section in sections:
            key = PositionKey(unit, job.around.board_name(board), designator, section)
            same = (plain_name(unit), plain_name(board), designator.casefold(), section.casefold())
            if same in job.met:
                ledger.report(
                    "position-twice",
                    f"{key} is there twice; the first counts, this one is left out",
                    place,
                    designator,
                    "correct one of the two, or name the sections of a multi-section can in Section",
                )
                continue
            job.met[same] = key
            positions.append(_position(key, {**fields, **of_section}, quantity, place))
    if not positions:
        ledger.left_out.append(LeftOut(sheet.location(row), row_text(sheet.rows[row]), "position is there twice"))
    return positions


def _merge(fields: dict[str, Any], extras: dict[str, Any], reader: RowReader, row: int) -> None:
    """Take what cells told beside their own field where no cell of its own says it."""
    for name, told in extras.items():
        own = fields.get(name)
        if own is None:
            fields[name] = told
        elif not _agree(own, told):
            reader.ledger.report(
                "cells-disagree",
                f"another cell of this row says {told}, this one {own}; this one counts",
                reader.location(row, name),
                str(own),
                "correct one of the two",
            )


def _by_size(fields: dict[str, Any], reader: RowReader, row: int) -> None:
    """Take nominal sizes for measured ones, and doubt what cannot be true together."""
    found = snap(fields)
    if found:
        reader.report(row, "body.diameter_mm" if "body.diameter_mm" in fields else "body.lead_spacing_mm", found)
    found = None if fields.get("key.section") else check(fields, fields.get("sections_f", ()))
    if found:
        reader.report(row, "marked.capacitance_f", found)


def _agree(own: Any, told: Any) -> bool:
    if isinstance(own, float) and isinstance(told, float):
        return abs(own - told) <= SAME * max(abs(own), abs(told))
    return bool(own == told)


def _sections(fields: dict[str, Any], reader: RowReader, row: int) -> list[tuple[str, dict[str, Any]]]:
    """Return the sections of a row with their own values: one without a name, or those of a can."""
    values = fields.pop("sections_f", None)
    section = fields.pop("key.section", "")
    if not values or section or fields.get("marked.capacitance_f") is not None:
        return [(section, {})]
    names = [str(number + 1) for number in range(len(values))]
    reader.ledger.report(
        "sections-expanded",
        f"{len(values)} sections, one position each: {', '.join(names)}",
        reader.location(row, "marked.capacitance_f"),
        hint="name them as at the lugs in Section, one row each, if that matters",
    )
    each = [{"marked.capacitance_f": value} for value in values]
    return list(zip(names, each, strict=True))


def _quantity(fields: dict[str, Any], designators: tuple[str, ...], reader: RowReader, row: int) -> int:
    quantity = fields.pop("quantity", None)
    if len(designators) > 1:
        place = reader.location(row, "key.designator")
        reader.ledger.report(
            "list-expanded", f"stands for {len(designators)} positions", place, ", ".join(designators)[:80]
        )
        if quantity not in (None, len(designators)):
            reader.ledger.report(
                "parts-and-quantity",
                f"the quantity is {quantity}, but there are {len(designators)} designators; they count",
                reader.location(row, "quantity"),
                str(quantity),
                "correct one of the two",
            )
        return 1
    return 1 if quantity is None else int(quantity)


def _position(key: PositionKey, fields: dict[str, Any], quantity: int, place: Any) -> Position:
    own: dict[str, Any] = {}
    groups: dict[str, list[tuple[str, Any]]] = {}
    for name, value in fields.items():
        group, dot, rest = name.partition(".")
        if dot:
            groups.setdefault(group, []).append((rest, value))
        else:
            own[name] = value
    for group, members in groups.items():
        own[group] = _made(_PARTS[group], tuple(members))
    return Position(key=key, quantity=quantity, location=place, **own)


_PARTS: Mapping[str, Callable[..., Any]] = {
    "marked": Marked,
    "documented": Documented,
    "measured": Measured,
    "body": Body,
    "polarity": Polarity,
}


@lru_cache(maxsize=100_000)
def _made(what: Callable[..., Any], fields: tuple[tuple[str, Any], ...]) -> Any:
    """Make a part of a position, once for all that have the same entries."""
    return what(**dict(fields))


def _report_above(sheet: Sheet, layout: Layout, ledger: Ledger) -> None:
    for row in range(layout.row):
        if not is_blank(sheet.rows[row]):
            ledger.report(
                "text-above", "stands above the headings and is not read", sheet.location(row),
                row_text(sheet.rows[row])[:80],
            )  # fmt: skip


def board_of(sheet: Sheet) -> str:
    """Return the name a plain list's board gets: the sheet's if it says anything, else the file's."""
    if sheet.name and not _GENERIC_NAME.fullmatch(sheet.name.strip()):
        return sheet.name.strip()
    return Path(sheet.file).stem
