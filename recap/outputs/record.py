"""The record of a finished job: what was found, what went in, what it read, and the sheets for the next inspection."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from recap.bench.filled import read_text_rows
from recap.model.sign_off import RowKind, RowVerdict, UnitVerdict, Verdict
from recap.outputs.inspection_rows import AFTER, CAPACITORS
from recap.problems import UnreadableFile

RECORD_FORMAT = "recap record"
RECORD_VERSION = 1
RECORD_MARK = "recap:record"
"""Stands in column A of the hidden rows that carry the record, piece by piece."""

Rows = list[dict[str, str]]

_GOOD = {Verdict.PASSED, Verdict.PASSED_WITH_REMARKS}
_MEASURED = (
    ("capacitance_uf", "Measured µF", 1.0),
    ("esr_ohm", "ESR Ω", 1.0),
    ("esr_frequency_khz", "ESR frequency Hz", 1e3),
    ("leakage_ua", "Leakage µA", 1.0),
)
_PLACE = ("Board", "Designator", "Section")
_SCRIPT = re.compile(r'<script type="application/json" id="record">(.*?)</script>', re.DOTALL)


def record_of(unit: UnitVerdict) -> dict[str, Any]:
    """Return the record as plain JSON values."""
    return {
        "format": RECORD_FORMAT,
        "version": RECORD_VERSION,
        "unit": unit.unit,
        "serial": unit.serial,
        "date": unit.date,
        "verdict": str(unit.verdict),
        "next_look": unit.next_look,
        "plans": list(unit.plans),
        "sheets": next_inspection(unit),
    }


def next_inspection(unit: UnitVerdict) -> dict[str, Rows]:
    """Return the sheets that the next inspection starts from: replaced parts as they are now, readings carried on."""
    sheets: dict[str, Rows] = {}
    for name, rows in unit.sheets:
        sheets.setdefault(name, []).extend(dict(row) for row in rows)
    after = {_place(row): row for row in sheets.pop(AFTER, [])}
    verdicts = {row.key: row for board in unit.boards for row in board.rows}
    finished = []
    for row in sheets.get(CAPACITORS, []):
        key = "/".join(part for part in (unit.unit, *_place(row)) if part)
        finished.append(_now(row, after.get(_place(row)), verdicts.get(key), unit))
    if finished:
        sheets[CAPACITORS] = finished
    return sheets


def _place(row: Mapping[str, str]) -> tuple[str, ...]:
    return tuple(row.get(heading, "") for heading in _PLACE)


def _now(
    row: dict[str, str], after: dict[str, str] | None, verdict: RowVerdict | None, unit: UnitVerdict
) -> dict[str, str]:
    if verdict is None:
        return row
    replaced = verdict.kind is RowKind.REPLACE and verdict.verdict in _GOOD and after is not None
    now = dict(after) if replaced and after is not None else dict(row)
    now.update(_readings(verdict, replaced))
    when = f" {unit.date}" if unit.date else ""
    said = [f"earlier job{when}: {verdict.kind}, {verdict.verdict}", *verdict.remarks]
    now["Note"] = "; ".join(part for part in (*said, now.get("Note", "")) if part)
    return now


def _readings(verdict: RowVerdict, replaced: bool) -> dict[str, str]:
    """Return the latest readings of what is fitted now; a new part's never come from the old one."""
    entered = dict(verdict.entered)
    for group in ("after", "goods_in") if replaced else ("after", "before"):
        found = {heading: entered.get(f"{group}_{name}", "") for name, heading, _ in _MEASURED}
        if any(found.values()):
            return {heading: _scaled(found[heading], factor) for _, heading, factor in _MEASURED if found[heading]}
    return {}


def _scaled(text: str, factor: float) -> str:
    if factor == 1.0:
        return text
    try:
        return f"{float(text.replace(',', '.')) * factor:g}"
    except ValueError:
        return text


def read_record(path: str | Path) -> dict[str, Any]:
    """Return the record that a workbook or page carries; raises UnreadableFile."""
    path = Path(path)
    try:
        text = _from_page(path) if path.suffix.lower() in (".html", ".htm") else _from_workbook(path)
        record = json.loads(text)
    except (OSError, ValueError, RecursionError) as error:
        raise UnreadableFile(f"{path} cannot be read as the record of a job ({error})") from error
    if not isinstance(record, dict) or record.get("format") != RECORD_FORMAT:
        raise UnreadableFile(f"{path} is not the record of a job; sign-off writes one")
    sheets = record.get("sheets")
    if record.get("version") != RECORD_VERSION or not isinstance(sheets, dict):
        raise UnreadableFile(f"{path} was made by another version ({record.get('version')})")
    return record


def record_sheets(record: Mapping[str, Any]) -> dict[str, Rows]:
    """Return the rows of a record's sheets, each a mapping of heading to text."""
    return {str(name): list(_text_rows(rows)) for name, rows in record["sheets"].items() if isinstance(rows, list)}


def _text_rows(rows: Iterable[Any]) -> Iterable[dict[str, str]]:
    for row in rows:
        if isinstance(row, dict):
            yield {str(heading): str(text) for heading, text in row.items()}


def _from_page(path: Path) -> str:
    match = _SCRIPT.search(path.read_text(encoding="utf-8"))
    if not match:
        raise ValueError("the page carries no record")
    return match[1]


def _from_workbook(path: Path) -> str:
    pieces = [str(cells[0]) for mark, *cells in read_text_rows(path) if mark == RECORD_MARK and cells]
    if not pieces:
        raise ValueError("the workbook carries no record")
    return "".join(pieces)


def is_record(path: Path) -> bool:
    """Return whether a file is a record that may be replaced by a newer one."""
    try:
        read_record(path)
    except UnreadableFile:
        return False
    return True
