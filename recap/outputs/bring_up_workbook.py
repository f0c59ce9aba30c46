"""The bring-up of one unit as a workbook to fill in: the same fields as on its page."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from recap.bench.bring_up import BOARD_STATES, SUPPLY_STATES
from recap.bench.bring_up_fields import (
    BRING_UP,
    BRING_UP_FIELDS,
    BY_HAND,
    BY_HAND_KEY,
    CONNECTED,
    DC,
    DONE,
    FORWARD,
    FREQUENCY,
    LEAKAGE,
    RELEASED_BY,
    REVERSE,
    RIPPLE,
    check_fields,
    check_key,
    rail_fields,
    rail_key,
    reform_key,
    resistance_key,
    stage_fields,
    stage_key,
    state_fields,
)
from recap.bench.expected_bring_up import again, expected_of_bring_up
from recap.bench.expected_json import as_text
from recap.bench.reforming import REFORM_RULES
from recap.bench.work_fields import REMARKS, RESULT, FieldKind, WorkField
from recap.outputs import bring_up_words as words
from recap.outputs import entry_sheets, sheets
from recap.outputs.inspection_rows import with_sheets
from recap.outputs.page import make_safe_of, make_safe_steps

if TYPE_CHECKING:
    from openpyxl import Workbook
    from openpyxl.worksheet.worksheet import Worksheet

    from recap.model import Plan
    from recap.model.bench import BenchCheck, BringUp, MakeSafe, ReformJob

_READING = WorkField("reading", "Reading", FieldKind.READING)
_CHECK_FIELDS = (DONE, _READING, REMARKS)


def write_bring_up_workbook(plan: Plan, first_power: BringUp, digest: str, path: Path) -> None:
    """Write the workbook of one unit's first power."""
    book = sheets.new_book()
    _start(book, plan, first_power, digest)
    _before_power(book, first_power)
    _loads(book, first_power)
    if first_power.rails:
        _rails(book, first_power)
        _pointers(book, first_power)
    else:
        _rails_by_hand(book)
    _boards(book, first_power)
    entry_sheets.carry(book, as_text(with_sheets(plan, expected_of_bring_up(plan, first_power, digest))))
    book.save(path)


def _start(book: Workbook, plan: Plan, first_power: BringUp, digest: str) -> None:
    sheet = entry_sheets.sheet(book, "Make safe", (34, 26, 30, 14, 30, 22, 18, 60))
    entry_sheets.title(sheet, "B1", "Bring-up")
    row = 2
    facts = (("unit", "Unit", first_power.unit), ("plan", "Plan", digest), ("document", "Document", BRING_UP))
    for name, label, value in facts:
        row = entry_sheets.named(sheet, row, name, label, value)
    for field in BRING_UP_FIELDS:
        row = entry_sheets.named(sheet, row, field.id, field.label, "")
        sheet.cell(row - 1, 3).fill = sheets.ENTRY_FILL
    row = entry_sheets.lines(sheet, row + 1, "Before you touch it", make_safe_steps(plan, first_power.unit))
    row = entry_sheets.lines(sheet, row + 1, "Isolation", first_power.isolation)
    row = entry_sheets.lines(sheet, row + 1, "Not known, so not worked out", first_power.missing)
    safe = make_safe_of(plan, first_power.unit)
    if safe is not None:
        row = entry_sheets.lines(sheet, row + 1, "Between rails", safe.between_rails)
        row = entry_sheets.lines(sheet, row + 1, "Caution", (*safe.cautions, *safe.out_of_scope))
        _charges(sheet, row + 1, safe)


def _charges(sheet: Worksheet, row: int, safe: MakeSafe) -> None:
    titles = ("May be charged", "C", "At most", "Energy", "Its own resistor", "To 60, 50, 10 V", "Comes back", "Limits")
    sheets.head(sheet, row, titles, column=2)
    sheets.rows(sheet, row + 1, (words.charge_row(bank) for bank in words.large_banks(safe)), column=2)
    sheets.fit_rows(sheet, row)


