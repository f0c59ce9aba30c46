"""What the rules ask of one position, looked up by quantity."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from recap.model import Relation, Requirement, Strength

T = TypeVar("T")


class Asked:
    """The requirements by quantity; musts and preferences together, since a shop sells what meets both."""

    def __init__(self, requirements: Iterable[Requirement]) -> None:
        self.items = list(requirements)

    def _numbers(self, quantity: str, relation: Relation) -> list[tuple[float, Requirement]]:
        return [
            (float(item.value), item)
            for item in self.items
            if item.quantity == quantity and item.relation is relation and isinstance(item.value, int | float)
        ]

    def floor(self, quantity: str, default: T, *, musts: bool = False) -> float | T:
        """Return the largest "at least"; of the musts alone where a wish shall not narrow what may be bought."""
        found = self._numbers(quantity, Relation.AT_LEAST)
        return max((v for v, item in found if not musts or item.strength is Strength.MUST), default=default)

    def lowest(self, quantity: str) -> float | None:
        """Return the smallest "at most" of musts and wishes."""
        return min((value for value, _ in self._numbers(quantity, Relation.AT_MOST)), default=None)

    def ceiling(self, quantity: str, default: T) -> float | T:
        """Return the smallest "at most" of the musts."""
        musts = [v for v, item in self._numbers(quantity, Relation.AT_MOST) if item.strength is Strength.MUST]
        return min(musts, default=default)

    def exactly(self, quantity: str, default: T) -> float | T:
        """Return the value asked for."""
        return next((value for value, _ in self._numbers(quantity, Relation.EXACTLY)), default)

    def bound(self, quantity: str, relation: Relation) -> tuple[float | None, float | None]:
        """Return one figure with its frequency, the tightest there of musts and wishes.

        A frequency with a must goes before one with wishes, the higher before the lower: a limit at a high
        frequency comes from the circuit itself, one at 120 Hz from the kind of part.
        """
        found = [pair for pair in self._numbers(quantity, relation) if pair[1].governing]
        found.sort(key=lambda pair: (pair[1].strength is Strength.PREFER, -(pair[1].frequency_hz or 0.0)))
        if not found:
            return None, None
        frequency = found[0][1].frequency_hz
        there = [value for value, item in found if item.frequency_hz == frequency]
        return (min(there) if relation is Relation.AT_MOST else max(there)), frequency

    def choices(self, quantity: str) -> tuple[str, ...]:
        """Return what every must allows, the preferred first."""
        sets = [i for i in self.items if i.quantity == quantity and i.relation is Relation.ONE_OF]
        musts = [i.value for i in sets if i.strength is Strength.MUST and isinstance(i.value, tuple)]
        prefers = [i.value for i in sets if i.strength is Strength.PREFER and isinstance(i.value, tuple)]
        if not musts:
            return tuple(str(item) for item in prefers[0]) if prefers else ()
        allowed = [item for item in musts[0] if all(item in other for other in musts[1:])]
        first = [item for item in allowed if any(item in wish for wish in prefers)]
        return tuple(str(item) for item in (*first, *(item for item in allowed if item not in first)))
