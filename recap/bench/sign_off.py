"""What may be said of the work: filled documents gathered by unit and board, held against what they expect."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from recap.bench.bring_up_fields import BRING_UP, WORK_ORDER
from recap.bench.constants import constant
from recap.bench.entries import text_of
from recap.bench.filled import Entry, Filled
from recap.bench.row_verdict import judge_row
from recap.model.sign_off import (
    BoardVerdict,
    Expected,
    RowVerdict,
    SignOff,
    UnitVerdict,
    Verdict,
)
from recap.units import plain

DAYS_A_YEAR = 365.25
_GOOD = {Verdict.PASSED, Verdict.PASSED_WITH_REMARKS}


@dataclass(slots=True)
class _Document:
    """Everything that files say about one board, or one unit's bring-up."""

    expected: Expected
    fields: dict[str, Entry] = field(default_factory=dict)
    rows: dict[str, dict[str, Entry]] = field(default_factory=dict)
    conflicts: dict[str, set[str]] = field(default_factory=dict)
    plans: set[str] = field(default_factory=set)


def sign_off(files: Sequence[Filled], on: date | None = None) -> SignOff:
    """Return the verdict on everything the files hold; files without expectations lend their entries only.

    `on` is the date that the user gives; without it the latest one written on the documents counts.
    """
    documents = _gather(files)
    units = dict.fromkeys(unit for unit, _, _ in documents)
    verdicts = tuple(
        _unit(unit, [each for key, each in documents.items() if key[0] == unit], on) for unit in units
    )
    worst = max((each.verdict for each in verdicts), key=lambda verdict: verdict.weight, default=Verdict.INCOMPLETE)
    return SignOff(worst, verdicts)


def without_expectations(files: Iterable[Filled]) -> list[Filled]:
    """Return the files for which no file says what they must hold."""
    files = list(files)
    known = {_key(each) for each in files if each.expected is not None}
    return [each for each in files if _key(each) not in known]


def _key(filled: Filled) -> tuple[str, str, str]:
    return filled.unit, filled.document, filled.board


def _gather(files: Sequence[Filled]) -> dict[tuple[str, str, str], _Document]:
    documents: dict[tuple[str, str, str], _Document] = {}
    for filled in files:
        if filled.expected is not None and _key(filled) not in documents:
            documents[_key(filled)] = _Document(filled.expected)
    for filled in files:
        document = documents.get(_key(filled))
        if document is None:
            continue
        document.plans.add(filled.plan)
        _merge(document.fields, filled.board_fields, document.conflicts.setdefault("", set()))
        for key, entries in filled.positions.items():
            _merge(document.rows.setdefault(key, {}), entries, document.conflicts.setdefault(key, set()))
    return documents


def _merge(into: dict[str, Entry], entries: Mapping[str, Entry], conflicts: set[str]) -> None:
    for name, value in entries.items():
        if text_of(into.get(name)) and text_of(value) and text_of(into[name]) != text_of(value):
            conflicts.add(name)
        if text_of(value):
            into[name] = value


def _unit(unit: str, documents: Sequence[_Document], on: date | None) -> UnitVerdict:
    wanted = list(dict.fromkeys(pair for document in documents for pair in document.expected.documents))
    documents = sorted(documents, key=lambda each: _place(each, wanted))
    first = documents[0].expected
    boards = tuple(_board(document) for document in documents)
    given = {(each.document, each.board) for each in boards}
    lacking = tuple(f"{_called(pair)}: no file was given" for pair in wanted if pair not in given)
    plans = tuple(sorted({plan for document in documents for plan in document.plans if plan}))
    remarks: tuple[str, ...] = ()
    if len(plans) > 1:
        remarks = (f"the documents belong to {len(plans)} plans ({', '.join(plans)}): look at what changed between",)
    verdicts = [each.verdict for each in boards]
    if lacking:
        verdicts.append(Verdict.INCOMPLETE)
    if remarks:
        verdicts.append(Verdict.PASSED_WITH_REMARKS)
    verdict = _worst(verdicts)
    signed_on = on or _latest_date(documents)
    next_look, why = _next_look(documents, signed_on) if verdict in _GOOD else ("", "only after a pass")
    return UnitVerdict(
        unit=unit,
        serial=first.serial,
        plans=plans,
        verdict=verdict,
        lacking=lacking,
        remarks=remarks,
        boards=boards,
        date=signed_on.isoformat() if signed_on else "",
        next_look=next_look,
        next_look_why=why,
        sheets=tuple(sheet for document in documents for sheet in document.expected.sheets),
    )


