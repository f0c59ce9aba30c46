"""What a work order says about one position: the same words on the page and in the workbook."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import groupby

from recap.bench.work_fields import WorkField, readings, ticks
from recap.model import (
    POLAR_KINDS,
    Board,
    BoardWork,
    Condition,
    Decision,
    Face,
    Judgement,
    Legible,
    MarkMeaning,
    Plan,
    Position,
    Specification,
)
from recap.outputs.chosen import goes_in, part_notes, placed_at
from recap.outputs.handwork import handwork
from recap.outputs.life_words import brief
from recap.outputs.words import line_of, mm, new_part, old_part, place, why, window
from recap.units import plain

NOT_AGREED = "not agreed: fit nothing polar here yet"
EITHER_WAY = "no polarity: either way round"

_TITLES = {
    Decision.REPLACE: "Replace",
    Decision.MEASURE: "Measure",
    Decision.REFORM: "Reform",
    Decision.REFER: "Hand on",
    Decision.KEEP: "Leave alone",
    Decision.STOP: "Stop",
}

_TESTED = (Decision.MEASURE, Decision.REFORM)

_CONDITION_NOTES = {
    Condition.LEAKED: "Leaked: clean, neutralise, rinse and dry before fitting; look at nearby tracks and vias.",
    Condition.CRUST: "Crust: find out whether it is electrolyte or fixing glue, then clean.",
    Condition.CORRODED_JOINT: "Corroded joint: flux and fresh solder first; do not twist or lever the part out.",
    Condition.BURNT: "Burnt: find the cause before anything new is fitted.",
    Condition.REPLACED_BEFORE: "Replaced before: the part that comes out may not be what the maker fitted.",
}


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a work order, in words."""

    number: int
    judgement: Judgement
    title: str
    place: str
    where: str
    comes_out: str
    goes_in: str
    if_it_fails: str
    line: str
    orientation: str
    form: tuple[str, ...]
    notes: tuple[str, ...]
    hazards: tuple[str, ...]
    why: str
    life: str
    not_checked: tuple[str, ...]
    ticks: tuple[WorkField, ...]
    readings: tuple[WorkField, ...]
    handwork: tuple[str, ...] = ()
    """Leads, seat, heat, pads, and the bag with the photo."""
    part_chosen: bool = False
    """Whether `goes_in` names a part, not what to ask for."""

    @property
    def key(self) -> str:
        """The position's name, as in saved files."""
        return str(self.judgement.key)

    @property
    def missing(self) -> tuple[str, ...]:
        """What the orientation lacks, as far as no stop item says so already."""
        said = " ".join(self.judgement.stops)
        return tuple(item for item in self.judgement.orientation.missing if item not in said)

    @property
    def photo(self) -> str:
        """The photo number, if one was recorded."""
        return self.judgement.position.photo


@dataclass(frozen=True, slots=True)
class Card:
    """One number of the work order: a part, or a can with the sections that are worked on together."""

    steps: tuple[Step, ...]

    @property
    def number(self) -> int:
        """Its place in the order of work."""
        return self.steps[0].number

    @property
    def first(self) -> Step:
        """The part, or the can's first section: where it is and what is done to it holds for all."""
        return self.steps[0]

    @property
    def sections(self) -> tuple[str, ...]:
        """The sections of a can, in the order of the steps; empty for a single part."""
        return tuple(step.judgement.key.section for step in self.steps) if len(self.steps) > 1 else ()

    @property
    def place(self) -> str:
        """The designator; with its section where it is the only one."""
        return self.first.judgement.key.designator if self.sections else self.first.place

    @property
    def notes(self) -> tuple[str, ...]:
        """The notes that hold for every section; those of a single part stand with the part."""
        if not self.sections:
            return ()
        return tuple(note for note in self.first.notes if all(note in step.notes for step in self.steps))

    def notes_by_step(self) -> list[tuple[Step, tuple[str, ...]]]:
        """Return each step with its notes, those that hold for every section only with the first."""
        shared = self.notes
        own = [tuple(note for note in step.notes if note not in shared) for step in self.steps]
        return [
            (step, (*(shared if step is self.first else ()), *notes))
            for step, notes in zip(self.steps, own, strict=True)
        ]

    @property
    def hazards(self) -> tuple[str, ...]:
        """The dangers of all sections."""
        return tuple(dict.fromkeys(hazard for step in self.steps for hazard in step.hazards))

    @property
    def photo(self) -> str:
        """The photo numbers."""
        return ", ".join(dict.fromkeys(step.photo for step in self.steps if step.photo))


def steps(plan: Plan, work: BoardWork) -> list[Step]:
    """Return the steps of a board in working order; sections of one can that follow each other share a number."""
    found: list[Step] = []
    for judgement in work.steps:
        together = bool(found) and _one_can(found[-1].judgement, judgement)
        number = found[-1].number + (not together) if found else 1
        found.append(step(plan, judgement, number))
    return found


def _one_can(one: Judgement, other: Judgement) -> bool:
    same_work = one.decision is other.decision and one.key[:3] == other.key[:3]
    return same_work and bool(one.key.section and other.key.section)


