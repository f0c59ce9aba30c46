"""Every position against every part, by the same functions as the check of one part.

Positions that ask for the same share one pass. Within a pass the catalogue is cut down to the parts whose value
lies in the window, then demand by demand, so that costly ones are worked out for few parts.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from recap.model import Judgement, PositionKey, Relation, Requirement, Strength
from recap.parts.catalogue import Catalogue, Rows
from recap.parts.place import PARALLEL, SERIES, Place, places_of
from recap.parts.verdict import FAILS, Codes, Tally, hold

_CLOSE = 1e-9
_COSTLY = ("ripple_current_a", "esr_ohm", "endurance_h", "estimated_life_h")
"""Demands that are looked at last, the costliest at the end."""


@dataclass(frozen=True)
class Candidates:
    """The parts that may go to positions which ask for the same: rows of the catalogue with their verdicts.

    Ordered by verdict, then by row. Parts that fail are not among them, nor any without a capacitance.
    """

    place: Place
    keys: tuple[PositionKey, ...]
    """The positions, in the order of the inspection; one that stands for several pieces appears once."""
    counts: tuple[int, ...]
    """How many such places each position stands for."""
    rows: Rows
    verdicts: Codes

    @property
    def pieces(self) -> int:
        """Parts that one place takes."""
        return self.place.pieces

    @property
    def needed(self) -> int:
        """Parts that all the positions take together."""
        return sum(self.counts) * self.pieces


def candidates(judgements: Iterable[Judgement], catalogue: Catalogue) -> list[Candidates]:
    """Return the candidates of every position, positions that ask for the same together, in the order given.

    A position that may take a pair instead of one part is in two entries, told apart by `place.arrangement`.
    """
    groups: dict[tuple[object, ...], tuple[Place, list[Judgement]]] = {}
    for judgement in judgements:
        for place in places_of(judgement):
            groups.setdefault(place.same, (place, []))[1].append(judgement)
    found = []
    for place, members in groups.values():
        rows, codes = matching(place, catalogue)
        keys = tuple(judgement.key for judgement in members)
        found.append(Candidates(place, keys, tuple(j.position.quantity for j in members), rows, codes))
    return found


def matching(place: Place, catalogue: Catalogue) -> tuple[Rows, Codes]:
    """Return the rows that do not fail at a place, with their verdicts; best first, then by row.

    Nothing is proposed where the value that belongs there is not known.
    """
    if "capacitance_f" in place.lacking:
        return np.empty(0, np.int64), np.empty(0, np.int8)
    selection = catalogue.rows(_in_window(place, catalogue))
    tally = Tally.at(place, len(selection))
    for requirement in sorted(place.binding, key=_cost):
        if not len(selection):
            break
        tally.add(hold(requirement, selection, place))
        kept = tally.worst != FAILS
        if not kept.all():
            selection, tally = selection.kept(kept), tally.kept(kept)
    codes = tally.verdicts()
    order = np.lexsort((selection.chosen, codes))
    return selection.chosen[order], codes[order]


def nearest_misses(place: Place, catalogue: Catalogue, most: int = 3) -> list[tuple[int, tuple[Requirement, ...]]]:
    """Return the rows that fail on the fewest musts, each with the demands that it fails; for places with no part."""
    musts = [item for item in place.binding if item.strength is Strength.MUST]
    wide = catalogue.rows(_in_window(place, catalogue, slack=2.0))
    if not len(wide):
        return []
    failed = np.stack([hold(item, wide, place).codes == FAILS for item in musts], axis=1)
    order = np.lexsort((wide.chosen, failed.sum(axis=1)))[:most]
    return [
        (int(wide.chosen[row]), tuple(item for item, bad in zip(musts, failed[row], strict=True) if bad))
        for row in order
    ]


def undominated(rows: Rows, costs: Sequence[np.ndarray], goods: Sequence[np.ndarray]) -> Rows:
    """Return the rows that no other row beats: none with every cost at most and every good at least as much.

    Contract for the one who orders: give as costs whatever an order pays for (unit prices at the quantities that may
    be bought, minimum quantity, multiple, verdict), as goods whatever it may run out of or value (stock). A row is
    left out only for one that is no worse in all of these and better in one, or equal in all and earlier; so some
    cheapest order uses only what is returned, as long as all rows may serve the same positions and come from one
    seller. Unknown figures (NaN) are compared with nothing: such a row is kept.
    """
    if len(rows) < 2:
        return rows
    table = np.stack([*costs, *(-np.asarray(good, float) for good in goods)], axis=1).astype(float)
    order = np.lexsort((rows, *table.T[::-1]))
    kept: list[int] = []
    for row in order:
        mine = table[row]
        if np.isnan(mine).any() or not any((table[other] <= mine).all() for other in kept):
            kept.append(int(row))
    return np.asarray(rows[np.sort(np.array(kept))])


def _in_window(place: Place, catalogue: Catalogue, slack: float = 1.0) -> Rows:
    """Return the rows whose capacitance meets the demands on it that must be met, by the sorted column."""
    low, high = 0.0, np.inf
    for item in place.binding:
        if item.quantity == "capacitance_f" and item.strength is Strength.MUST and isinstance(item.value, int | float):
            if item.relation in (Relation.AT_LEAST, Relation.EXACTLY):
                low = max(low, float(item.value))
            if item.relation in (Relation.AT_MOST, Relation.EXACTLY):
                high = min(high, float(item.value))
    scale = {PARALLEL: 0.5, SERIES: 2.0}.get(place.arrangement, 1.0)
    ordered = catalogue.by_capacitance
    values = catalogue.sorted_capacitance
    start = np.searchsorted(values, low * scale / slack * (1 - 2 * _CLOSE), side="left")
    known = np.searchsorted(values, np.inf, side="right") if np.isinf(high) else None
    end = known if known is not None else np.searchsorted(values, high * scale * slack * (1 + 2 * _CLOSE), side="right")
    return np.sort(ordered[start:end])


def _cost(requirement: Requirement) -> tuple[bool, int]:
    """What may rule a part out comes before what only makes a note, quick before slow."""
    name = requirement.quantity
    return requirement.strength is Strength.PREFER, _COSTLY.index(name) + 1 if name in _COSTLY else 0
