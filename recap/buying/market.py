"""The job of an order: which positions want the same, which offers may serve them, and on what terms."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

import numpy as np

from recap.buying.offers import Allowed, Demand, Job, Money, Offer, Spares, money
from recap.buying.terms import Buyer, folded
from recap.model import Judgement, PositionKey
from recap.parts.catalogue import Catalogue, Rows
from recap.parts.match import matching
from recap.parts.place import Place, places_of
from recap.parts.verdict import ASK, OK, hold
from recap.problem_codes import report
from recap.problems import Location, Problem
from recap.units import farads

DRAWER = "your own drawer"


@dataclass(frozen=True, slots=True)
class Way:
    """One offer at one demand: how many pieces a place takes, and the quantities on which it fits only with a note."""

    row: int
    pieces: int
    verdict: int
    noted: frozenset[str]


@dataclass(frozen=True)
class Want:
    """Positions that want the same, with how many places each stands for, and all that may serve them."""

    key: str
    places: tuple[Place, ...]
    judgements: tuple[Judgement, ...]
    ways: Mapping[str, Way]
    unproven: int
    """Parts that leave a question about a must."""

    @property
    def positions(self) -> tuple[tuple[PositionKey, int], ...]:
        """The positions with the places that each stands for."""
        return tuple((judgement.key, judgement.position.quantity) for judgement in self.judgements)

    @property
    def count(self) -> int:
        """All places together."""
        return sum(quantity for _, quantity in self.positions)


@dataclass(frozen=True)
class Market:
    """What is wanted and what is offered."""

    catalogue: Catalogue
    buyer: Buyer
    currency: str
    wants: Mapping[str, Want]
    offers: Mapping[str, tuple[Offer, int]]
    """Offers with their rows of the catalogue."""
    problems: tuple[Problem, ...] = ()

    def job(self, ways: Mapping[str, Mapping[str, Way]] | None = None, free_notes: Iterable[str] = ()) -> Job:
        """Return the job, with other ways where they are given; notes on some quantities may count for nothing."""
        ignored = frozenset(free_notes)
        demands = tuple(
            self._demand(want, ways.get(key, {}) if ways is not None else want.ways, ignored)
            for key, want in self.wants.items()
        )
        used = {allowed.offer for demand in demands for allowed in demand.allowed}
        return Job(
            demands=demands,
            offers=tuple(offer for key, (offer, _) in self.offers.items() if key in used),
            terms=tuple((name, self.buyer.sellers[folded(name)]) for name in self.sellers if self.terms_known(name)),
            line_cost=self.buyer.line_cost,
            budget=self.buyer.budget,
            one_kind=self.buyer.one_kind,
        )

    @property
    def sellers(self) -> tuple[str, ...]:
        """Everybody who offers something."""
        return tuple(sorted({offer.seller for offer, _ in self.offers.values() if not offer.drawer}))

    def terms_known(self, seller: str) -> bool:
        """Return whether the buyer's terms name the seller."""
        return folded(seller) in self.buyer.sellers

    def _demand(self, want: Want, ways: Mapping[str, Way], ignored: frozenset[str]) -> Demand:
        allowed = tuple(Allowed(key, way.pieces, self._penalty(key, way, ignored)) for key, way in ways.items())
        spec = want.judgements[0].specification
        value = f"{farads(spec.capacitance_f)} {spec.mounting} {spec.kinds[0]}" if spec is not None else ""
        return Demand(want.key, want.count, allowed, value)

    def _penalty(self, key: str, way: Way, ignored: frozenset[str]) -> Money:
        offer, row = self.offers[key]
        if offer.drawer and self.buyer.drawer_first:
            return 0
        cost = self.buyer.note_cost * len(way.noted - ignored)
        preferred = offer.drawer or self.buyer.prefers(self.catalogue.word("maker").at(row), offer.seller)
        return cost + (0 if preferred else self.buyer.not_preferred_cost)


def market_of(judgements: Sequence[Judgement], catalogue: Catalogue, buyer: Buyer) -> Market:
    """Return what the judgements want and what the catalogue has for it."""
    groups: dict[tuple[object, ...], list[Judgement]] = {}
    for judgement in judgements:
        groups.setdefault(tuple(place.same for place in places_of(judgement)), []).append(judgement)
    matched = [(members, _matched(places_of(members[0]), catalogue)) for members in groups.values()]
    rows = np.unique(np.concatenate([np.empty(0, np.int64), *(rows for _, found in matched for _, rows, _ in found)]))
    stall = _Stall(catalogue, buyer, rows)
    wants = {}
    for members, found in matched:
        key = str(members[0].key)
        ways: dict[str, Way] = {}
        unproven = 0
        for place, serving, codes in found:
            unproven += int((codes == ASK).sum())
            for name, way in _ways(place, serving, codes, stall):
                ways.setdefault(name, way)
        wants[key] = Want(key, tuple(place for place, _, _ in found), tuple(members), ways, unproven)
    used = {name for want in wants.values() for name in want.ways}
    offers = {name: entry for name, entry in stall.offers.items() if name in used}
    return Market(catalogue, buyer, stall.currency, wants, offers, tuple(stall.problems))


def _matched(places: Iterable[Place], catalogue: Catalogue) -> list[tuple[Place, Rows, np.ndarray]]:
    return [(place, *matching(place, catalogue)) for place in places]


