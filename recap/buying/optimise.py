"""The cheapest order of a whole job, with the proof of how cheap any order could be.

First a relaxed job is solved: orders may be topped up with anything to the value from which delivery is free. There,
dearer offers never pay off and are left out beforehand. If its best order needs no topping up, it is the best order.
Otherwise the job is solved again as it is, and the relaxed one still bounds it from below.
"""

from __future__ import annotations

import math
import time
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace

from recap.buying.greedy import greedy
from recap.buying.offers import MILLION, Demand, Job, Money
from recap.buying.order import Order, place
from recap.buying.program import Program, program_of
from recap.buying.pruning import prune
from recap.buying.search import Search
from recap.buying.solver import Numbers, Solver

_WHOLE = 1e-6


@dataclass(frozen=True, slots=True)
class Optimum:
    """The best order found, and a bound: no order of the job costs less."""

    order: Order
    bound: Money
    over_budget: bool = False
    """Whether nothing serves the job within the budget; the order is then the cheapest without it."""
    kinds: tuple[tuple[str, int], ...] = ()
    """Values that no single part serves, with how many parts they take."""

    @property
    def gap(self) -> float:
        """How far below the cost of the order the bound lies, as a fraction."""
        objective = self.order.objective
        return (objective - self.bound) / objective if objective > self.bound else 0.0

    @property
    def proven(self) -> bool:
        """Whether no cheaper order exists."""
        return self.bound >= self.order.objective


def optimise(job: Job, seconds: float = 60.0) -> Optimum:
    """Return the cheapest order that was found within a time, and how cheap an order could be at all.

    The same job gives the same order on every run if it is proven in time.
    """
    deadline = time.monotonic() + seconds
    possible = _in_order(job)
    if job.one_kind:
        possible = _possible(possible, deadline)
    found = _solve(possible, deadline)
    if found is None and not job.one_kind:
        possible = _possible(possible, deadline)
        found = _solve(possible, deadline)
    over_budget = found is None and job.budget is not None
    if over_budget:
        found = _solve(replace(possible, budget=None), deadline)
    order, bound = found or (Order((), (), 0), 0)
    quantities = {line.offer.key: line.quantity for line in order.lines}
    whole = place(job, choice_of(order), quantities)
    assert whole is not None, "what was placed once can be placed again"
    return Optimum(whole, min(bound, whole.objective), over_budget, possible.kinds)


def choice_of(order: Order) -> dict[tuple[str, str], int]:
    """Return the places that each line serves."""
    return {(demand, line.offer.key): places for line in order.lines for demand, places in line.serves}


def _in_order(job: Job) -> Job:
    """Return the job in a fixed order, without what cannot be bought and demands that nothing serves."""
    offers = {offer.key: offer for offer in job.offers}

    def servable(demand: Demand) -> Demand:
        bought = (item for item in demand.allowed if offers[item.offer].buy(item.pieces) is not None)
        return replace(demand, allowed=tuple(sorted(bought, key=lambda item: item.offer)))

    demands = sorted(map(servable, job.demands), key=lambda demand: demand.key)
    kept = tuple(demand for demand in demands if demand.allowed and demand.places)
    used = sorted({allowed.offer for demand in kept for allowed in demand.allowed})
    return replace(job, demands=kept, offers=tuple(offers[key] for key in used), terms=tuple(sorted(job.terms)))


def _possible(job: Job, deadline: float) -> Job:
    """Return the job without the places that no order serves, with the kinds that each value must take."""
    program = program_of(replace(job, budget=None), shortage=True)
    solver = Solver(program, deadline)
    found = solver.solve(solver.lower, solver.upper)
    if found is None or found.columns is None:
        return job
    columns = found.columns
    short = {demand: round(columns[column]) for column, demand in program.unserved}
    kinds = [(value, 1 + round(columns[column])) for column, value in program.further]
    demands = (replace(demand, places=demand.places - short[demand.key]) for demand in job.demands)
    kept = tuple(demand for demand in demands if demand.places)
    return replace(job, demands=kept, kinds=tuple(sorted(kind for kind in kinds if kind[1] > 1)))


