"""What rules demand of a part, and how demands merge."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum

from recap.model.vocabulary import Basis
from recap.sources import cite


class Relation(StrEnum):
    """How a part's value must stand to the requirement's."""

    AT_LEAST = "at_least"
    AT_MOST = "at_most"
    EXACTLY = "exactly"
    ONE_OF = "one_of"


class Strength(StrEnum):
    """A part that misses a must does not fit; one that misses a prefer fits with a note."""

    MUST = "must"
    PREFER = "prefer"


@dataclass(frozen=True, slots=True)
class Input:
    """One input of a reason: its name, its value as text with unit, and where it came from."""

    name: str
    value: str
    basis: Basis

    def __str__(self) -> str:
        return f"{self.name} {self.value} ({self.basis})"


@dataclass(frozen=True, slots=True)
class Reason:
    """Why: kept as data, rendered when asked."""

    inputs: tuple[Input, ...]
    operation: str
    result: str
    rule: str
    source: str

    def __str__(self) -> str:
        """Render in the fixed form inputs → operation → result → rule → source."""
        inputs = ", ".join(str(item) for item in self.inputs) or "no input needed"
        return f"{inputs} → {self.operation} → {self.result} → {self.rule} → {cite(self.source)}"


Value = float | str | tuple[float, ...] | tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Requirement:
    """One demand on one quantity of a part; `frequency_hz` binds ripple and ESR to their test frequency."""

    quantity: str
    relation: Relation
    value: Value
    unit: str
    strength: Strength
    reason: Reason
    basis: Basis
    frequency_hz: float | None = None
    governing: bool = False

    @property
    def rule(self) -> str:
        """The id of the rule that made it."""
        return self.reason.rule

    @property
    def source(self) -> str:
        """The source of that rule."""
        return self.reason.source


@dataclass(frozen=True, slots=True)
class NotAssessed:
    """A check that could not be made, and the inputs that are missing."""

    rule: str
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Two demands that no part can meet together."""

    quantity: str
    rules: tuple[str, str]
    text: str


def mark_governing(
    requirements: Iterable[Requirement],
) -> tuple[tuple[Requirement, ...], tuple[Contradiction, ...]]:
    """Mark the governing demand of each quantity, relation and strength; report those that exclude each other.

    The largest "at least" and the smallest "at most" govern; the first of equals does, so that the order of
    the rules decides and the outcome does not depend on the order of the positions.
    """
    items = list(requirements)
    groups: dict[tuple[str, Relation, Strength, float | None], list[int]] = {}
    for index, item in enumerate(items):
        groups.setdefault((item.quantity, item.relation, item.strength, item.frequency_hz), []).append(index)
    for (_, relation, _, _), members in groups.items():
        best = members[0]
        for index in members[1:]:
            if _tighter(items[index], items[best], relation):
                best = index
        items[best] = replace(items[best], governing=True)
    return tuple(items), tuple(_contradictions(items))


def _tighter(item: Requirement, other: Requirement, relation: Relation) -> bool:
    if relation is Relation.AT_LEAST:
        return _number(item) > _number(other)
    if relation is Relation.AT_MOST:
        return _number(item) < _number(other)
    if relation is Relation.ONE_OF:
        return len(_choices(item)) < len(_choices(other))
    return False


def _contradictions(items: list[Requirement]) -> Iterable[Contradiction]:
    musts = [item for item in items if item.governing and item.strength is Strength.MUST]
    floors = {(i.quantity, i.frequency_hz): i for i in musts if i.relation is Relation.AT_LEAST}
    ceilings = {(i.quantity, i.frequency_hz): i for i in musts if i.relation is Relation.AT_MOST}
    for place, floor in floors.items():
        ceiling = ceilings.get(place)
        if ceiling is not None and _number(floor) > _number(ceiling):
            text = f"{floor.reason.result} against {ceiling.reason.result}"
            yield Contradiction(floor.quantity, (floor.rule, ceiling.rule), text)
    choices: dict[str, list[Requirement]] = {}
    for item in items:
        if item.relation is Relation.ONE_OF and item.strength is Strength.MUST:
            choices.setdefault(item.quantity, []).append(item)
    for quantity, members in choices.items():
        allowed = set(_choices(members[0]))
        for member in members[1:]:
            if not allowed & set(_choices(member)):
                text = f"{members[0].reason.result} against {member.reason.result}"
                yield Contradiction(quantity, (members[0].rule, member.rule), text)
            allowed &= set(_choices(member))


def _number(item: Requirement) -> float:
    if not isinstance(item.value, int | float):
        raise TypeError(f"{item.quantity} {item.relation} needs a number, not {item.value!r}")
    return float(item.value)


def _choices(item: Requirement) -> tuple[float | str, ...]:
    return item.value if isinstance(item.value, tuple) else (item.value,)
