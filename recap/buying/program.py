"""The integer program of an order: its columns and rows.

For each offer and price step there is a column "this step is used", one for the packs ordered, and one for the
places of each demand served at that step. A place can only be served at a step that is used, and by a seller that an
order goes to: written for each demand by itself, this keeps the bound of the relaxed program close to the optimum.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field

from recap.buying.curves import Stretch, cost_curve, stretches
from recap.buying.offers import MILLION, Allowed, Demand, Job, Money, Offer, Spares, Tier

ENDLESS = math.inf
_PACK_STRETCHES = 6
"""Offers in packs whose cost curve has no more stretches than this are programmed by these: that is tighter."""
_KINDS_A_PLACE = 1000
"""A shortage weighs as much as so many further kinds."""
Entries = list[tuple[int, float]]


@dataclass
class Program:
    """Columns and rows as they are added; entries of the matrix in coordinates. No column is negative."""

    cost: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    at_row: list[int] = field(default_factory=list)
    at_column: list[int] = field(default_factory=list)
    entries: list[float] = field(default_factory=list)
    serving: list[tuple[int, str, str]] = field(default_factory=list)
    """Columns of places served, with their demand and offer."""
    ordering: list[tuple[int, str, int]] = field(default_factory=list)
    """Columns of packs ordered, with their offer and the pieces of a pack."""
    sellers: dict[str, tuple[int, ...]] = field(default_factory=dict)
    """Columns of "an order goes to this seller": with delivery paid, then with delivery free."""
    unserved: list[tuple[int, str]] = field(default_factory=list)
    """With shortage: columns of places that nothing serves, with their demand."""
    further: list[tuple[int, str]] = field(default_factory=list)
    """With shortage: columns of parts that a value takes beyond one."""
    fillers: list[int] = field(default_factory=list)
    """Columns of values that top orders up; the only ones that need not be whole."""

    def column(self, cost: Money, upper: float) -> int:
        """Add a column; costs go in as amounts of the currency."""
        self.cost.append(cost / MILLION)
        self.upper.append(upper)
        return len(self.cost) - 1

    def row(self, low: float, high: float, entries: Sequence[tuple[int, float]] = ()) -> int:
        """Add a row."""
        self.low.append(low)
        self.high.append(high)
        for column, entry in entries:
            self.add(len(self.low) - 1, column, entry)
        return len(self.low) - 1

    def add(self, row: int, column: int, entry: float) -> None:
        """Add an entry to a row."""
        self.at_row.append(row)
        self.at_column.append(column)
        self.entries.append(entry)


@dataclass(frozen=True, slots=True)
class _Wish:
    """A demand that an offer may serve, with the row that counts its places."""

    demand: Demand
    allowed: Allowed
    row: int


def program_of(job: Job, *, top_up: bool = False, shortage: bool = False) -> Program:
    """Return the program of a job.

    With `top_up` a seller's goods may be topped up with anything to the value from which delivery is free: the cost
    can only be lower, and no dearer offer can pay off by lifting an order over that value. With `shortage` the
    places that nothing serves are made fewest, then the parts beyond one a value, whatever the rest costs.
    """
    return _Builder(job, top_up, shortage).made


class _Builder:
    """Adds the parts of the program one after the other."""

    def __init__(self, job: Job, top_up: bool, shortage: bool) -> None:
        self.made = Program()
        self.job = job
        self.terms = dict(job.terms)
        self.top_up = top_up
        self.shortage = shortage
        self.paid: Entries = []
        self.goods: dict[str, Entries] = defaultdict(list)
        self.kinds: dict[tuple[str, str], list[tuple[int, int]]] = defaultdict(list)
        self.sold: dict[tuple[str, str], tuple[int, list[int]]] = {}
        wishes = self._demands()
        for seller in self.terms:
            self._seller(seller)
        for offer in job.offers:
            if offer.key in wishes:
                self._offer(offer, wishes[offer.key])
        self._only_from_sellers_in_the_order()
        for seller in self.terms:
            self._free_delivery(seller)
        self._one_kind()
        if job.budget is not None:
            self.made.row(-ENDLESS, job.budget / MILLION, self.paid)

    def _charge(self, value: Money) -> Money:
        return 0 if self.shortage else value

    def _demands(self) -> dict[str, list[_Wish]]:
        wishes: dict[str, list[_Wish]] = defaultdict(list)
        for demand in self.job.demands:
            row = self.made.row(demand.places, demand.places)
            if self.shortage:
                unserved = self.made.column(MILLION, demand.places)
                self.made.unserved.append((unserved, demand.key))
                self.made.add(row, unserved, 1)
            for allowed in demand.allowed:
                wishes[allowed.offer].append(_Wish(demand, allowed, row))
        return wishes

    def _seller(self, seller: str) -> None:
        terms = self.terms[seller]
        pays = self.made.column(self._charge(terms.delivery), 1)
        self.paid.append((pays, terms.delivery / MILLION))
        self.made.sellers[seller] = (pays,)
        if terms.free_from is not None:
            free = self.made.column(0, 1)
            self.made.row(-ENDLESS, 1, [(pays, 1), (free, 1)])
            self.made.sellers[seller] = (pays, free)

    def _free_delivery(self, seller: str) -> None:
        terms = self.terms[seller]
        if terms.free_from is not None:
            _, free = self.made.sellers[seller]
            entries = [*self.goods[seller], (free, -terms.free_from / MILLION)]
            if self.top_up:
                filler = self.made.column(self._charge(MILLION), terms.delivery / MILLION)
                self.made.fillers.append(filler)
                self.paid.append((filler, 1))
                entries.append((filler, 1))
            self.made.row(0, ENDLESS, entries)

    def _offer(self, offer: Offer, wishes: Sequence[_Wish]) -> None:
        need = sum(wish.demand.places * wish.allowed.pieces for wish in wishes)
        margin = self.terms[offer.seller].delivery if self._may_lift(offer) else 0
        curve = stretches(cost_curve(offer, need)) if offer.multiple > 1 and not margin else []
        if 0 < len(curve) <= _PACK_STRETCHES:
            steps = [self._stretch(offer, stretch, wishes) for stretch in curve]
        else:
            steps = [self._step(offer, tier, spares, wishes) for tier, spares in useful_steps(offer, need, margin)]
        sellers = self.made.sellers.get(offer.seller, ())
        entries = [*((step, 1) for step in steps), *((column, -1) for column in sellers)]
        self.made.row(-ENDLESS, 0 if sellers else 1, entries)

    def _may_lift(self, offer: Offer) -> bool:
        """Whether more goods of this offer may make its seller deliver free."""
        terms = self.terms.get(offer.seller)
        return terms is not None and terms.free_from is not None and not self.top_up

    def _step(self, offer: Offer, tier: Tier, spares: Spares, wishes: Sequence[_Wish]) -> int:
        """Add one price step of an offer; return its column "used"."""
        made, pack = self.made, offer.multiple
        used = made.column(self._charge(0 if offer.drawer else self.job.line_cost), 1)
        packs = made.column(self._charge(tier.price * pack), tier.high // pack)
        made.ordering.append((packs, offer.key, pack))
        self.paid.append((packs, tier.price * pack / MILLION))
        self.goods[offer.seller].append(self.paid[-1])
        made.row(0, ENDLESS, [(packs, pack), (used, -tier.low)])
        made.row(-ENDLESS, 0, [(packs, pack), (used, -tier.high)])
        supplies = [(made.row(0, ENDLESS, [(packs, pack), (used, -spares.least)]), 1)]
        if spares.share:
            share = spares.share
            row = made.row(0, ENDLESS, [(packs, pack * share.denominator)])
            supplies.append((row, share.denominator + share.numerator))
        covered = spares.covered(tier.high)
        served: Entries = []
        for wish in wishes:
            places = min(wish.demand.places, covered // wish.allowed.pieces)
            if places:
                column = self._serve(offer, wish, used, places)
                served.append((column, 1))
                for row, factor in supplies:
                    made.add(row, column, -factor * wish.allowed.pieces)
        if self._may_lift(offer):
            # Nothing is bought only to lift the goods to the value from which delivery is free.
            made.row(0, ENDLESS, [*served, (used, -1)])
        return used

    def _stretch(self, offer: Offer, stretch: Stretch, wishes: Sequence[_Wish]) -> int:
        """Add a stretch of an offer's cost curve; return its column "used"."""
        made = self.made
        used = made.column(self._charge(stretch.fixed + (0 if offer.drawer else self.job.line_cost)), 1)
        self.paid.append((used, stretch.fixed / MILLION))
        self.goods[offer.seller].append(self.paid[-1])
        held = [made.row(-ENDLESS, 0, [(used, -stretch.high)])]
        if stretch.cheap_below:
            held.append(made.row(0, ENDLESS, [(used, -stretch.low)]))
        for wish in wishes:
            pieces = wish.allowed.pieces
            places = min(wish.demand.places, stretch.high // pieces)
            if places:
                column = self._serve(offer, wish, used, places, stretch.each * pieces)
                for row in held:
                    made.add(row, column, pieces)
        return used

    def _serve(self, offer: Offer, wish: _Wish, used: int, places: int, price: Money = 0) -> int:
        """Add "so many places of a demand are served at this step"; it needs the step."""
        column = self.made.column(self._charge(wish.allowed.penalty + price), places)
        if price:
            self.paid.append((column, price / MILLION))
            self.goods[offer.seller].append(self.paid[-1])
        self.made.serving.append((column, wish.demand.key, offer.key))
        self.made.add(wish.row, column, 1)
        self.made.row(-ENDLESS, 0, [(column, 1), (used, -places)])
        if offer.seller in self.terms:
            self.sold.setdefault((wish.demand.key, offer.seller), (wish.demand.places, []))[1].append(column)
        if self.job.one_kind and wish.demand.value:
            self.kinds[wish.demand.value, offer.part].append((column, places))
        return column

    def _only_from_sellers_in_the_order(self) -> None:
        for (_, seller), (places, served) in self.sold.items():
            sellers = ((column, -places) for column in self.made.sellers[seller])
            self.made.row(-ENDLESS, 0, [*((column, 1) for column in served), *sellers])

    def _one_kind(self) -> None:
        """Let all demands of one value be served by one part, whoever sells it."""
        values: dict[str, Entries] = defaultdict(list)
        for (value, _), columns in self.kinds.items():
            chosen = self.made.column(0, 1)
            values[value].append((chosen, 1))
            for column, places in columns:
                self.made.row(-ENDLESS, 0, [(column, 1), (chosen, -places)])
        most = dict(self.job.kinds)
        for value, entries in values.items():
            if self.shortage:
                further = self.made.column(MILLION // _KINDS_A_PLACE, len(entries))
                self.made.further.append((further, value))
                entries.append((further, -1))
            self.made.row(-ENDLESS, most.get(value, 1), entries)


def useful_steps(offer: Offer, need: int, margin: Money) -> list[tuple[Tier, Spares]]:
    """Return the price steps that some need up to `need` may call for, each with the spares it must hold.

    A higher step is of use if the one below does not reach the largest need, or if its smallest order costs less
    than the largest one below, or up to `margin` more where the seller delivers free from some value on. Emptying
    the stock is a step without spares.
    """
    cheapest = min((price for _, price in offer.breaks if price), default=0)
    most = need + offer.spares.beyond(need)
    if margin and cheapest:
        # Whatever the smallest order of a step is, so many more may lift the goods over the value.
        smallest = max(offer.minimum, *(start for start, _ in offer.breaks))
        most = max(most, smallest) + margin // cheapest + offer.multiple
    found: list[tuple[Tier, Spares]] = []
    for tier in offer.tiers(most):
        last = found[-1][0] if found else None
        if last is None or last.high < most or tier.low * tier.price < last.high * last.price + margin:
            found.append((tier, offer.spares))
    shelf = offer.most()
    if offer.spares != Spares() and shelf < need + offer.spares.beyond(need):
        ends = [tier for tier in offer.tiers(int(shelf)) if tier.high == shelf]
        found += [(Tier(int(shelf), int(shelf), tier.price), Spares()) for tier in ends]
    return found