def _before_power(book: Workbook, first_power: BringUp) -> None:
    sheet = entry_sheets.sheet(book, "Before power", (64, 54, 22, 14, 14, 44))
    entry_sheets.title(sheet, "B1", "Before power")
    row = _checks(sheet, 2, first_power.checks)
    row = _leakages(sheet, row, [job for job in first_power.reforms if not job.in_work_order])
    text = "Unpowered: each rail to its other side, in Ω; OL where the meter shows none"
    entry_sheets.title(sheet, f"B{row + 1}", text)
    fields = (FORWARD, REVERSE, REMARKS)
    titles = ("Rail", "Other side", "Must be")
    entry_sheets.columns(sheet, row + 2, titles, fields)
    first = row + 4
    for offset, rail in enumerate(first_power.rails):
        cells = (rail.name, rail.other_side, words.at_least(rail.resistance))
        entry_sheets.row(sheet, first + offset, resistance_key(rail.name), cells, fields, fields)
    entry_sheets.validate(sheet, first, len(first_power.rails), len(titles) + 2, fields)
    sheets.fit_rows(sheet, 3)


def _leakages(sheet: Worksheet, row: int, jobs: Sequence[ReformJob]) -> int:
    """Write the places for the leakage of kept parts after reforming; return the row after the last."""
    if not jobs:
        return row
    entry_sheets.title(sheet, f"B{row + 1}", "Leakage of kept parts after reforming")
    titles = ("Part", "How", "Must be")
    entry_sheets.columns(sheet, row + 2, titles, (LEAKAGE,))
    for offset, job in enumerate(jobs, start=row + 4):
        part, *how, accept, _ = words.reform_row(job)
        cells = (part, "; ".join(how), f"at most {accept}")
        entry_sheets.row(sheet, offset, reform_key(job), cells, (LEAKAGE,), (LEAKAGE,))
    entry_sheets.validate(sheet, row + 4, len(jobs), len(titles) + 2, (LEAKAGE,))
    return row + 4 + len(jobs)


def _checks(sheet: Worksheet, row: int, checks: Sequence[BenchCheck]) -> int:
    """Write checks with their boxes; return the row after the last."""
    titles = ("Check", "Why", "Must be")
    entry_sheets.columns(sheet, row, titles, _CHECK_FIELDS)
    for offset, check in enumerate(checks, start=row + 2):
        needed = {field.id for field in check_fields(check)}
        cells = (check.text, check.why, words.check_limit(check.limit))
        wanted = [field for field in _CHECK_FIELDS if field.id in needed]
        entry_sheets.row(sheet, offset, check_key(check), cells, _CHECK_FIELDS, wanted)
    entry_sheets.validate(sheet, row + 2, len(checks), len(titles) + 2, _CHECK_FIELDS)
    return row + 2 + len(checks)


def _loads(book: Workbook, first_power: BringUp) -> None:
    sheet = sheets.add_sheet(book, "Loads, lamp, reforming")
    sheets.widths(sheet, (34, 54, 50, 46, 26, 22))
    sheets.title(sheet, "Dummy loads")
    loaded = [rail for rail in first_power.rails if words.dummy_loaded(rail)]
    row = _table(
        sheet,
        3,
        ("Rail", "Least load", "Full load", "Or a filament lamp at full load"),
        (
            (rail.name, words.resistor(rail.load.least) or "none needed", words.resistor(rail.load.full),
             words.lamp_load(rail))
            for rail in loaded
        ),
    )  # fmt: skip
    entry_sheets.title(sheet, f"A{row + 1}", "Lamp in series with the mains")
    row = _table(sheet, row + 2, ("Lamp", "Where it settles"), map(words.lamp_row, first_power.limiter.lamps))
    row = _sentences(sheet, row, (*first_power.limiter.notes, *first_power.limiter.missing))
    entry_sheets.title(sheet, f"A{row + 1}", "Reform what stays")
    titles = ("Part", "Series resistor", "Current at most", "Voltages", "Leakage to accept", "Discharge through")
    row = _table(sheet, row + 2, titles, map(words.reform_row, first_power.reforms))
    row = _sentences(sheet, row, REFORM_RULES if first_power.reforms else ())
    entry_sheets.title(sheet, f"A{row + 1}", "First power")
    row = _sentences(sheet, row + 2, (*first_power.power_up, *first_power.method, *first_power.cautions))
    sheets.fit_rows(sheet, 3)


def _table(sheet: Worksheet, row: int, titles: Sequence[str], values: Iterable[Sequence[str]]) -> int:
    sheets.head(sheet, row, titles)
    return sheets.rows(sheet, row + 1, values)


def _sentences(sheet: Worksheet, row: int, texts: Sequence[str]) -> int:
    for offset, text in enumerate(entry_sheets.broken(texts)):
        sheets.put(sheet.cell(row + offset, 1), text).alignment = sheets.ONE_LINE
    return row + len(entry_sheets.broken(texts)) + 1


