"""A position as a part meets it: its demands, its conditions, and how many pieces it takes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cached_property

from recap.model import Conditions, Judgement, Relation, Requirement, Strength
from recap.parts import reference

SINGLE, PARALLEL, SERIES = "single", "two in parallel", "two in series"
ARRANGEMENTS = (SINGLE, PARALLEL, SERIES)


@dataclass(frozen=True)
class Place:
    """Everything that decides whether a part may go to a position; positions with equal places share one answer."""

    requirements: tuple[Requirement, ...]
    conditions: Conditions
    original_kind: str
    role: str
    arrangement: str = SINGLE

    @property
    def pieces(self) -> int:
        """How many parts the position takes."""
        return 1 if self.arrangement == SINGLE else 2

    @cached_property
    def binding(self) -> tuple[Requirement, ...]:
        """The demands that decide: where one of a kind is met, those that it governs are met as well."""
        kept = {
            _plain(item): item
            for item in self.requirements
            if item.governing or item.relation in (Relation.ONE_OF, Relation.EXACTLY)
        }
        return tuple(kept.values())

    @cached_property
    def lacking(self) -> tuple[str, ...]:
        """Value and rating where nothing is known to demand of them: no part can be said to fit there."""
        musts = {item.quantity for item in self.requirements if item.strength is Strength.MUST}
        needed = (("capacitance_f",), ("rated_voltage_v", "ac_voltage_v"))
        return tuple(names[0] for names in needed if musts.isdisjoint(names))

    @cached_property
    def esr_floor(self) -> Requirement | None:
        """The demand that the ESR be no less, where a loop counts on it."""
        return next((item for item in self.binding if is_esr_floor(item)), None)

    @cached_property
    def conditional_kinds(self) -> tuple[frozenset[str], frozenset[str], str]:
        """Kinds that stand in on a condition, those of them that need other figures, and the condition."""
        return reference.conditional_kinds(self.original_kind, self.role)

    @cached_property
    def same(self) -> tuple[object, ...]:
        """What is equal for places at which every part gets the same verdict."""
        c = self.conditions
        return (
            tuple(sorted((_plain(item) for item in self.binding), key=repr)),
            c.ambient_temperature_c, c.working_voltage_v, c.ripple_current_a, c.ripple_frequency_hz,
            c.endurance_temperature_c, self.conditional_kinds, self.arrangement, self.lacking,
        )  # fmt: skip


def is_esr_floor(item: Requirement) -> bool:
    """Return whether a demand is that the ESR be no less."""
    return item.quantity == "esr_ohm" and item.relation is Relation.AT_LEAST


def _plain(item: Requirement) -> tuple[object, ...]:
    return item.quantity, str(item.relation), item.value, item.strength is Strength.MUST, item.frequency_hz


def place_of(judgement: Judgement, arrangement: str = SINGLE) -> Place:
    """Return a judged position as a place."""
    position = judgement.position
    return Place(
        judgement.requirements,
        judgement.conditions or Conditions(ambient_temperature_c=float("nan")),
        str(position.body.kind),
        str(position.role),
        arrangement,
    )


def places_of(judgement: Judgement) -> tuple[Place, ...]:
    """Return a position's places: one part, and the pair where its specification asks for one."""
    specification = judgement.specification
    single = place_of(judgement)
    if specification is None or specification.arrangement == SINGLE:
        return (single,)
    return single, place_of(judgement, specification.arrangement)


def arrangements_of(judgements: Iterable[Judgement]) -> set[str]:
    """Return the arrangements that some position may take."""
    return {place.arrangement for judgement in judgements for place in places_of(judgement)}
