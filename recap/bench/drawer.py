"""Load resistors put together from what lies in the parts drawer."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement

from recap.bench.constants import constant
from recap.units import NotAQuantity, plain, quantity, si

_ENTRY = re.compile(r"^\s*(?:(\d+)\s*[x×]\s*)?(\S+(?:\s*(?:ohm|Ω))?)\s+(\S+?\s*W)\s*$", re.IGNORECASE)
_TINY = 1e-9


@dataclass(frozen=True, slots=True)
class DrawerResistor:
    """A resistor at hand: value, rating, how many."""

    resistance_ohm: float
    rating_w: float
    pieces: int = 1


@dataclass(frozen=True, slots=True)
class Combination:
    """Resistors all in series or all in parallel, with what flows in them together."""

    members: tuple[DrawerResistor, ...]
    parallel: bool
    current_a: float

    def __str__(self) -> str:
        counts = {member: self.members.count(member) for member in self.members}
        names = [
            f"{count} × " * (count > 1) + f"{si(member.resistance_ohm, 'Ω')} {plain(member.rating_w)} W"
            for member, count in counts.items()
        ]
        joined = " + ".join(names)
        how = "" if len(self.members) == 1 else " in parallel" if self.parallel else " in series"
        return f"{joined}{how}: {si(self.current_a, 'A')}"


def read_drawer(text: str) -> tuple[DrawerResistor, ...]:
    """Return the resistors of a list such as "3 x 10ohm 5W, 47ohm 10W"; raises NotAQuantity.

    >>> read_drawer("3 x 10ohm 5W, 47ohm 10W")[0].pieces
    3
    """
    found = []
    for entry in filter(str.strip, re.split(r"[,;\n]", text)):
        match = _ENTRY.match(entry)
        if not match:
            raise NotAQuantity(f'"{entry.strip()}" is no resistor; write value and rating, such as "3 x 10ohm 5W"')
        resistance, rating = quantity(match[2], "ohm"), quantity(match[3], "watt")
        if resistance <= 0 or rating <= 0:
            raise NotAQuantity(f'"{entry.strip()}" is no resistor: value and rating must be above zero')
        found.append(DrawerResistor(resistance, rating, int(match[1] or 1)))
    return tuple(found)


def from_drawer(rail_v: float, current_a: float, drawer: Sequence[DrawerResistor], *, at_least: bool = False) -> str:
    """Return the best combination in words, or that the drawer holds none."""
    best = best_combination(rail_v, current_a, drawer, at_least=at_least)
    return str(best) if best else "nothing in the drawer carries it with margin"


def best_combination(
    rail_v: float, current_a: float, drawer: Sequence[DrawerResistor], *, at_least: bool = False
) -> Combination | None:
    """Return the combination nearest to the current on its allowed side, each member at half its rating or less.

    Of equally near ones the one with fewer resistors is taken.
    """
    allowed = constant("drawer_error")
    low, high = (1.0, 1 + allowed) if at_least else (1 - allowed, 1.0)
    fitting = [
        each
        for each in _combinations(abs(rail_v), drawer)
        if low - _TINY <= each.current_a / current_a <= high + _TINY and _within_margin(each, abs(rail_v))
    ]
    return min(
        fitting, key=lambda each: (round(abs(each.current_a / current_a - 1), 4), len(each.members)), default=None
    )


def _combinations(rail_v: float, drawer: Sequence[DrawerResistor]) -> Iterator[Combination]:
    for count in range(1, int(constant("drawer_most")) + 1):
        for members in combinations_with_replacement(drawer, count):
            if any(members.count(member) > member.pieces for member in members):
                continue
            yield Combination(members, True, sum(rail_v / member.resistance_ohm for member in members))
            if count > 1:
                yield Combination(members, False, rail_v / sum(member.resistance_ohm for member in members))


def _within_margin(combination: Combination, rail_v: float) -> bool:
    margin = constant("resistor_margin")
    for member in combination.members:
        if combination.parallel:
            power_w = rail_v**2 / member.resistance_ohm
        else:
            power_w = combination.current_a**2 * member.resistance_ohm
        if power_w * margin > member.rating_w * (1 + _TINY):
            return False
    return True
