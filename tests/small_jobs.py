"""Small random jobs, and their cheapest orders found by trying everything: written apart from what it checks."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator, Mapping
from fractions import Fraction
from functools import cache
from math import ceil

from recap.buying.offers import Allowed, Demand, Job, Offer, Spares, Terms

MOST = 30
"""No order of one offer is larger; small jobs need no more."""


def small_job(seed: int, *, short: bool = False) -> Job:
    """Return a job with everything that makes orders hard; with `short` stocks may not suffice."""
    chance = random.Random(seed)
    sellers = ["A", "B", "C"][: chance.randint(1, 3)]
    offers = [_offer(chance, number, chance.choice(sellers), short) for number in range(chance.randint(2, 5))]
    if chance.random() < 0.4:
        stock = chance.randint(1, 3)
        offers.append(Offer("drawer", "drawer", "own", ((1, 0),), stock=stock, drawer=True))
    demands = []
    for number in range(chance.randint(1, 3)):
        able = chance.sample(offers, chance.randint(1, min(3, len(offers))))
        if not short and all(offer.stock is not None for offer in able):
            able[0] = next((o for o in offers if o.stock is None), able[0])
        ways = {
            offer.key: Allowed(offer.key, chance.choice((1, 1, 1, 2)), 1000 * chance.choice((0, 0, 150, 400)))
            for offer in able
        }
        demands.append(Demand(f"d{number}", chance.randint(1, 3), tuple(ways.values()), chance.choice(("x", "y"))))
    terms = tuple(
        (seller, Terms(1000 * chance.choice((0, 300, 900)), chance.choice((None, None, 800_000, 2_000_000))))
        for seller in sellers
        if chance.random() < 0.8
    )
    return Job(
        tuple(demands),
        tuple(offers),
        terms,
        line_cost=1000 * chance.choice((0, 50, 500)),
        one_kind=chance.random() < 0.2,
    )


def _offer(chance: random.Random, number: int, seller: str, short: bool) -> Offer:
    price = 1000 * chance.randint(40, 400)
    starts = sorted(chance.sample(range(2, 9), chance.randint(0, 2)))
    breaks = [(1, price)]
    for start in starts:
        # Now and then more pieces cost more each, as in real lists.
        price = int(price * chance.choice((0.5, 0.8, 0.9, 1.1))) // 100 * 100
        breaks.append((start, price))
    stock = chance.choice((None, None, 2, 4, 7)) if short or number else None
    share, least = chance.choice(((0, 0), (0, 0), (0, 1), (Fraction(1, 10), 1), (Fraction(1, 2), 0)))
    return Offer(
        f"{seller}{number}",
        seller,
        f"part {chance.randint(1, 3)}",
        tuple(breaks),
        minimum=chance.choice((1, 1, 1, 2, 5)),
        multiple=chance.choice((1, 1, 1, 2, 3)),
        stock=stock,
        spares=Spares(Fraction(share), least),
    )


def price_of(offer: Offer, quantity: int) -> int | None:
    """Return what a quantity costs in all, None where nobody sells it so."""
    if quantity < max(offer.minimum, offer.breaks[0][0]) or quantity % offer.multiple:
        return None
    if offer.stock is not None and quantity > offer.stock:
        return None
    return quantity * [price for start, price in offer.breaks if start <= quantity][-1]


def quantities(offer: Offer, need: int) -> Iterator[tuple[int, int]]:
    """Yield every quantity that holds a need with its spares, with what it costs; the whole stock where it ends."""
    spare = max(ceil(offer.spares.share * need), offer.spares.least)
    sold = [q for q in range(1, MOST + 1) if price_of(offer, q) is not None]
    enough = [q for q in sold if q >= need + spare]
    stock = offer.stock if offer.stock is not None else MOST
    # Without enough for the spares all that is sold of the stock is taken.
    whole = stock // offer.multiple * offer.multiple
    if not enough and whole >= need and whole in sold:
        enough = [whole]
    for quantity in enough:
        cost = price_of(offer, quantity)
        assert cost is not None
        yield quantity, cost


def cheapest(job: Job) -> tuple[int, int, int] | None:
    """Return places unserved, parts beyond one a value, and the least that the job is charged, in this order of worth.

    With a budget only orders that keep it count; None where there is none.
    """
    offers = {offer.key: offer for offer in job.offers}
    terms = dict(job.terms)

    @cache
    def seller_cost(needs: tuple[tuple[str, int], ...]) -> int | None:
        options = [list(quantities(offers[key], need)) for key, need in needs]
        seller = terms.get(offers[needs[0][0]].seller, Terms())
        costs = []
        for chosen in itertools.product(*options):
            goods = sum(cost for _, cost in chosen)
            free = seller.free_from is not None and goods >= seller.free_from
            costs.append(goods + (0 if free else seller.delivery))
        return min(costs, default=None)

    best: tuple[int, int, int] | None = None
    for served in itertools.product(*(list(_splits(demand)) for demand in job.demands)):
        needs: dict[str, int] = {}
        valued = unserved = 0
        parts: dict[str, set[str]] = {}
        for demand, split in zip(job.demands, served, strict=True):
            unserved += demand.places - sum(split.values())
            for allowed in demand.allowed:
                places = split.get(allowed.offer, 0)
                if places:
                    needs[allowed.offer] = needs.get(allowed.offer, 0) + places * allowed.pieces
                    valued += places * allowed.penalty
                    parts.setdefault(demand.value, set()).add(offers[allowed.offer].part)
        paid = 0
        possible = True
        for seller in {offers[key].seller for key in needs}:
            here = tuple(sorted((key, need) for key, need in needs.items() if offers[key].seller == seller))
            drawer = offers[here[0][0]].drawer
            cost = seller_cost(here)
            possible &= cost is not None
            paid += cost or 0
            valued += 0 if drawer else job.line_cost * len(here)
        if not possible or (job.budget is not None and paid > job.budget):
            continue
        further = sum(len(each) - 1 for each in parts.values()) if job.one_kind else 0
        found = (unserved, further, paid + valued)
        best = found if best is None else min(best, found)
    return best


def _splits(demand: Demand) -> Iterator[Mapping[str, int]]:
    """Yield every way to serve up to all places of a demand by what is allowed."""
    ranges = [range(demand.places + 1) for _ in demand.allowed]
    for counts in itertools.product(*ranges):
        if sum(counts) <= demand.places:
            yield {item.offer: count for item, count in zip(demand.allowed, counts, strict=True)}
