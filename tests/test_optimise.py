"""The cheapest order: against trying everything, against plain sense, and the same on every run."""

from __future__ import annotations

import random
from dataclasses import replace

import pytest
from order_jobs import realistic_job
from small_jobs import cheapest, price_of, small_job

from recap.buying.greedy import greedy
from recap.buying.offers import Allowed, Demand, Job, Offer, Terms, money
from recap.buying.optimise import Optimum, choice_of, optimise
from recap.buying.order import Order, place
from recap.buying.pruning import prune

SECONDS = 60.0


def unserved(order: Order) -> int:
    return sum(places for _, places in order.unmet)


def holds_together(job: Job, order: Order) -> None:
    """Check an order from its lines alone: prices, stocks, places, delivery and what it is charged."""
    demands = {demand.key: demand for demand in job.demands}
    terms = dict(job.terms)
    served: dict[str, int] = {}
    goods: dict[str, int] = {}
    charged = 0
    for line in order.lines:
        cost = line.quantity * 0 if line.offer.drawer else price_of(line.offer, line.quantity)
        assert cost == line.goods
        need = 0
        for key, places in line.serves:
            way = next(item for item in demands[key].allowed if item.offer == line.offer.key)
            served[key] = served.get(key, 0) + places
            need += places * way.pieces
            charged += places * way.penalty
        assert need == line.needed <= line.quantity
        assert line.offer.stock is None or line.quantity <= line.offer.stock
        if not line.offer.drawer:
            charged += job.line_cost
            goods[line.offer.seller] = goods.get(line.offer.seller, 0) + line.goods
    fees = {seller: terms.get(seller, Terms()).fee(value) for seller, value in goods.items()}
    assert dict(order.delivery) == fees
    assert order.objective == charged + sum(goods.values()) + sum(fees.values())
    assert {key: demand.places - served.get(key, 0) for key, demand in demands.items() if demand.places} == {
        key: dict(order.unmet).get(key, 0) for key, demand in demands.items() if demand.places
    }


@pytest.mark.parametrize("start", range(0, 240, 20))
def test_nothing_is_cheaper_than_the_optimum(start: int) -> None:
    for seed in range(start, start + 20):
        job = small_job(seed, short=seed % 3 == 0)
        best, tried = optimise(job, SECONDS), cheapest(job)
        assert tried is not None
        holds_together(job, best.order)
        assert unserved(best.order) == tried[0], seed
        if not tried[0]:
            assert (best.order.objective, best.proven, best.gap) == (tried[2], True, 0.0), seed
            plain = greedy(job)
            assert plain is None or plain.objective >= best.order.objective


@pytest.mark.parametrize("start", range(0, 60, 20))
def test_a_budget_is_kept_or_said_to_be_too_small(start: int) -> None:
    seen = set()
    for seed in range(start, start + 20):
        job = small_job(seed)
        free = optimise(job, SECONDS)
        if free.order.unmet or not free.order.lines:
            continue
        paid = free.order.paid
        budgeted = replace(job, budget=int(paid * random.Random(seed).choice((0.8, 0.95, 1.0))))
        tried, best = cheapest(budgeted), optimise(budgeted, SECONDS)
        whole = cheapest(job)
        possible = tried is not None and whole is not None and tried[:2] == whole[:2]
        seen.add(possible)
        assert best.over_budget is not possible, seed
        expected = tried[2] if possible and tried is not None else free.order.objective
        assert best.order.objective == expected, seed
    assert seen == {True, False}


def test_what_is_pruned_changes_no_optimum() -> None:
    dropped = 0
    for seed in range(150):
        job = small_job(seed)
        free = {seller for seller, terms in job.terms if terms.free_from is not None and terms.delivery}
        pruned = prune(job, {offer.seller for offer in job.offers} - free)
        dropped += len(job.offers) - len(pruned.offers)
        assert cheapest(pruned) == cheapest(job), seed
    assert dropped > 10


def test_the_order_of_the_input_does_not_matter() -> None:
    for seed in range(30):
        job = small_job(seed)
        chance = random.Random(seed)
        mixed = replace(
            job,
            demands=tuple(
                replace(demand, allowed=tuple(chance.sample(demand.allowed, len(demand.allowed))))
                for demand in chance.sample(job.demands, len(job.demands))
            ),
            offers=tuple(chance.sample(job.offers, len(job.offers))),
            terms=tuple(chance.sample(job.terms, len(job.terms))),
        )
        one, other = optimise(job, SECONDS), optimise(mixed, SECONDS)
        assert one.order.lines == other.order.lines
        assert one.bound == other.bound


