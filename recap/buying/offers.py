"""What can be bought, of whom, for how much; money counts in whole millionths, so that totals are exact."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

MILLION = 1_000_000

Money = int
"""Millionths of the order's currency: prices of a fraction of a cent add up without rounding."""


def money(amount: float | str | Decimal) -> Money:
    """Return an amount as whole millionths, as the shortest decimal that reads as it.

    >>> money(0.1) + money(0.2) == money("0.3")
    True
    """
    return int((Decimal(str(amount)) * MILLION).to_integral_value())


def amount(value: Money) -> float:
    """Return money as the number that prints as its exact decimal.

    >>> amount(money(0.1) + money(0.2))
    0.3
    """
    return float(Decimal(value) / MILLION)


@dataclass(frozen=True, slots=True)
class Spares:
    """How many pieces a line takes beyond its need: a share of it, and at least so many."""

    share: Fraction = Fraction(0)
    least: int = 0

    def beyond(self, needed: int) -> int:
        """Return the spares for a need.

        >>> Spares(Fraction(1, 10), 1).beyond(21), Spares(Fraction(1, 10), 1).beyond(0)
        (3, 0)
        """
        return max(math.ceil(self.share * needed), self.least) if needed else 0

    def covered(self, quantity: int) -> int:
        """Return the largest need that so many pieces hold with its spares.

        >>> Spares(Fraction(1, 10), 1).covered(12)
        10
        """
        return max(min(quantity - self.least, math.floor(quantity / (1 + self.share))), 0)


@dataclass(frozen=True, slots=True)
class Tier:
    """From so many pieces up to so many, each at one price; both ends can be ordered."""

    low: int
    high: int
    price: Money


@dataclass(frozen=True, slots=True)
class Offer:
    """One part from one seller."""

    key: str
    """Tells offers apart and gives the fixed order in which ties are broken."""
    seller: str
    part: str
    """The same for the same part from several sellers."""
    breaks: tuple[tuple[int, Money], ...]
    """From so many pieces on, each costs this much; by rising quantity."""
    minimum: int = 1
    multiple: int = 1
    stock: int | None = None
    spares: Spares = Spares()
    drawer: bool = False

    def tiers(self, most: int) -> tuple[Tier, ...]:
        """Return the price steps within which up to `most` pieces, or as few as a step allows, can be ordered."""
        limit = self.stock if self.stock is not None else math.inf
        found = []
        for place, (start, price) in enumerate(self.breaks):
            low = self.rounded_up(max(start, self.minimum, 1))
            end = self.breaks[place + 1][0] - 1 if place + 1 < len(self.breaks) else math.inf
            high = min(end, limit, max(self.rounded_up(most), low))
            high = int(high // self.multiple) * self.multiple
            if low <= high:
                found.append(Tier(low, high, price))
        return tuple(found)

    def rounded_up(self, pieces: int) -> int:
        """Return the smallest whole number of packs that holds so many pieces."""
        return -(-pieces // self.multiple) * self.multiple

    def price(self, quantity: int) -> Money | None:
        """Return the price of each piece when so many are ordered, None where so many cannot be."""
        steps = [tier for tier in self.tiers(quantity) if tier.low <= quantity <= tier.high]
        return steps[0].price if steps and quantity % self.multiple == 0 else None

    def cheapest(self, pieces: int) -> tuple[Money, int] | None:
        """Return the least cost of at least so many pieces, and the quantity to order; None where there are too few.

        >>> Offer("a", "s", "p", ((1, 30), (10, 20))).cheapest(8)
        (200, 10)
        """
        fitting = [(tier, self.rounded_up(max(pieces, tier.low))) for tier in self.tiers(pieces)]
        return min(((tier.price * q, q) for tier, q in fitting if q <= tier.high), default=None)

    def buy(self, needed: int) -> tuple[Money, int] | None:
        """Return cost and quantity for a need with its spares; spares give way where the stock ends.

        >>> Offer("a", "s", "p", ((1, 30),), stock=5, spares=Spares(least=2)).buy(4)
        (150, 5)
        """
        found = self.cheapest(needed + self.spares.beyond(needed))
        if found is None and needed <= self.most():
            found = self.cheapest(int(self.most()))
        return found

    def most(self) -> float:
        """Return the largest quantity that can be ordered."""
        return math.inf if self.stock is None else self.stock // self.multiple * self.multiple


@dataclass(frozen=True, slots=True)
class Terms:
    """What a seller adds for delivery, and from which value of goods on nothing."""

    delivery: Money = 0
    free_from: Money | None = None

    def fee(self, goods: Money) -> Money:
        """Return the delivery for goods of a value."""
        return 0 if self.free_from is not None and goods >= self.free_from else self.delivery


@dataclass(frozen=True, slots=True)
class Allowed:
    """An offer that may serve a demand."""

    offer: str
    pieces: int = 1
    """How many of it one place takes: a parallel pair takes two."""
    penalty: Money = 0
    """What the buyer would pay for each place to have a part without notes, or from a maker preferred."""


@dataclass(frozen=True, slots=True)
class Demand:
    """Places that want the same, and what may serve them."""

    key: str
    places: int
    allowed: tuple[Allowed, ...]
    value: str = ""
    """Demands with the same text are of one value, for those who wish one kind a value."""


@dataclass(frozen=True, slots=True)
class Job:
    """All that is to be bought, all offers, and the buyer's terms."""

    demands: tuple[Demand, ...]
    offers: tuple[Offer, ...]
    terms: tuple[tuple[str, Terms], ...] = ()
    """Sellers with their terms; one that is not named delivers free."""
    line_cost: Money = 0
    """What one more line is worth avoiding."""
    budget: Money | None = None
    one_kind: bool = False
    """Whether all demands of one value should be served by one part."""
    kinds: tuple[tuple[str, int], ...] = ()
    """Values that take more than one part, with how many: no single one serves them."""
