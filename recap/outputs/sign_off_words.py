"""The verdicts of a sign-off in words and as JSON."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from recap.bench.bring_up_fields import BRING_UP
from recap.bench.readings_verdict import ASSUMED
from recap.bench.sign_off import bring_up_of, rail_verdicts
from recap.model.sign_off import BoardVerdict, RowKind, RowVerdict, SignOff, UnitVerdict, Verdict
from recap.problems import Problem

_MOST_LINES = 40
_CHECKS = {RowKind.CHECK, RowKind.STAGE}
_POSITIONS = {
    RowKind.REPLACE, RowKind.REFORM, RowKind.MEASURE, RowKind.STOP, RowKind.REFER, RowKind.KEPT, RowKind.EMPTY,
}  # fmt: skip
WORDS = {
    Verdict.PASSED: "passed",
    Verdict.PASSED_WITH_REMARKS: "passed with remarks",
    Verdict.INCOMPLETE: "incomplete",
    Verdict.NOT_PASSED: "NOT PASSED",
    Verdict.LEFT_ALONE: "left alone",
}


def board_name(board: BoardVerdict) -> str:
    """Return what a document is called."""
    return "bring-up" if board.document == BRING_UP else board.board


def row_name(board: BoardVerdict, row: RowVerdict) -> str:
    """Return a row with where it stands."""
    if board.document == BRING_UP:
        return {
            RowKind.RAIL: f"rail {row.name}",
            RowKind.RESISTANCE: f"{row.name} unpowered",
            RowKind.STAGE: f"refit of {row.name}",
        }.get(row.kind, row.name)
    return f"{board.board}/{row.name}"


def failures(unit: UnitVerdict) -> list[str]:
    """Return everything that failed."""
    return [text for board in unit.boards for text in _of(board, "failures")]


def lacking(unit: UnitVerdict) -> list[str]:
    """Return everything that is not there yet."""
    return [*unit.lacking, *(text for board in unit.boards for text in _of(board, "lacking"))]


def lacking_by_row(unit: UnitVerdict) -> list[str]:
    """Return what is not there yet, one line for each position, rail or check."""
    lines = list(unit.lacking)
    for board in unit.boards:
        if board.lacking:
            lines.append(f"{board_name(board)}: {_gathered(board.lacking)}")
        lines += [f"{row_name(board, row)}: {_gathered(row.lacking)}" for row in board.rows if row.lacking]
    return lines


def _gathered(texts: Iterable[str]) -> str:
    """Return sentences with those that say the same of several boxes drawn together."""
    groups: dict[str, list[str]] = {" is not ticked": [], " is empty": []}
    rest = []
    for text in texts:
        end = next((end for end in groups if text.endswith(end)), None)
        if end is None:
            rest.append(text)
        else:
            groups[end].append(text.removesuffix(end))
    said = [f"{title}: {', '.join(names)}" for title, names in
            (("not ticked", groups[" is not ticked"]), ("empty", groups[" is empty"])) if names]  # fmt: skip
    return "; ".join((*rest, *said))


def remarks(unit: UnitVerdict) -> list[str]:
    """Return every remark."""
    return [*unit.remarks, *(text for board in unit.boards for text in _of(board, "remarks"))]


def _of(board: BoardVerdict, what: str) -> Iterable[str]:
    yield from (f"{board_name(board)}: {text}" for text in getattr(board, what))
    for row in board.rows:
        yield from (f"{row_name(board, row)}: {text}" for text in getattr(row, what))


_BEFORE_FIELDS = (
    ("before_capacitance_uf", "C", "µF"),
    ("before_esr_ohm", "ESR", "Ω"),
    ("before_esr_frequency_khz", "at", "kHz"),
    ("before_leakage_ua", "leakage", "µA"),
)


def before(row: RowVerdict) -> str:
    """Return what the old part read: on the work order, else at the inspection."""
    entered = dict(row.entered)
    found = [f"{label} {entered[field]} {unit}" for field, label, unit in _BEFORE_FIELDS if entered.get(field)]
    return ", ".join(found or (f"{name} {text}" for name, text in row.before))


def afterwards(row: RowVerdict) -> str:
    """Return what is fitted now reads; a part that was only measured stands under before."""
    return "; ".join(row.remarks) if row.kind is RowKind.MEASURE else readings(row)


def readings(row: RowVerdict) -> str:
    """Return the readings of a row, those of one quantity together, and what was written beside them."""
    found: dict[tuple[str, str], list[str]] = {}
    for each in row.readings:
        if each.text:
            unit = f" {each.unit}" if each.text[-1:].isdigit() else ""
            found.setdefault((each.label.rpartition(": ")[2], unit), []).append(each.text)
    said = [f"{label} {', '.join(texts)}{unit}" for (label, unit), texts in found.items()]
    return "; ".join((*said, *(text for text in row.remarks if ASSUMED not in text)))


def left_alone(unit: UnitVerdict) -> list[tuple[str, str]]:
    """Return what was left alone, each with why."""
    return [
        (row_name(board, row), row.about)
        for board in unit.boards
        for row in board.rows
        if row.verdict is Verdict.LEFT_ALONE
    ]


def position_counts(board: BoardVerdict) -> str:
    """Return how many positions of a board have which verdict."""
    rows = [row for row in board.rows if row.kind in _POSITIONS]
    counts = [(verdict, sum(row.verdict is verdict for row in rows)) for verdict in Verdict]
    return ", ".join(f"{count} {WORDS[verdict].lower()}" for verdict, count in counts if count)


def summary(found: SignOff, written: Sequence[Path], problems: Sequence[Problem]) -> list[str]:
    """Return what the command prints."""
    lines = [str(problem) for problem in problems]
    for unit in found.units:
        serial = f", serial {unit.serial}" if unit.serial else ""
        lines += [f"{unit.unit}{serial}: {WORDS[unit.verdict]}", ""]
        for board in unit.boards:
            counts = position_counts(board)
            lines.append(f"  {board_name(board)}: {WORDS[board.verdict]}" + (f" ({counts})" if counts else ""))
        rails = rail_verdicts(unit)
        if rails:
            lines.append("  rails: " + "; ".join(f"{name} {WORDS[verdict]}" for name, (verdict, _) in rails.items()))
        lines += _listed("Failed", failures(unit))
        lines += _listed("Not there yet", lacking_by_row(unit))
        lines += _listed("Remarks", remarks(unit))
        left = left_alone(unit)
        if left:
            lines += ["", f"Left alone: {len(left)} positions, with their reasons in the record."]
        if unit.next_look:
            lines += ["", f"Look again by {unit.next_look}: {unit.next_look_why}."]
        elif unit.verdict in (Verdict.PASSED, Verdict.PASSED_WITH_REMARKS):
            lines += ["", f"Look again: {unit.next_look_why}."]
        lines.append("")
    lines += [f"Written: {path}" for path in written]
    lines.append("A pass says that what was asked was done and read within its limits, not that anything is safe.")
    return lines


def _listed(title: str, texts: Sequence[str]) -> list[str]:
    if not texts:
        return []
    more = len(texts) - _MOST_LINES
    rest = [f"  and {more} more, in the record"] if more > 0 else []
    return ["", f"{title} ({len(texts)}):", *(f"  {text}" for text in texts[:_MOST_LINES]), *rest]


def document(found: SignOff, written: Sequence[Path], problems: Sequence[Problem]) -> dict[str, Any]:
    """Return what the command prints with --json."""
    units = found.units
    return {
        "result": {
            "verdict": str(found.verdict),
            "units": [_unit(unit) for unit in units],
            "rails": [rail for unit in units for rail in _rails(unit)],
            "boards": [_board(unit, board) for unit in units for board in unit.boards if board.document != BRING_UP],
            "positions": [
                _row(unit, board, row)
                for unit in units
                for board in unit.boards
                for row in board.rows
                if row.kind in _POSITIONS
            ],
            "checks": [
                _row(unit, board, row)
                for unit in units
                if (board := bring_up_of(unit)) is not None
                for row in board.rows
                if row.kind in _CHECKS
            ],
            "failures": [text for unit in units for text in failures(unit)],
            "incomplete": [text for unit in units for text in lacking(unit)],
            "remarks": [text for unit in units for text in remarks(unit)],
            "records": [str(path) for path in written],
        },
        "problems": [problem.as_json() for problem in problems],
    }


def _unit(unit: UnitVerdict) -> dict[str, Any]:
    return {
        "unit": unit.unit,
        "serial": unit.serial,
        "verdict": str(unit.verdict),
        "date": unit.date or None,
        "next_look": unit.next_look or None,
        "next_look_why": unit.next_look_why,
        "plans": list(unit.plans),
    }


def _board(unit: UnitVerdict, board: BoardVerdict) -> dict[str, Any]:
    return {
        "unit": unit.unit,
        "board": board.board,
        "verdict": str(board.verdict),
        "incomplete": list(board.lacking),
        "remarks": list(board.remarks),
    }


def _rails(unit: UnitVerdict) -> Iterable[dict[str, Any]]:
    for name, (verdict, rows) in rail_verdicts(unit).items():
        yield {
            "unit": unit.unit,
            "rail": name,
            "verdict": str(verdict),
            "failures": [text for row in rows for text in row.failures],
            "incomplete": [text for row in rows for text in row.lacking],
            "remarks": [text for row in rows for text in row.remarks],
            "readings": [_reading(reading) for row in rows for reading in row.readings],
        }


def _row(unit: UnitVerdict, board: BoardVerdict, row: RowVerdict) -> dict[str, Any]:
    return {
        "key": row.key,
        "unit": unit.unit,
        "board": board.board,
        "what": row.name if row.kind in _CHECKS else str(row.kind),
        "verdict": str(row.verdict),
        "why": row.about,
        "failures": list(row.failures),
        "incomplete": list(row.lacking),
        "remarks": list(row.remarks),
        "readings": [_reading(reading) for reading in row.readings],
    }


def _reading(reading: Any) -> dict[str, Any]:
    return {
        "reading": reading.label,
        "text": reading.text,
        "unit": reading.unit,
        "low": reading.low,
        "high": reading.high,
        "verdict": str(reading.verdict),
        "because": reading.because,
    }
