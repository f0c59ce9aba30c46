"""What a need costs at one offer, for every need at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from recap.buying.offers import Money, Offer

NEVER = np.iinfo(np.int64).max // 4
"""Stands for a cost where an offer has too few."""


def cost_curve(offer: Offer, most: int) -> NDArray[np.int64]:
    """Return the least cost of needs of 1, 2, 3 … pieces, spares included, as far as the offer goes.

    >>> cost_curve(Offer("a", "s", "p", ((1, 30), (10, 20)), stock=12), 20).tolist()
    [30, 60, 90, 120, 150, 180, 200, 200, 200, 200, 220, 240]
    """
    limit = offer.most()
    needs = np.arange(1, int(min(most, limit)) + 1)
    share = offer.spares.share
    spares = np.maximum(-(-needs * share.numerator // share.denominator), offer.spares.least)
    wanted = np.minimum(needs + spares, int(min(limit, NEVER)))
    costs = np.full(len(needs), NEVER)
    for tier in offer.tiers(int(wanted.max(initial=1))):
        ordered = -(-np.maximum(wanted, tier.low) // offer.multiple) * offer.multiple
        costs = np.minimum(costs, np.where(ordered <= tier.high, ordered * tier.price, NEVER))
    return costs[costs < NEVER]


@dataclass(frozen=True, slots=True)
class Stretch:
    """Needs from `low` to `high` cost `fixed` and `each` a piece."""

    low: int
    high: int
    fixed: Money
    each: Money

    @property
    def cheap_below(self) -> bool:
        """Whether it would ask too little for needs below `low`, so that they must be kept out."""
        return self.each > 0 and (self.low > 1 or self.fixed < 0)


def stretches(costs: NDArray[np.int64]) -> list[Stretch]:
    """Return the straight stretches of a cost curve.

    >>> stretches(cost_curve(Offer("a", "s", "p", ((1, 30), (10, 20))), 12))
    [Stretch(low=1, high=6, fixed=0, each=30), Stretch(low=7, high=10, fixed=200, each=0), \
Stretch(low=11, high=12, fixed=0, each=20)]
    """
    steps = np.diff(costs).tolist()
    found, start = [], 0
    while start < len(costs):
        end = start
        while end < len(steps) and steps[end] == steps[start]:
            end += 1
        each = steps[start] if end > start else 0
        found.append(Stretch(start + 1, end + 1, int(costs[start]) - each * (start + 1), each))
        start = end + 1
    return found
