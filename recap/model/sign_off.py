"""What a sign-off expects to be filled in, and what it says of what it found."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum


class Verdict(StrEnum):
    """What may be said of a position, rail, board or unit; the later ones outweigh the earlier ones."""

    LEFT_ALONE = "left-alone"
    PASSED = "passed"
    PASSED_WITH_REMARKS = "passed-with-remarks"
    INCOMPLETE = "incomplete"
    NOT_PASSED = "not-passed"

    @property
    def weight(self) -> int:
        """How much it outweighs others."""
        return list(Verdict).index(self)


class RowKind(StrEnum):
    """What a row of a document is about."""

    REPLACE = "replace"
    REFORM = "reform"
    MEASURE = "measure"
    STOP = "stop"
    REFER = "refer"
    KEPT = "kept"
    EMPTY = "empty"
    CHECK = "check"
    RESISTANCE = "resistance"
    RAIL = "rail"
    STAGE = "stage"
    STAGE_RAIL = "stage-rail"


@dataclass(frozen=True, slots=True)
class Asked:
    """A box that must be ticked or filled with words."""

    id: str
    label: str


@dataclass(frozen=True, slots=True)
class ReadingLimit:
    """One reading: the fields that may hold it, its limits in its unit, and how a frequency changes them.

    `low` and `high` fail; `remark_low` and `remark_high` only call for a remark. A limit that depends on
    frequency names where it holds (`at_hz`); `high_frequency` is the guide in the band of ESR meters.
    `words` may stand instead of a number: they say that there was nothing to read, or more than the meter shows.
    """

    id: str
    label: str
    unit: str
    fields: tuple[str, ...]
    low: float | None = None
    high: float | None = None
    remark_low: float | None = None
    remark_high: float | None = None
    required: bool = True
    assumed: bool = False
    why: str = ""
    source: str = "our-judgement"
    frequency_fields: tuple[str, ...] = ()
    """Fields in kHz, one for each of `fields`."""
    at_hz: float | None = None
    high_frequency: float | None = None
    expected_hz: float | None = None
    """For a reading of a frequency: what it should be; another one only calls for a remark."""
    limit_known: bool = True
    """False where a reading is asked for but nothing says how it should be: then nothing can pass by it."""
    words: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ExpectedRow:
    """One row of a document with everything that must be in it."""

    key: str
    name: str
    kind: RowKind
    about: str = ""
    ticks: tuple[Asked, ...] = ()
    texts: tuple[Asked, ...] = ()
    readings: tuple[ReadingLimit, ...] = ()
    has_result: bool = False
    meant: str = ""
    """For a stop: the decision but for what stops it."""
    before: tuple[tuple[str, str], ...] = ()
    """Readings of the inspection, as pairs of name and text."""
    life_low_h: float | None = None
    """The lowest estimate of life of what goes in."""
    ages: bool = False
    """Whether an old part stays that goes on ageing from a past that is not known."""
    rail: str = ""


@dataclass(frozen=True, slots=True)
class Expected:
    """What one document must hold; carried by the document itself, so that it can be signed off anywhere."""

    document: str
    plan: str
    unit: str
    board: str
    serial: str
    rows: tuple[ExpectedRow, ...]
    fields: tuple[Asked, ...]
    documents: tuple[tuple[str, str], ...]
    """Pairs of document and board: everything that this unit's sign-off needs."""
    use_h_per_year: float
    years_wanted: float
    sheets: tuple[tuple[str, tuple[tuple[tuple[str, str], ...], ...]], ...] = ()
    """Rows of the inspection by sheet, each a list of heading and text, for the record and the next inspection."""


@dataclass(frozen=True, slots=True)
class FoundReading:
    """One reading held against its limits."""

    id: str
    field: str
    label: str
    text: str
    unit: str
    low: float | None
    high: float | None
    verdict: Verdict
    because: str


@dataclass(frozen=True, slots=True)
class RowVerdict:
    """What was found in one row."""

    key: str
    name: str
    kind: RowKind
    board: str
    about: str
    verdict: Verdict
    failures: tuple[str, ...]
    lacking: tuple[str, ...]
    remarks: tuple[str, ...]
    readings: tuple[FoundReading, ...]
    before: tuple[tuple[str, str], ...]
    entered: tuple[tuple[str, str], ...]
    """Every field that was filled in, as pairs of its name and text."""
    rail: str = ""


@dataclass(frozen=True, slots=True)
class BoardVerdict:
    """A board, or the bring-up: the worst of its rows and of its own boxes."""

    document: str
    board: str
    verdict: Verdict
    failures: tuple[str, ...]
    lacking: tuple[str, ...]
    remarks: tuple[str, ...]
    signed: tuple[tuple[str, str], ...]
    """Pairs of label and entry: technician, second person, date, instruments."""
    rows: tuple[RowVerdict, ...]


@dataclass(frozen=True, slots=True)
class UnitVerdict:
    """A unit: the worst of its boards and of its bring-up, and when to look again."""

    unit: str
    serial: str
    plans: tuple[str, ...]
    verdict: Verdict
    lacking: tuple[str, ...]
    remarks: tuple[str, ...]
    boards: tuple[BoardVerdict, ...]
    date: str
    next_look: str
    next_look_why: str
    sheets: tuple[tuple[str, tuple[tuple[tuple[str, str], ...], ...]], ...]


@dataclass(frozen=True, slots=True)
class SignOff:
    """Everything that a sign-off says."""

    verdict: Verdict
    units: tuple[UnitVerdict, ...]
