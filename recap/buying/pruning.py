"""Offers that no cheapest order needs: another of the same seller does all that they do, for no more.

An offer is left out when another of its seller may serve every demand that it may serve, with no more pieces and
holding no more against it, and has enough for all that could ever be asked of it, at a cost that is no higher for
any need and does not rise by the piece. Whatever the first would have supplied moves to the second: two needs
bought together cost no more than apart, a line is saved where both were used, and delivery does not change unless
an order falls below the value from which it is free. Where that can happen the caller lets orders be topped up.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from recap.buying.curves import cost_curve
from recap.buying.offers import Demand, Job, Money, Offer

_FAR = 1 << 60


@dataclass(frozen=True, slots=True)
class _Use:
    """An offer with what it may serve, and its cost for every need up to the largest."""

    offer: Offer
    serves: dict[int, tuple[int, Money]]
    """Demands by their place in the job: pieces a place, and penalty."""
    costs: Sequence[Money]
    plenty: bool
    """Whether it has enough for all that could be asked of it, at prices that do not rise."""


def prune(job: Job, sellers: Collection[str]) -> Job:
    """Return the job without offers of the given sellers that another one of the same seller replaces.

    A job that wants one kind a value is returned as it is: there, another part is not the same to a line.
    """
    if job.one_kind:
        return job
    uses = _uses(job, sellers)
    serving: dict[tuple[int, str], list[_Use]] = defaultdict(list)
    for use in uses:
        for demand in use.serves:
            if use.plenty:
                serving[demand, use.offer.seller].append(use)
    dropped: set[str] = set()
    for use in uses:
        rivals = min((serving[demand, use.offer.seller] for demand in use.serves), key=len)
        if any(_replaces(rival, use) for rival in rivals if rival.offer.key not in dropped):
            dropped.add(use.offer.key)
    return _without(job, dropped)


def _uses(job: Job, sellers: Collection[str]) -> list[_Use]:
    serves: dict[str, dict[int, tuple[int, Money]]] = defaultdict(dict)
    needs: dict[str, int] = defaultdict(int)
    for place, demand in enumerate(job.demands):
        for allowed in demand.allowed:
            serves[allowed.offer][place] = (allowed.pieces, allowed.penalty)
            needs[allowed.offer] += demand.places * allowed.pieces
    return [
        _use(offer, serves[offer.key], needs[offer.key])
        for offer in job.offers
        if offer.key in serves and offer.seller in sellers and not offer.drawer
    ]


def _use(offer: Offer, serves: dict[int, tuple[int, Money]], need: int) -> _Use:
    costs = cost_curve(offer, need).tolist()
    falling = all(late <= early for (_, early), (_, late) in zip(offer.breaks, offer.breaks[1:], strict=False))
    enough = offer.most() >= offer.rounded_up(need + offer.spares.beyond(need))
    return _Use(offer, serves, costs, falling and enough)


def _replaces(rival: _Use, use: _Use) -> bool:
    if rival is use or not use.costs or not rival.costs:
        return False
    if rival.costs[0] > use.costs[0] or len(rival.serves) < len(use.serves):
        return False
    for demand, (pieces, penalty) in use.serves.items():
        theirs = rival.serves.get(demand, (_FAR, _FAR))
        if theirs[0] > pieces or theirs[1] > penalty:
            return False
    return all(theirs <= ours for theirs, ours in zip(rival.costs, use.costs, strict=False))


def _without(job: Job, dropped: Collection[str]) -> Job:
    def kept(demand: Demand) -> Demand:
        return replace(demand, allowed=tuple(item for item in demand.allowed if item.offer not in dropped))

    offers = tuple(offer for offer in job.offers if offer.key not in dropped)
    return replace(job, offers=offers, demands=tuple(kept(demand) for demand in job.demands))