def cards(plan: Plan, work: BoardWork) -> list[Card]:
    """Return the steps of a board, those of one can gathered."""
    return gathered(steps(plan, work))


def gathered(board_steps: Iterable[Step]) -> list[Card]:
    """Return steps by their numbers."""
    return [Card(tuple(group)) for _, group in groupby(board_steps, key=lambda step: step.number)]


def step(plan: Plan, judgement: Judgement, number: int = 0) -> Step:
    """Return one position's step in words."""
    position, spec = judgement.position, judgement.specification
    line = line_of(plan, judgement)
    placed = placed_at(judgement, line)
    title = _TITLES[judgement.decision]
    return Step(
        number=number,
        judgement=judgement,
        title=title,
        place=place(judgement.key),
        where=where(position),
        comes_out=_comes_out(judgement),
        goes_in=goes_in(judgement, line) if judgement.meant is Decision.REPLACE else "",
        if_it_fails=new_part(spec) if spec and judgement.meant in _TESTED else "",
        line=line.id if line else "",
        orientation=orientation(judgement),
        form=_form(spec) if spec else (),
        notes=(*_shared_can(plan, judgement), *_notes(judgement), *part_notes(judgement, line)),
        hazards=judgement.hazards,
        why=why(judgement),
        life=_life(plan, judgement),
        not_checked=tuple(item.rule for item in judgement.not_assessed),
        ticks=ticks(judgement),
        readings=readings(judgement),
        handwork=handwork(judgement, placed.check.part if placed is not None else None),
        part_chosen=placed is not None,
    )


def where(position: Position) -> str:
    """Return where to look, in words."""
    body = position.body
    at = ""
    if body.x_mm is not None and body.y_mm is not None:
        at = f"{plain(body.x_mm)} mm from the left, {plain(body.y_mm)} mm from the lower edge"
    face = "the body is on the solder side" if body.face is Face.SOLDER_SIDE else ""
    parts = [position.zone, at, face]
    return "; ".join(part for part in parts if part) or "not recorded: look for the designator"


def orientation(judgement: Judgement) -> str:
    """Return which way round, in words; never a guess."""
    if judgement.orientation.text is not None:
        return judgement.orientation.text
    kinds = judgement.specification.kinds if judgement.specification else ()
    if judgement.position.polar or any(kind in POLAR_KINDS for kind in kinds) or judgement.orientation.conflicts:
        return NOT_AGREED
    return "" if judgement.decision is not Decision.REPLACE else EITHER_WAY


def _life(plan: Plan, judgement: Judgement) -> str:
    """Return how long the part that goes in, else the one that stays, should last: range, model and years."""
    new = judgement.specification is not None and judgement.meant is Decision.REPLACE
    estimate = judgement.life_planned if new else judgement.life_as_found
    if estimate is None:
        return ""
    use = plan.inspection.unit(judgement.key.unit).use_h_per_year
    whose = "" if new else "when it was new: "
    return whose + brief(estimate, use)


def board_notes(board: Board) -> list[str]:
    """Return what holds for the whole board."""
    notes = []
    if board.mark_meaning is MarkMeaning.NOT_VERIFIED:
        notes.append("What this board's silkscreen marks mean was not verified: go by the words of each step.")
    else:
        how = f" (verified: {board.verified_how})" if board.verified_how else ""
        mark = board.silkscreen_mark or "mark"
        notes.append(f"On this board the silkscreen's {mark} means {board.mark_meaning}{how}.")
    if board.height_limit_mm is not None:
        notes.append(f"Nothing on this board may stand higher than {mm(board.height_limit_mm)}.")
    return notes


def _comes_out(judgement: Judgement) -> str:
    position = judgement.position
    if Condition.MISSING in position.conditions:
        return "nothing: the place is empty"
    text = old_part(position)
    if position.marked.legible is not Legible.FULLY:
        text += f" (marking legible: {position.marked.legible})"
    return text


def _form(spec: Specification) -> tuple[str, ...]:
    notes = [f"Capacitance {window(spec)}."]
    if spec.pieces > 1:
        notes.append(f"{spec.pieces} pieces, {spec.arrangement}.")
    return tuple(notes)


def _shared_can(plan: Plan, judgement: Judgement) -> tuple[str, ...]:
    key = judgement.key
    if not key.section:
        return ()
    others = [other.key.section for other in plan.judgements if other.key[:3] == key[:3] and other.key != key]
    if not others:
        return ()
    together = ", ".join(sorted({key.section, *others}))
    return (f"One can holds sections {together}: it comes out and goes in once.",)


def _notes(judgement: Judgement) -> tuple[str, ...]:
    spec, position = judgement.specification, judgement.position
    conditions = [text for condition, text in _CONDITION_NOTES.items() if condition in position.conditions]
    own = (f"Note on the sheet: {position.note}",) if position.note else ()
    return (*judgement.fitting_notes, *(spec.notes if spec else ()), *conditions, *own)