def test_a_larger_job_is_proven_and_beats_plain_sense() -> None:
    job = realistic_job(60, 20, seed=4)
    best, plain = optimise(job, SECONDS), greedy(job)
    assert plain is not None
    holds_together(job, best.order)
    assert best.proven
    assert not best.order.unmet
    assert best.bound == best.order.objective < plain.objective
    assert optimise(job, SECONDS) == best


def test_without_time_the_best_known_comes_with_a_bound() -> None:
    job = realistic_job(60, 20, seed=4)
    hurried, best = optimise(job, 0.0), optimise(job, SECONDS)
    holds_together(job, hurried.order)
    assert not hurried.order.unmet
    assert hurried.bound <= best.order.objective <= hurried.order.objective
    assert hurried.gap > 0
    assert not hurried.proven


def offer(key: str, *breaks: tuple[int, float], seller: str = "A", **more: object) -> Offer:
    return Offer(key, seller, key, tuple((start, money(price)) for start, price in breaks), **more)  # type: ignore[arg-type]


def wants(places: int, *keys: str) -> Demand:
    return Demand("d", places, tuple(Allowed(key) for key in keys))


def bought(job: Job) -> tuple[list[tuple[str, int]], Optimum]:
    found = optimise(job, SECONDS)
    return [(line.offer.key, line.quantity) for line in found.order.lines], found


class TestByHand:
    """Orders that can be worked out on paper."""

    def test_more_pieces_cost_less(self) -> None:
        # 8 x 0.30 = 2.40, 10 x 0.20 = 2.00
        lines, found = bought(Job((wants(8, "a"),), (offer("a", (1, 0.30), (10, 0.20)),)))
        assert lines == [("a", 10)]
        assert found.order.paid == money(2.00)

    def test_delivery_is_free_from_a_value(self) -> None:
        # 9 x 1 + 5 delivery = 14; 10 x 1 = 10
        job = Job((wants(9, "a"),), (offer("a", (1, 1.0)),), (("A", Terms(money(5), money(10))),))
        lines, found = bought(job)
        assert lines == [("a", 10)]
        assert found.order.paid == money(10)

    def test_a_dearer_seller_without_delivery(self) -> None:
        # 3 x 1 + 5 = 8; 3 x 2 = 6
        offers = (offer("a", (1, 1.0)), offer("b", (1, 2.0), seller="B"))
        job = Job((wants(3, "a", "b"),), offers, (("A", Terms(money(5))),))
        assert bought(job)[0] == [("b", 3)]

    def test_a_line_less_is_worth_what_the_buyer_says(self) -> None:
        demands = (Demand("d", 1, (Allowed("a"), Allowed("c"))), Demand("e", 1, (Allowed("b"), Allowed("c"))))
        offers = (offer("a", (1, 1.0)), offer("b", (1, 1.0)), offer("c", (1, 1.2)))
        assert bought(Job(demands, offers))[0] == [("a", 1), ("b", 1)]
        assert bought(Job(demands, offers, line_cost=money(0.5)))[0] == [("c", 2)]

    def test_the_drawer_is_free_and_ends(self) -> None:
        drawer = Offer("own", "drawer", "own", ((1, 0),), stock=2, drawer=True)
        lines, found = bought(Job((wants(3, "a", "own"),), (offer("a", (1, 1.0)), drawer)))
        assert lines == [("a", 1), ("own", 2)]
        assert found.order.paid == money(1)

    def test_what_is_out_of_stock_is_said(self) -> None:
        found = bought(Job((wants(3, "a"),), (offer("a", (1, 1.0), stock=2),)))[1]
        assert dict(found.order.unmet) == {"d": 1}
        assert bought(Job((wants(3, "a"),), (offer("a", (1, 1.0), stock=0),)))[0] == []

    def test_nothing_wanted_costs_nothing(self) -> None:
        found = optimise(Job((), ()), SECONDS)
        assert (found.order.objective, found.bound, found.proven) == (0, 0, True)


def test_an_order_can_be_placed_again() -> None:
    job = realistic_job(20, 8, seed=1)
    order = optimise(job, SECONDS).order
    assert place(job, choice_of(order), {line.offer.key: line.quantity for line in order.lines}) == order