def _rails_by_hand(book: Workbook) -> None:
    fields = (BY_HAND, RESULT, REMARKS)
    sheet = entry_sheets.sheet(book, "Rails", (60, 80, 22, 40))
    entry_sheets.title(sheet, "B1", "No rail is listed: best fill in the Rails sheet and plan again")
    entry_sheets.columns(sheet, 2, ("Rails",), fields)
    text = "Every rail: its limits; direct voltage and ripple loaded, cold, warm and after the soak"
    entry_sheets.row(sheet, 4, BY_HAND_KEY, (text,), fields, fields)
    entry_sheets.validate(sheet, 4, 1, 3, fields)
    sheets.fit_rows(sheet, 3)


def _rails(book: Workbook, first_power: BringUp) -> None:
    states = [state for state in (*SUPPLY_STATES, *BOARD_STATES) if any(state in r.states for r in first_power.rails)]
    fields = (*(field for state in states for field in state_fields(state)), FREQUENCY, REMARKS)
    sheet = entry_sheets.sheet(book, "Rails", (10, 16, 26, 18, 26, *(11 for _ in fields[:-1]), 36))
    entry_sheets.title(sheet, "B1", "Rails: direct voltage and, at the oscilloscope, ripple")
    titles = ("Rail", "Against", "DC in V", "Ripple", "Frequency")
    entry_sheets.columns(sheet, 2, titles, fields)
    for offset, rail in enumerate(first_power.rails, start=4):
        limits = (words.windows(rail), words.ripple(rail.ripple), words.frequency(rail))
        cells = (rail.name, rail.other_side, *limits)
        entry_sheets.row(sheet, offset, rail_key(rail.name), cells, fields, rail_fields(rail))
    entry_sheets.validate(sheet, 4, len(first_power.rails), len(titles) + 2, fields)
    sheets.fit_rows(sheet, 3)
    sheet.freeze_panes = "C4"
    sheet.print_title_rows = "3:3"


def _pointers(book: Workbook, first_power: BringUp) -> None:
    sheet = sheets.add_sheet(book, "What ripple points to")
    sheets.widths(sheet, (14, 70, 90))
    sheets.title(sheet, "What the ripple of a rail points to")
    rows = (
        (rail.name, "\n".join(rail.notes), "\n".join(f"{each.looks}: {each.points_to}" for each in rail.patterns))
        for rail in first_power.rails
    )
    _table(sheet, 3, ("Rail", "Of this rail", "Looks, and what they point to"), rows)
    sheets.fit_rows(sheet, 3)
    sheet.print_title_rows = "3:3"


def _boards(book: Workbook, first_power: BringUp) -> None:
    sheet = entry_sheets.sheet(book, "Soak and boards", (64, 54, 22, 16, 14, 44))
    entry_sheets.title(sheet, "B1", "Attended soak")
    row = _checks(sheet, 2, first_power.soak)
    text = "Boards go back, one at a time; off, unplugged, discharged, measured before each"
    entry_sheets.title(sheet, f"B{row + 1}", text)
    fields = (RELEASED_BY, CONNECTED, REMARKS)
    entry_sheets.columns(sheet, row + 2, ("Board", "Why now", "Rails"), fields)
    first = row = row + 4
    for stage in first_power.stages:
        cells = (f"{stage.board}. {stage.hold}".strip(), stage.why, ", ".join(stage.rails))
        entry_sheets.row(sheet, row, stage_key(stage), cells, fields, stage_fields(stage))
        row += 1
    entry_sheets.validate(sheet, first, row - first, 5, fields)
    entry_sheets.title(sheet, f"B{row + 1}", "Rails again, with each board in")
    entry_sheets.columns(sheet, row + 2, ("Board", "Rail and DC in V", "Ripple"), (DC, RIPPLE))
    first = row = row + 4
    rails = {rail.name: rail for rail in first_power.rails}
    for stage in first_power.stages:
        for rail in again(stage, rails):
            cells = (stage.board, f"{rail.name}: {words.window(rail.window)}", words.ripple(rail.ripple))
            entry_sheets.row(sheet, row, stage_key(stage, rail.name), cells, (DC, RIPPLE), (DC, RIPPLE))
            row += 1
    entry_sheets.validate(sheet, first, row - first, 5, (DC, RIPPLE))
    sheets.fit_rows(sheet, 3)
