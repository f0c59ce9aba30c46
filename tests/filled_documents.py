"""Documents of a plan as a careful person would fill them in: everything ticked, every reading within its limits."""

from __future__ import annotations

from pathlib import Path

from openpyxl import load_workbook

from recap.bench.expected import expected_of_board
from recap.bench.expected_bring_up import expected_of_bring_up
from recap.bench.filled import COLUMNS_MARK, FIELD_MARK, Entry, Filled
from recap.model import Plan
from recap.model.sign_off import Expected, ExpectedRow, ReadingLimit
from recap.outputs.inspection_rows import with_sheets

DIGEST = "0123456789abcdef"
SIGNED = {"technician": "J. Tolvery", "checker": "M. Ostlegate", "date": "2026-03-14"}


def filled_documents(plan: Plan) -> list[Filled]:
    """Return every document of a plan filled in well."""
    expected = [expected_of_board(plan, work, DIGEST) for work in plan.work]
    expected += [expected_of_bring_up(plan, first_power, DIGEST) for first_power in plan.bring_up]
    return [filled_well(with_sheets(plan, each)) for each in expected]


def filled_well(expected: Expected) -> Filled:
    fields: dict[str, Entry] = {asked.id: SIGNED.get(asked.id, "noted") for asked in expected.fields}
    return Filled(
        plan=expected.plan,
        unit=expected.unit,
        board=expected.board,
        document=expected.document,
        board_fields=fields,
        positions={row.key: entries for row in expected.rows if (entries := good_entries(row))},
        expected=expected,
    )


def good_entries(row: ExpectedRow) -> dict[str, Entry]:
    entries: dict[str, Entry] = {asked.id: True for asked in row.ticks}
    entries |= {asked.id: "settled with the meter" for asked in row.texts}
    for limit in row.readings:
        if limit.required:
            entries[limit.fields[0]] = good_reading(limit)
            if limit.frequency_fields and limit.at_hz:
                entries[limit.frequency_fields[0]] = limit.at_hz / 1e3
    if row.has_result:
        entries["result"] = "pass"
    return entries


def good_reading(limit: ReadingLimit) -> float:
    if limit.id == "frequency":
        return limit.expected_hz or 100.0
    low = limit.low if limit.low is not None else limit.remark_low
    high = limit.remark_high if limit.remark_high is not None else limit.high
    if low is not None and high is not None:
        return (low + high) / 2
    return high / 2 if high is not None else (low or 1.0) * 1.1


def fill_workbook(path: Path, filled: Filled) -> None:
    """Write entries into a workbook of ours, as a spreadsheet program would."""
    book = load_workbook(path)
    for sheet in book.worksheets:
        names: dict[int, str] = {}
        for row in sheet.iter_rows():
            mark = row[0].value
            if mark == COLUMNS_MARK:
                names = {cell.column: str(cell.value) for cell in row[1:] if cell.value}
            elif str(mark).startswith(FIELD_MARK):
                value = filled.board_fields.get(str(mark).removeprefix(FIELD_MARK))
                if value is not None:
                    row[2].value = value  # type: ignore[union-attr]
            elif mark and names:
                entries = filled.positions.get(str(mark), {})
                for cell in row[1:]:
                    value = entries.get(names.get(cell.column or 0, ""))
                    if value is not None:
                        cell.value = "yes" if value is True else value  # type: ignore[union-attr]
    book.save(path)
