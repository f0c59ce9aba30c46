"""An order by plain sense: each demand at the offer that adds least, then again until nothing gets cheaper.

It is what a patient buyer does by hand. The search starts from it, and falls back on it when time is short.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from recap.buying.offers import Allowed, Demand, Job, Money
from recap.buying.order import Order, place

_ROUNDS = 10


def greedy(job: Job) -> Order | None:
    """Return a good order, or None where this way finds none: each demand gets one offer, never two."""
    basket = _Basket(job)
    chosen: dict[str, Allowed] = {}
    for demand in sorted(job.demands, key=lambda demand: (-demand.places, demand.key)):
        best = basket.cheapest(demand)
        if best is None:
            return None
        basket.change(demand, best, 1)
        chosen[demand.key] = best
    for _ in range(_ROUNDS):
        changed = False
        for demand in job.demands:
            basket.change(demand, chosen[demand.key], -1)
            best = basket.cheapest(demand, chosen[demand.key]) or chosen[demand.key]
            changed |= best is not chosen[demand.key]
            chosen[demand.key] = best
            basket.change(demand, best, 1)
        if not changed:
            break
    order = place(job, {(demand.key, chosen[demand.key].offer): demand.places for demand in job.demands})
    within = order is not None and (job.budget is None or order.paid <= job.budget)
    return order if within and not job.one_kind else None


class _Basket:
    """What is needed of each offer so far, and what that costs."""

    def __init__(self, job: Job) -> None:
        self.job = job
        self.offers = {offer.key: offer for offer in job.offers}
        self.terms = dict(job.terms)
        self.needs: dict[str, int] = defaultdict(int)
        self.costs: dict[str, Money] = defaultdict(int)
        self.goods: dict[str, Money] = defaultdict(int)
        self.lines: dict[str, int] = defaultdict(int)

    def change(self, demand: Demand, allowed: Allowed, sign: int) -> None:
        """Put a demand into the basket, or take it out."""
        offer = self.offers[allowed.offer]
        need = self.needs[offer.key] + sign * demand.places * allowed.pieces
        found = offer.buy(need) if need else (0, 0)
        assert found is not None, "only what can be bought is put in"
        self.lines[offer.seller] += bool(need) - bool(self.needs[offer.key])
        self.goods[offer.seller] += found[0] - self.costs[offer.key]
        self.needs[offer.key], self.costs[offer.key] = need, found[0]

    def cheapest(self, demand: Demand, present: Allowed | None = None) -> Allowed | None:
        """Return what adds least for a demand; among equals what it has at present, then the first key."""
        options = [(added, item is not present, item.offer, item) for added, item in self._added(demand)]
        return min(options, key=lambda option: option[:3])[3] if options else None

    def _added(self, demand: Demand) -> Iterator[tuple[Money, Allowed]]:
        for allowed in demand.allowed:
            offer = self.offers[allowed.offer]
            found = offer.buy(self.needs[offer.key] + demand.places * allowed.pieces)
            if found is None:
                continue
            added = found[0] - self.costs[offer.key] + allowed.penalty * demand.places
            if not self.needs[offer.key] and not offer.drawer:
                added += self.job.line_cost
            if offer.seller in self.terms and not offer.drawer:
                terms, goods = self.terms[offer.seller], self.goods[offer.seller]
                before = terms.fee(goods) if self.lines[offer.seller] else 0
                added += terms.fee(goods + found[0] - self.costs[offer.key]) - before
            yield added, allowed
