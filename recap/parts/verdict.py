"""Demands against what parts give: point by point, then the verdict; the same for one part and for a catalogue."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recap.model import Kind, Relation, Requirement, Strength
from recap.model.check import PointVerdict, Verdict
from recap.model.requirement import Value
from recap.parts import reference
from recap.parts.catalogue import Columns, Floats
from recap.parts.place import Place, is_esr_floor
from recap.parts.points import Mask, Provided, provided

Codes = NDArray[np.int8]
POINTS = (PointVerdict.OK, PointVerdict.NOTE, PointVerdict.CANNOT_TELL, PointVerdict.FAILS)
OK, NOTE, CANNOT_TELL, FAILS = (np.int8(code) for code in range(4))
VERDICTS = (Verdict.FITS, Verdict.FITS_WITH_NOTE, Verdict.ASK, Verdict.NO)
FITS, FITS_WITH_NOTE, ASK, NO = (np.int8(code) for code in range(4))

_CLOSE = 1e-9
_CLOSE_VALUE = 1e-6


@dataclass(frozen=True, slots=True)
class Held:
    """How one demand stands for each part: a code of POINTS, and where that alone makes the answer "ask"."""

    codes: Codes
    asks: Mask
    provided: Provided


def hold(requirement: Requirement, parts: Columns, place: Place) -> Held:
    """Hold one demand against parts."""
    given = provided(requirement.quantity, requirement.frequency_hz, parts, place.conditions, place.arrangement)
    unknown, met = given.unknown, _met(requirement, given)
    must = requirement.strength is Strength.MUST
    codes = np.where(met, OK, np.where(unknown, CANNOT_TELL, FAILS if must else NOTE)).astype(np.int8)
    asks = unknown if must else np.zeros(len(parts), bool)
    if given.assumed is not None and given.assumed.any():
        # A figure usual for the class proves nothing: it reassures where it is met, and asks where it is not.
        codes = np.where(given.assumed, np.where(met, NOTE, CANNOT_TELL), codes).astype(np.int8)
        asks = asks | (given.assumed & ~met & must)
    if is_esr_floor(requirement) and not must:
        # A loop that may count on some ESR: what lies below it is a question, not a fault.
        codes = np.where(codes == NOTE, CANNOT_TELL, codes).astype(np.int8)
        asks = (~met & ~unknown) | (unknown & ~parts.word("kind").among((Kind.WET_ALUMINIUM.value,)))
    elif requirement.quantity == "kind" and not must:
        doubtful = _kind_on_condition(parts, place) & ~met & ~unknown
        codes, asks = np.where(doubtful, CANNOT_TELL, codes).astype(np.int8), doubtful
    return Held(codes, asks, given)


@dataclass
class Tally:
    """What points make together: no for a failure, else ask, else fits with a note, else fits."""

    worst: Codes
    asks: Mask

    @classmethod
    def at(cls, place: Place, size: int) -> Tally:
        """Return a tally of no points; where a place's value or rating is not known every part is a question."""
        return cls(np.zeros(size, np.int8), np.full(size, bool(place.lacking)))

    def add(self, held: Held) -> None:
        """Count one more point."""
        np.maximum(self.worst, held.codes, out=self.worst)
        self.asks |= held.asks

    def kept(self, which: Mask) -> Tally:
        """Return the tally of some of the parts."""
        return Tally(self.worst[which], self.asks[which])

    def verdicts(self) -> Codes:
        """Return the verdict of each part as a code of VERDICTS."""
        noted = np.where(self.worst > OK, FITS_WITH_NOTE, FITS)
        return np.where(self.worst == FAILS, NO, np.where(self.asks, ASK, noted)).astype(np.int8)


def verdicts(place: Place, parts: Columns) -> Codes:
    """Return the verdict of each part at a place as a code of VERDICTS."""
    tally = Tally.at(place, len(parts))
    for requirement in place.binding:
        tally.add(hold(requirement, parts, place))
    return tally.verdicts()


def _met(requirement: Requirement, given: Provided) -> Mask:
    value = requirement.value
    if given.words is not None:
        return given.words.among(str(item) for item in _choices(value))
    if requirement.relation is Relation.ONE_OF:
        return _near_one(requirement.quantity, given.values, [float(item) for item in _choices(value)])
    if not isinstance(value, int | float):
        raise TypeError(f"{requirement.quantity} {requirement.relation} needs a number, not {value!r}")
    room = abs(value) * _CLOSE
    with np.errstate(invalid="ignore"):
        if requirement.relation is Relation.AT_LEAST:
            return given.values >= value - room
        if requirement.relation is Relation.AT_MOST:
            return given.values <= value + room
        return np.abs(given.values - value) <= abs(value) * _CLOSE_VALUE


def _near_one(quantity: str, values: Floats, choices: list[float]) -> Mask:
    met = np.zeros(len(values), bool)
    for choice in choices:
        room = reference.constant("same_spacing") if quantity == "lead_spacing_mm" else abs(choice) * _CLOSE_VALUE
        met |= np.abs(values - choice) <= room + _CLOSE
    return met


def _choices(value: Value) -> tuple[float | str, ...]:
    return value if isinstance(value, tuple) else (value,)


def _kind_on_condition(parts: Columns, place: Place) -> Mask:
    """Where a kind stands in on a condition that nothing here shows to be met."""
    conditional, other_figures, _ = place.conditional_kinds
    kinds = parts.word("kind")
    doubtful = kinds.among(conditional | other_figures)
    floor = place.esr_floor
    if floor is not None and doubtful.any():
        doubtful &= kinds.among(other_figures) | (hold(floor, parts, place).codes != OK)
    return doubtful
