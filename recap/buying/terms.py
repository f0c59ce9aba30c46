"""The buyer's terms: what sellers charge, what is preferred or refused, and what lines and notes are worth avoiding."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from recap.buying.offers import Money, Spares, Terms, money
from recap.policy import Policy


@dataclass(frozen=True, slots=True)
class Buyer:
    """The tables `order`, `sellers` and `rates` of a policy; names of makers and sellers in small letters."""

    currency: str
    line_cost: Money
    note_cost: Money
    not_preferred_cost: Money
    accept_unproven: bool
    one_kind: bool
    drawer_first: bool
    budget: Money | None
    seconds: float
    preferred_makers: frozenset[str]
    excluded_makers: frozenset[str]
    preferred_sellers: frozenset[str]
    excluded_sellers: frozenset[str]
    sellers: Mapping[str, Terms]
    rates: Mapping[str, Fraction]
    """What one unit of a currency is worth in the order's."""
    spares: Spares
    spare_up_to_diameter_mm: float

    @classmethod
    def of(cls, policy: Policy) -> Buyer:
        """Return a policy's terms."""
        order, buying = policy.entries["order"], policy.entries["buying"]
        return cls(
            currency=str(order["currency"]).upper(),
            line_cost=money(order["line_cost"]),
            note_cost=money(order["note_cost"]),
            not_preferred_cost=money(order["not_preferred_cost"]),
            accept_unproven=bool(order["accept_unproven"]),
            one_kind=bool(order["one_kind_a_value"]),
            drawer_first=bool(order["drawer_first"]),
            budget=money(order["budget"]) if order["budget"] else None,
            seconds=float(order["time_limit_s"]),
            preferred_makers=_names(order["preferred_makers"]),
            excluded_makers=_names(order["excluded_makers"]),
            preferred_sellers=_names(order["preferred_sellers"]),
            excluded_sellers=_names(order["excluded_sellers"]),
            sellers={folded(name): _terms(entry) for name, entry in policy.entries.get("sellers", {}).items()},
            rates={name.upper(): Fraction(str(rate)) for name, rate in policy.entries.get("rates", {}).items()},
            spares=Spares(Fraction(str(buying["spare_fraction"])), int(buying["spare_minimum"])),
            spare_up_to_diameter_mm=float(buying["spare_up_to_diameter_mm"]),
        )

    def prefers(self, maker: str, seller: str) -> bool:
        """Return whether neither maker nor seller stands behind one that is preferred."""
        maker_ok = not self.preferred_makers or folded(maker) in self.preferred_makers
        return maker_ok and (not self.preferred_sellers or folded(seller) in self.preferred_sellers)

    def refuses(self, maker: str, seller: str) -> bool:
        """Return whether a maker or a seller is excluded."""
        return folded(maker) in self.excluded_makers or folded(seller) in self.excluded_sellers


def folded(name: str) -> str:
    """Return a name as names are compared.

    >>> folded("  Tarnwick  (Invented)")
    'tarnwick (invented)'
    """
    return " ".join(name.split()).casefold()


def _names(names: Iterable[str]) -> frozenset[str]:
    return frozenset(map(folded, names))


def _terms(entry: Mapping[str, float]) -> Terms:
    free = entry.get("free_from")
    return Terms(money(entry.get("delivery", 0)), None if free is None else money(free))