def _ways(place: Place, rows: Rows, codes: np.ndarray, stall: _Stall) -> Iterable[tuple[str, Way]]:
    """Yield the offers that may serve a place, with the points on which each fits only with a note."""
    able = np.array([int(row) in stall.names for row in rows], bool)
    if not stall.buyer.accept_unproven:
        able &= codes != ASK
    rows, codes = rows[able], codes[able]
    noted: list[set[str]] = [set() for _ in rows]
    selection = stall.catalogue.rows(rows)
    for requirement in place.binding if len(rows) else ():
        for index in np.nonzero(hold(requirement, selection, place).codes != OK)[0]:
            noted[index].add(requirement.quantity)
    for row, code, quantities in zip(rows.tolist(), codes.tolist(), noted, strict=True):
        yield stall.names[row], Way(row, place.pieces, code, frozenset(quantities))


@dataclass
class _Stall:
    """The rows that can be bought, as offers in one currency."""

    catalogue: Catalogue
    buyer: Buyer
    rows: Rows
    currency: str = ""
    names: dict[int, str] = field(default_factory=dict)
    offers: dict[str, tuple[Offer, int]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)

    def __post_init__(self) -> None:
        words = self.catalogue.word("currency")
        priced = [row for row in self.rows.tolist() if not self.catalogue.drawer[row] and self.catalogue.breaks(row)]
        used = Counter(words.at(row) for row in priced)
        del used[""]
        common = min(used, key=lambda name: (-used[name], name), default="")
        self.currency = self.buyer.currency or common
        unpriced = 0
        no_rate: Counter[str] = Counter()
        unstated: Counter[str] = Counter()
        for row in self.rows.tolist():
            drawer = bool(self.catalogue.drawer[row])
            breaks = self.catalogue.breaks(row)
            if not drawer and not breaks:
                unpriced += 1
                continue
            currency = words.at(row)
            rate = Fraction(1) if currency in ("", self.currency) else self.buyer.rates.get(currency)
            if not drawer and rate is None:
                no_rate[currency] += 1
                continue
            if not drawer and not currency and self.currency:
                unstated[self.catalogue.place(row)[0].file] += 1
            self._offer(row, drawer, rate or Fraction(1))
        self._tell(unpriced, no_rate, unstated)

    def _offer(self, row: int, drawer: bool, rate: Fraction) -> None:
        catalogue, buyer = self.catalogue, self.buyer
        maker, seller = catalogue.word("maker").at(row), catalogue.word("seller").at(row)
        stock = _whole(catalogue, "stock", row)
        obsolete = catalogue.word("status").at(row) == "obsolete" and stock is None
        if (stock is not None and stock <= 0) or obsolete or (not drawer and buyer.refuses(maker, seller)):
            return
        shelf, inside = catalogue.place(row)
        seller = DRAWER if drawer else seller or f"seller of {shelf.file.rsplit('/', 1)[-1]}"
        code, mpn = catalogue.text("order_code", row), catalogue.text("mpn", row)
        key = f"{seller} | {code or mpn or catalogue.text('text', row)}"
        if key in self.offers:
            if code and not drawer:
                where = Location(shelf.file, shelf.sheet)
                self.problems.append(report("listed-twice", "the same order code twice; the first counts", where, code))
                return
            key = f"{key} | {shelf.file.rsplit('/', 1)[-1]} {int(shelf.file_rows[inside])}"
        minimum = _whole(catalogue, "minimum_quantity", row) or 1
        pack = _whole(catalogue, "package_quantity", row) or 1
        prices = tuple((item.quantity, _price(item.unit_price, rate)) for item in catalogue.breaks(row))
        self.names[row] = key
        self.offers[key] = (
            Offer(
                key=key,
                seller=seller,
                part=f"{maker} {mpn}".strip() or key,
                breaks=((1, 0),) if drawer else prices,
                minimum=1 if drawer else minimum,
                # A pack is the smallest unit where nobody sells less than one; else it only tells how parts come.
                multiple=1 if drawer else _whole(catalogue, "multiple", row) or (pack if minimum >= pack else 1),
                stock=stock,
                spares=Spares() if drawer else self._spares(row),
                drawer=drawer,
            ),
            row,
        )

    def _spares(self, row: int) -> Spares:
        diameter_mm = self.catalogue.number("diameter_mm")[row]
        return self.buyer.spares if diameter_mm <= self.buyer.spare_up_to_diameter_mm else Spares()

    def _tell(self, unpriced: int, no_rate: Mapping[str, int], unstated: Mapping[str, int]) -> None:
        if unpriced:
            self.problems.append(report("no-price", f"{unpriced} parts that would serve have no price; not ordered"))
        for currency, count in sorted(no_rate.items()):
            message = f"{count} parts that would serve are priced in {currency}; not ordered for want of a rate"
            hint = f"give the policy a table [rates] with {currency} = … in {self.currency}"
            self.problems.append(report("no-rate", message, value=currency, hint=hint))
        for file, count in sorted(unstated.items()):
            message = f"{count} prices name no currency; taken as {self.currency}"
            self.problems.append(report("catalogue-currency", message, Location(file)))


def _whole(catalogue: Catalogue, name: str, row: int) -> int | None:
    value = catalogue.number(name)[row]
    return None if np.isnan(value) else int(value)


def _price(unit_price: float, rate: Fraction) -> Money:
    return round(money(unit_price) * rate)
