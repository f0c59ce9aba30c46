"""One row of a filled document: what failed, what is lacking, what is to be remarked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from recap.bench.entries import text_of, ticked
from recap.bench.readings_verdict import ASSUMED, judge_reading
from recap.bench.work_fields import REMARKS, RESULT
from recap.model.sign_off import ExpectedRow, FoundReading, RowKind, RowVerdict, Verdict

PASS, REMARKED, FAILED = RESULT.choices
_UNTOUCHED = {RowKind.KEPT, RowKind.EMPTY}
_RETURNS_TO_THE_PLAN = {"replace", "reform"}


def judge_row(
    row: ExpectedRow, board: str, entries: Mapping[str, object], conflicts: Iterable[str] = ()
) -> RowVerdict:
    """Return the verdict on one row; `conflicts` names fields for which two files say different things."""
    failures: list[str] = []
    lacking = [f"two files disagree about {field}" for field in conflicts]
    lacking += [f"{asked.label} is not ticked" for asked in row.ticks if not ticked(entries.get(asked.id))]
    lacking += [f"{asked.label} is empty" for asked in row.texts if not text_of(entries.get(asked.id))]
    remarks: list[str] = []
    found = tuple(finding for limit in row.readings for finding in judge_reading(limit, entries))
    for finding in _once(found):
        _sort_reading(finding, failures, lacking, remarks)
    if row.has_result:
        _result(text_of(entries.get(RESULT.id)), failures, lacking, remarks)
    _after_a_stop(row, entries, lacking, remarks)
    if row.kind is RowKind.RAIL and not row.readings:
        remarks.append(row.about)
    written = text_of(entries.get(REMARKS.id))
    if written:
        remarks.append(written)
    return RowVerdict(
        row.key,
        row.name,
        row.kind,
        board,
        row.about,
        _verdict(row, failures, lacking, remarks),
        tuple(failures),
        tuple(lacking),
        tuple(remarks),
        found,
        row.before,
        tuple((name, text_of(value)) for name, value in entries.items()),
        row.rail,
    )


def _sort_reading(finding: FoundReading, failures: list[str], lacking: list[str], remarks: list[str]) -> None:
    if finding.because.startswith(ASSUMED):
        remarks.append(f"{finding.label.rpartition(': ')[2]} {finding.because}")
        return
    unit = f" {finding.unit}" if finding.text and finding.text[-1:].isdigit() else ""
    shown = f"{finding.label} {finding.text}{unit}: {finding.because}" if finding.text else f"{finding.label} is empty"
    if finding.verdict is Verdict.NOT_PASSED:
        failures.append(shown)
    elif finding.verdict is Verdict.INCOMPLETE:
        lacking.append(shown)
    elif finding.verdict is Verdict.PASSED_WITH_REMARKS:
        remarks.append(shown)


def _once(findings: Iterable[FoundReading]) -> Iterable[FoundReading]:
    """Return the findings without remarks that say the same of the same quantity again."""
    said = set()
    for finding in findings:
        remark = (finding.id, ASSUMED if finding.because.startswith(ASSUMED) else finding.because)
        if finding.verdict is not Verdict.PASSED_WITH_REMARKS or remark not in said:
            yield finding
        said.add(remark)


def _result(result: str, failures: list[str], lacking: list[str], remarks: list[str]) -> None:
    if not result:
        lacking.append("Result is empty")
    elif result == FAILED:
        failures.append("the technician's result is not passed")
    elif result == REMARKED:
        remarks.append("the technician's result is pass with remarks")
    elif result != PASS:
        lacking.append(f'Result "{result}" is none of {", ".join(RESULT.choices)}')


def _after_a_stop(row: ExpectedRow, entries: Mapping[str, object], lacking: list[str], remarks: list[str]) -> None:
    """A settled stop that calls for work has no step here; one that calls for none is a remark."""
    if row.kind not in (RowKind.STOP, RowKind.REFER) or lacking:
        return
    how = next((text_of(entries.get(asked.id)) for asked in row.texts), "")
    if row.kind is RowKind.STOP and row.meant in _RETURNS_TO_THE_PLAN:
        lacking.append(
            f"settled ({how}), but its step is not in this work order: enter it in the inspection and plan again"
        )
    else:
        remarks.append(f"{'handed on' if row.kind is RowKind.REFER else 'settled'}: {how}")


def _verdict(row: ExpectedRow, failures: list[str], lacking: list[str], remarks: list[str]) -> Verdict:
    if failures:
        return Verdict.NOT_PASSED
    if lacking:
        return Verdict.INCOMPLETE
    if row.kind in _UNTOUCHED:
        return Verdict.LEFT_ALONE
    return Verdict.PASSED_WITH_REMARKS if remarks else Verdict.PASSED
