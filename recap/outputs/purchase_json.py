"""Chosen parts and what they cost as plain JSON values, as data/schemas/plan.schema.json describes them."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from recap.model import Plan, PositionKey
from recap.model.purchase import Alternate, Bought, Purchase
from recap.outputs.check_json import part_fields


def position_parts(plan: Plan) -> dict[PositionKey, dict[str, Any]]:
    """Return the part of each position that has one: its line, who sells it, and how it fits there."""
    found: dict[PositionKey, dict[str, Any]] = {}
    for line in plan.lines:
        if line.bought is None:
            continue
        for placed in line.bought.placed:
            fields = {
                "line": line.id,
                "maker": line.bought.part.maker,
                "mpn": line.bought.part.mpn,
                "order_code": line.bought.part.order_code,
                "seller": line.bought.seller,
                "verdict": str(placed.check.verdict),
                "arrangement": placed.check.arrangement,
                "notes": list(placed.notes),
            }
            for key in placed.positions:
                found.setdefault(key, fields)
    return found


def bought_fields(bought: Bought | None) -> dict[str, Any]:
    """Return what a line says of its part; nulls where none was chosen."""
    if bought is None:
        return {"part": None, "unit_price": None, "seller": None, "alternates": []}
    return {
        "part": part_fields(bought.part),
        "unit_price": bought.unit_price,
        "cost": bought.cost,
        "seller": bought.seller,
        "more_because": bought.more_because,
        "apart_extra": bought.apart_extra,
        "alternates": [_alternate(item) for item in bought.alternates],
    }


def _alternate(alternate: Alternate) -> dict[str, Any]:
    return {
        "part": part_fields(alternate.part),
        "seller": alternate.part.seller,
        "unit_price": alternate.unit_price,
        "quantity": alternate.quantity,
        "extra": alternate.extra,
        "notes": list(alternate.notes),
    }


def optimality(plan: Plan) -> dict[str, Any]:
    """Return the cost that was made smallest, the bound that no order is below, and the gap between as a fraction."""
    purchase = plan.purchase
    if purchase is None:
        return {"cost": None, "bound": None, "gap": None}
    return {"cost": purchase.cost, "bound": purchase.bound, "gap": purchase.gap}


def purchase_fields(purchase: Purchase) -> dict[str, Any]:
    """Return what is paid to whom, what wishes cost, and which positions have no part."""
    return {
        "currency": purchase.currency,
        "goods": purchase.goods,
        "delivery": purchase.delivery,
        "paid": purchase.paid,
        "held_against": purchase.valued,
        "proven": purchase.proven,
        "drawer_pieces": purchase.drawer_pieces,
        "budget": purchase.budget,
        "over_budget": purchase.over_budget,
        "sellers": [asdict(seller) for seller in purchase.sellers],
        "restrictions": [asdict(item) for item in purchase.restrictions],
        "without_part": [
            {
                "positions": [str(key) for key in each.positions],
                "because": each.because,
                "nearest": [{"part": part_fields(miss.part), "fails": list(miss.fails)} for miss in each.nearest],
            }
            for each in purchase.without
        ],
    }