def _place(document: _Document, wanted: Sequence[tuple[str, str]]) -> int:
    """Return where a document stands in the order of the work."""
    pair = (document.expected.document, document.expected.board)
    return wanted.index(pair) if pair in wanted else len(wanted)


def _called(pair: tuple[str, str]) -> str:
    document, board = pair
    return f"work order of {board}" if document == WORK_ORDER else "bring-up"


def _worst(verdicts: Iterable[Verdict]) -> Verdict:
    """Return the heaviest verdict; a board on which everything was left alone has passed."""
    worst = max(verdicts, key=lambda verdict: verdict.weight, default=Verdict.INCOMPLETE)
    return Verdict.PASSED if worst is Verdict.LEFT_ALONE else worst


def _board(document: _Document) -> BoardVerdict:
    expected = document.expected
    rows = tuple(
        judge_row(row, expected.board, document.rows.get(row.key, {}), sorted(document.conflicts.get(row.key, ())))
        for row in expected.rows
    )
    fields = document.fields
    lacking = [f"two files disagree about {name}" for name in sorted(document.conflicts.get("", ()))]
    lacking += [f"{asked.label} is empty" for asked in expected.fields if not text_of(fields.get(asked.id))]
    unknown = sorted(set(document.rows) - {row.key for row in expected.rows})
    lacking += [f"entries for {key}, which this document does not have" for key in unknown]
    remarks: list[str] = []
    technician, checker = (text_of(fields.get(name)) for name in ("technician", "checker"))
    if technician and technician.casefold() == checker.casefold():
        remarks.append(f"the second person is the first: {technician} checked twice")
    own = Verdict.INCOMPLETE if lacking else Verdict.PASSED_WITH_REMARKS if remarks else Verdict.PASSED
    return BoardVerdict(
        document=expected.document,
        board=expected.board,
        verdict=_worst((own, *(row.verdict for row in rows))),
        failures=(),
        lacking=tuple(lacking),
        remarks=tuple(remarks),
        signed=tuple((asked.label, text_of(fields.get(asked.id))) for asked in expected.fields),
        rows=rows,
    )


def _latest_date(documents: Iterable[_Document]) -> date | None:
    """Return the latest date that somebody wrote in the form year-month-day."""
    found = []
    for document in documents:
        try:
            found.append(date.fromisoformat(text_of(document.fields.get("date"))[:10]))
        except ValueError:
            continue
    return max(found, default=None)


def _next_look(documents: Sequence[_Document], signed_on: date | None) -> tuple[str, str]:
    """Return the date of the next look and why: the shortest of what the estimates and old parts allow."""
    first = documents[0].expected
    choices = [(first.years_wanted, "the years that the unit should last")]
    for document in documents:
        for row in document.expected.rows:
            if row.life_low_h is not None and first.use_h_per_year > 0:
                years = row.life_low_h / first.use_h_per_year
                where = f"{document.expected.board}/{row.name}"
                choices.append((years, f"the lowest estimate of life of what went in, at {where}"))
            elif row.ages:
                name = f"{document.expected.board}/{row.name}"
                choices.append((constant("kept_look_years"), f"old parts stay in use, such as {name}"))
    years, why = min(choices)
    text = f"{why}: {plain(years, 2)} {'year' if years == 1 else 'years'}"
    if signed_on is None:
        return "", f"{text} from the date of the sign-off, which was not given"
    try:
        return (signed_on + timedelta(days=years * DAYS_A_YEAR)).isoformat(), text
    except OverflowError:
        return "", text


def bring_up_of(unit: UnitVerdict) -> BoardVerdict | None:
    """Return the verdict on a unit's bring-up."""
    return next((each for each in unit.boards if each.document == BRING_UP), None)


def rail_verdicts(unit: UnitVerdict) -> dict[str, tuple[Verdict, tuple[RowVerdict, ...]]]:
    """Return each rail with the worst of everything that was read on it."""
    bring_up = bring_up_of(unit)
    found: dict[str, list[RowVerdict]] = {}
    for row in bring_up.rows if bring_up else ():
        if row.rail:
            found.setdefault(row.rail, []).append(row)
    return {name: (_worst(row.verdict for row in rows), tuple(rows)) for name, rows in found.items()}