def _solve(job: Job, deadline: float) -> tuple[Order, Money] | None:
    """Return the best order and a bound; None if no order serves the whole job, or none was found in time."""
    if not job.demands:
        return Order((), (), 0), 0
    sellers = {offer.seller for offer in job.offers}
    free = {seller for seller, terms in job.terms if terms.free_from is not None and terms.delivery}
    best = greedy(job)
    found = _search(prune(job, sellers), deadline, best, top_up=True)
    if found is None:
        return None
    best, bound = _better(best, found.order), found.bound
    if found.topped_up:
        again = _search(prune(job, sellers - free), deadline, best, top_up=False)
        if again is not None:
            best, bound = _better(best, again.order), max(bound, again.bound)
    return (best, bound) if best is not None else None


@dataclass(frozen=True, slots=True)
class _Searched:
    order: Order | None
    bound: Money
    topped_up: bool


def _search(job: Job, deadline: float, known: Order | None, top_up: bool) -> _Searched | None:
    program = program_of(job, top_up=top_up)
    step = _step(job)
    cost = known.objective / MILLION if known else math.inf
    search = Search(program, deadline, cost, len(job.demands), step / MILLION)
    search.run()
    if not search.feasible:
        return None
    bound = math.ceil((search.bound * MILLION - 1) / step) * step if math.isfinite(search.bound) else 0
    if search.best is None:
        return _Searched(None, bound, topped_up=False)
    topped_up = any(search.best[column] > _WHOLE for column in program.fillers)
    return _Searched(_read(job, program, search.best), bound, topped_up)


def _step(job: Job) -> Money:
    """Return the largest step of which all costs are whole multiples."""
    prices = (price for offer in job.offers for _, price in offer.breaks)
    fees = (value for _, terms in job.terms for value in (terms.delivery, terms.free_from or 0))
    penalties = (allowed.penalty for demand in job.demands for allowed in demand.allowed)
    return math.gcd(job.line_cost, *prices, *fees, *penalties) or 1


def _read(job: Job, program: Program, columns: Numbers) -> Order | None:
    """Return the order that a solution stands for: in its quantities, or in the cheapest ones if that costs less.

    Larger quantities than the need calls for may be what makes delivery free.
    """
    choice: dict[tuple[str, str], int] = defaultdict(int)
    for column, demand, offer in program.serving:
        choice[demand, offer] += round(columns[column])
    quantities: dict[str, int] = defaultdict(int)
    for column, offer, pieces in program.ordering:
        quantities[offer] += round(columns[column]) * pieces
    # With one kind a value, a place that moves to the drawer would bring in another kind.
    drawn = choice if job.one_kind else _drawer_first(job, choice)
    orders = (place(job, drawn), place(job, drawn, quantities), place(job, choice, quantities))
    # Topped up with nothing in particular, a relaxed order may keep a budget that no real one keeps.
    kept = [order for order in orders if order is not None and (job.budget is None or order.paid <= job.budget)]
    return min(kept, key=lambda order: order.objective, default=None)


def _drawer_first(job: Job, choice: Mapping[tuple[str, str], int]) -> dict[tuple[str, str], int]:
    """Return the choice with places moved to the drawer where that costs nothing."""
    best = {pair: places for pair, places in choice.items() if places}
    order = place(job, best)
    allowed = {(demand.key, item.offer) for demand in job.demands for item in demand.allowed}
    for drawer in (offer for offer in job.offers if offer.drawer):
        for demand, offer in sorted(best):
            if offer == drawer.key or (demand, drawer.key) not in allowed:
                continue
            for places in range(best.get((demand, offer), 0), 0, -1):
                moved = dict(best)
                moved[demand, offer] -= places
                moved[demand, drawer.key] = moved.get((demand, drawer.key), 0) + places
                tried = place(job, moved)
                if order is not None and tried is not None and tried.objective <= order.objective:
                    best, order = moved, tried
                    break
    return best


def _better(one: Order | None, other: Order | None) -> Order | None:
    found = [order for order in (one, other) if order is not None]
    return min(found, key=lambda order: order.objective, default=None)
