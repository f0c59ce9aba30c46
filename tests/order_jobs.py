"""Invented jobs of any size that behave like real ones, for tests and measurements of the optimiser."""

from __future__ import annotations

import math
import random

from recap.buying.offers import Allowed, Demand, Job, Offer, Spares, Terms, money

SELLERS = (("Arrow lane", 5.9, 60.0), ("Brook end", 4.5, None), ("Corn mill", 9.8, 90.0), ("Dale side", 12.0, 150.0))
_SPARES = Spares()


def realistic_job(demands: int, candidates: int, seed: int = 0, line_cost: float = 0.5) -> Job:
    """Return a job of so many demands, each with so many offers; neighbours in value share most of them.

    Prices grow with a part's size and fall at three to five quantities; some offers come in packs, with a minimum
    or a stock; sellers charge for delivery, most of them up to some value of goods.
    """
    chance = random.Random(seed)
    step = max(candidates // 4, 1)
    offers = [_offer(chance, number, demands * step + candidates) for number in range(demands * step + candidates)]
    wanted = []
    for number in range(demands):
        near = range(number * step, number * step + candidates)
        allowed = tuple(
            Allowed(offers[index].key, 1 if chance.random() < 0.95 else 2, money(chance.choice((0, 0, 0.5, 1.0))))
            for index in near
        )
        wanted.append(
            Demand(f"d{number:05}", chance.choice((1, 1, 2, 2, 3, 5, 8, 16)), allowed, f"value {number // 2}")
        )
    terms = tuple(
        (name, Terms(money(delivery), None if free is None else money(free))) for name, delivery, free in SELLERS
    )
    return Job(tuple(wanted), tuple(offers), terms, line_cost=money(line_cost))


def _offer(chance: random.Random, number: int, all_offers: int) -> Offer:
    price = 0.05 + 2.0 * (number / all_offers) ** 3 + math.exp(chance.gauss(-2.5, 0.8))
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
        spares=_SPARES,
    )
