"""An order that a job may place, and what it costs, worked out in whole numbers from quantities alone."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from recap.buying.offers import Allowed, Demand, Job, Money, Offer

Choice = Mapping[tuple[str, str], int]
"""Places of a demand served by an offer, by the keys of both."""


@dataclass(frozen=True, slots=True)
class Bought:
    """One line of an order."""

    offer: Offer
    quantity: int
    needed: int
    price: Money
    serves: tuple[tuple[str, int], ...]
    """Demands with the places served."""

    @property
    def goods(self) -> Money:
        """What the pieces cost."""
        return self.quantity * self.price


@dataclass(frozen=True, slots=True)
class Order:
    """What is bought, what it costs, and what could not be had."""

    lines: tuple[Bought, ...]
    delivery: tuple[tuple[str, Money], ...]
    """Sellers in the order with their delivery."""
    valued: Money
    """What the buyer holds against the lines and parts chosen: line costs and penalties. Not paid."""
    unmet: tuple[tuple[str, int], ...] = ()
    """Demands with the places that nothing serves."""

    @property
    def goods(self) -> Money:
        """What all pieces cost."""
        return sum(line.goods for line in self.lines)

    @property
    def paid(self) -> Money:
        """Goods and delivery."""
        return self.goods + sum(fee for _, fee in self.delivery)

    @property
    def objective(self) -> Money:
        """What was made smallest: what is paid, and what the buyer holds against the choice."""
        return self.paid + self.valued


def place(job: Job, choice: Choice, quantities: Mapping[str, int] | None = None) -> Order | None:
    """Return the order for a choice, each line at its cheapest quantity; None where an offer has too few.

    `quantities` names other ones for some offers, as when dearer goods make delivery free; one that does not hold
    the need with its spares is passed over.
    """
    offers = {offer.key: offer for offer in job.offers}
    demands = {demand.key: demand for demand in job.demands}
    serves: dict[str, list[tuple[str, int]]] = defaultdict(list)
    for (demand, key), places in sorted(choice.items()):
        if places:
            serves[key].append((demand, places))
    lines = []
    for key in sorted(serves):
        line = _line(offers[key], serves[key], demands, (quantities or {}).get(key))
        if line is None:
            return None
        lines.append(line)
    return Order(tuple(lines), _delivery(job, lines), _valued(job, lines, demands), _unmet(job, choice))


def _line(
    offer: Offer, serves: Iterable[tuple[str, int]], demands: Mapping[str, Demand], wanted: int | None
) -> Bought | None:
    served = tuple(serves)
    needed = sum(places * _allowed(demands[key], offer).pieces for key, places in served)
    found = offer.buy(needed)
    if found is None:
        return None
    cost, quantity = found
    price = offer.price(wanted) if wanted is not None else None
    if wanted is not None and price is not None and wanted >= min(needed + offer.spares.beyond(needed), quantity):
        return Bought(offer, wanted, needed, price, served)
    return Bought(offer, quantity, needed, cost // quantity, served)


def _allowed(demand: Demand, offer: Offer) -> Allowed:
    return next(allowed for allowed in demand.allowed if allowed.offer == offer.key)


def _delivery(job: Job, lines: Iterable[Bought]) -> tuple[tuple[str, Money], ...]:
    terms = dict(job.terms)
    goods: dict[str, Money] = defaultdict(int)
    for line in lines:
        if not line.offer.drawer:
            goods[line.offer.seller] += line.goods
    return tuple((seller, terms[seller].fee(goods[seller]) if seller in terms else 0) for seller in sorted(goods))


def _valued(job: Job, lines: Iterable[Bought], demands: Mapping[str, Demand]) -> Money:
    total = 0
    for line in lines:
        total += 0 if line.offer.drawer else job.line_cost
        for key, places in line.serves:
            total += _allowed(demands[key], line.offer).penalty * places
    return total


def _unmet(job: Job, choice: Choice) -> tuple[tuple[str, int], ...]:
    served: dict[str, int] = defaultdict(int)
    for (demand, _), places in choice.items():
        served[demand] += places
    missing = ((demand.key, demand.places - served[demand.key]) for demand in job.demands)
    return tuple((key, places) for key, places in missing if places)
