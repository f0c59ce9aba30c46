"""What is bought where: parts chosen for the positions, what they cost, and how sure it is that nothing is cheaper."""

from __future__ import annotations

from dataclasses import dataclass

from recap.model.check import PartCheck, PointVerdict
from recap.model.figures import demand, figure, name_of
from recap.model.inspection import PositionKey
from recap.model.part import Part
from recap.problems import Problem


@dataclass(frozen=True, slots=True)
class Placed:
    """A chosen part at positions that ask for the same, with the check that stands for all of them."""

    positions: tuple[PositionKey, ...]
    check: PartCheck

    @property
    def notes(self) -> tuple[str, ...]:
        """The points on which the part fits only with a note."""
        return tuple(
            dict.fromkeys(
                f"{name_of(point.quantity, point.frequency_hz)} {figure(point.provided, point.unit)}, "
                f"wished for {demand(point.relation, point.required, point.unit)}"
                for point in self.check.points
                if point.verdict is not PointVerdict.OK
            )
        )


@dataclass(frozen=True, slots=True)
class Alternate:
    """Another offer for all the positions of a line; `extra` is what the whole order would then cost more."""

    part: Part
    unit_price: float
    quantity: int
    extra: float
    notes: tuple[str, ...] = ()
    """The quantities on which it fits only with a note."""


@dataclass(frozen=True, slots=True)
class Bought:
    """The part of an order line, with its price in the order's currency."""

    part: Part
    seller: str
    """Who sells it; the drawer's name for one's own."""
    unit_price: float
    cost: float
    placed: tuple[Placed, ...]
    alternates: tuple[Alternate, ...] = ()
    more_because: str = ""
    """Why more pieces are ordered than the need and the spares of the policy."""
    apart_extra: float | None = None
    """What the order would cost more if the line's different needs were bought apart; None where nothing is merged."""
    apart: str = ""
    """What stands in the way of buying them apart."""


@dataclass(frozen=True, slots=True)
class SellerTotal:
    """One seller's share of the order; an amount of goods from which delivery is free, where there is one."""

    seller: str
    lines: int
    pieces: int
    goods: float
    delivery: float
    free_from: float | None = None
    delivery_known: bool = True

    @property
    def total(self) -> float:
        """Goods and delivery."""
        return round(self.goods + self.delivery, 6)


@dataclass(frozen=True, slots=True)
class Restriction:
    """What one wish or rule of the buyer costs, in money paid and in what the policy counts notes and lines for."""

    text: str
    costs: float
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Miss:
    """A part that fails on the fewest points, and these points in words."""

    part: Part
    fails: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WithoutPart:
    """Positions that no part of the catalogues may serve, and the parts that come nearest."""

    positions: tuple[PositionKey, ...]
    because: str
    nearest: tuple[Miss, ...] = ()


@dataclass(frozen=True, slots=True)
class Purchase:
    """The order as a whole. Money is in `currency`.

    `cost` is what was made smallest: what is paid, and what the buyer holds against lines and notes (`valued`). No
    order costs less than `bound`.
    """

    currency: str
    sellers: tuple[SellerTotal, ...]
    cost: float
    valued: float
    bound: float
    gap: float
    proven: bool
    drawer: str = ""
    """What the user's own stock is called among the sellers."""
    drawer_pieces: int = 0
    budget: float | None = None
    over_budget: bool = False
    restrictions: tuple[Restriction, ...] = ()
    without: tuple[WithoutPart, ...] = ()
    problems: tuple[Problem, ...] = ()

    @property
    def goods(self) -> float:
        """What all pieces cost."""
        return round(sum(seller.goods for seller in self.sellers), 6)

    @property
    def delivery(self) -> float:
        """What all deliveries cost."""
        return round(sum(seller.delivery for seller in self.sellers), 6)

    @property
    def paid(self) -> float:
        """Goods and delivery."""
        return round(self.goods + self.delivery, 6)
