"""Invented jobs of any size that behave like real ones, for tests and measurements of the optimiser."""

from __future__ import annotations

import math
import random
from fractions import Fraction

from recap.buying.offers import Allowed, Demand, Job, Offer, Spares, Terms, money

SELLERS = (("Arrow lane", 5.9, 60.0), ("Brook end", 4.5, None), ("Corn mill", 9.8, 90.0), ("Dale side", 12.0, 150.0))
_SPARES = Spares(Fraction(1, 10), 1)
_DEMANDS_A_VALUE = 8


def realistic_job(demands: int, candidates: int, seed: int = 0, line_cost: float = 0.5) -> Job:
    """Return a job of so many demands, each with about so many offers.

    As in catalogues, offers belong to a value; there they differ in rating and size, and a demand takes those of at
    least its rating and at most its size, some with a note. Prices grow with value, rating and size and fall at three
    to five quantities; some offers come in packs, with a minimum or a stock; sellers charge for delivery, most of
    them up to some value of goods.
    """
    chance = random.Random(seed)
    values = max(demands // _DEMANDS_A_VALUE, 1)
    offers: list[Offer] = []
    wanted: list[Demand] = []
    for value in range(values):
        here = []
        for _ in range(candidates * 2):
            rating, size = chance.randrange(8), chance.randrange(6)
            offer = _offer(chance, len(offers), 0.02 * (1 + value / values * 20) * (1 + 0.15 * rating + 0.1 * size))
            offers.append(offer)
            here.append((rating, size, offer.key))
        for _ in range(demands // values + (value < demands % values)):
            places = chance.choice((1, 1, 2, 2, 3, 5, 8, 16))
            allowed = _allowed(chance, here, candidates)
            wanted.append(Demand(f"d{len(wanted):05}", places, allowed, f"value {value}"))
    terms = tuple(
        (name, Terms(money(delivery), None if free is None else money(free))) for name, delivery, free in SELLERS
    )
    return Job(tuple(wanted), tuple(offers), terms, line_cost=money(line_cost))


def _allowed(chance: random.Random, here: list[tuple[int, int, str]], candidates: int) -> tuple[Allowed, ...]:
    """Return the offers of at least a rating and at most a size, as many as asked for, the nearest first."""
    rating, size = chance.randrange(4), chance.randrange(3, 6)
    able = sorted((abs(r - rating) + abs(s - size), r, s, key) for r, s, key in here if r >= rating and s <= size)
    able += sorted((9, r, s, key) for r, s, key in here if (r < rating or s > size) and len(able) < candidates)
    pieces = 1 if chance.random() < 0.95 else 2
    return tuple(Allowed(key, pieces, money(0.5 * (chance.random() < 0.2))) for _, _, _, key in able[:candidates])


def _offer(chance: random.Random, number: int, price: float) -> Offer:
    price *= math.exp(chance.gauss(0, 0.4))
    breaks, start = [(1, money(round(price, 3)))], 1
    for _ in range(chance.randint(2, 4)):
        start *= chance.choice((5, 10))
        price *= chance.uniform(0.7, 0.95)
        breaks.append((start, money(round(price, 3))))
    seller = chance.choices(SELLERS, (5, 3, 3, 1))[0][0]
    return Offer(
        f"o{number:06}",
        seller,
        f"part {number}",
        tuple(breaks),
        minimum=chance.choice((1, 1, 1, 1, 1, 5, 10)),
        multiple=chance.choice((1, 1, 1, 1, 1, 5)),
        stock=None if chance.random() < 0.3 else int(math.exp(chance.gauss(5, 2))),
        spares=_SPARES if chance.random() < 0.7 else Spares(),
    )
