"""The order as plain tables: what to order from whom, what else would do, what it costs and why, what has no part."""

from __future__ import annotations

from recap.model import OrderLine, Part, Plan
from recap.model.purchase import Purchase, SellerTotal
from recap.outputs.shopping import Cell, Table
from recap.outputs.words import many_units, where_used

_NOTHING = "–"


def money(value: float | None, currency: str) -> str:
    """Return an amount as it is paid, to the hundredth; prices of single pieces may be finer and stand as numbers.

    >>> money(4.1, "EUR"), money(1234.567, "EUR"), money(-2, "")
    ('4.10 EUR', '1,234.57 EUR', '−2.00')
    """
    if value is None:
        return _NOTHING
    return f"{value:,.2f} {currency}".strip().replace("-", "−")


def part_name(part: Part) -> str:
    """Return a part in the words of an order: maker, number, and the seller's code where it is another one.

    >>> part_name(Part(maker="Brindle (invented)", mpn="AX1", order_code="70001"))
    'Brindle (invented) AX1 (70001)'
    """
    name = " ".join(filter(None, (part.maker, part.mpn))) or part.text or part.order_code
    code = part.order_code if part.order_code and part.order_code != part.mpn and name != part.order_code else ""
    return f"{name} ({code})" if code else name


def seller_lines(plan: Plan, seller: str) -> list[OrderLine]:
    """Return the lines that one seller delivers."""
    return [line for line in plan.lines if line.bought is not None and line.bought.seller == seller]


def order_tables(plan: Plan) -> tuple[Table, ...]:
    """Return everything about the order of chosen parts; nothing where no catalogue was given."""
    purchase = plan.purchase
    if purchase is None:
        return ()
    sellers = [(total.seller, f"Order, {total.seller}") for total in purchase.sellers]
    if purchase.drawer_pieces:
        sellers.append((purchase.drawer, "From your own drawer"))
    orders = [_order(plan, seller, title, purchase) for seller, title in sellers]
    return (*orders, _costs(purchase), _alternates(plan, purchase), _merges(plan, purchase), _without(plan, purchase))


def _order(plan: Plan, seller: str, title: str, purchase: Purchase) -> Table:
    headings = (
        "Line", "Order code", "Maker", "Part number", "Quantity", f"Each, {purchase.currency}",
        f"Cost, {purchase.currency}", "For", "Fits with these notes", "Remarks",
    )  # fmt: skip
    rows = [_order_row(line, plan) for line in seller_lines(plan, seller)]
    total = next((each for each in purchase.sellers if each.seller == seller), None)
    if total is not None:
        rows.append(("", "all goods", "", "", total.pieces, None, round(total.goods, 2), "", "", ""))
        rows.append(("", "delivery", "", "", None, None, total.delivery, "", "", _delivery(total, purchase.currency)))
    return Table(title, headings, (6, 16, 20, 22, 9, 10, 10, 40, 40, 36), tuple(rows), "Nothing is ordered here.")


def _order_row(line: OrderLine, plan: Plan) -> tuple[Cell, ...]:
    bought = line.bought
    assert bought is not None, "lines of a seller have a part"
    part = bought.part
    return (
        line.id,
        part.order_code or part.mpn or part.text,
        part.maker,
        part.mpn,
        line.quantity,
        bought.unit_price,
        bought.cost,
        where_used(line.positions, many_units(plan)),
        "; ".join(fitting_notes(line)),
        "; ".join(filter(None, (bought.more_because, f"date code {part.date_code}" if part.date_code else ""))),
    )


def fitting_notes(line: OrderLine) -> list[str]:
    """Return the points on which a line's part fits only with a note, each with where."""
    notes: dict[str, list[str]] = {}
    for placed in line.bought.placed if line.bought is not None else ():
        for text in placed.notes:
            notes.setdefault(text, []).extend(key.designator for key in placed.positions)
    everywhere = {key.designator for key in line.positions}
    return [
        text if set(names) == everywhere else f"{', '.join(dict.fromkeys(names))}: {text}"
        for text, names in notes.items()
    ]


def _costs(purchase: Purchase) -> Table:
    """Return what is paid to whom, how sure it is that nothing is cheaper, and what the buyer's wishes cost."""
    currency = purchase.currency
    rows: list[tuple[Cell, ...]] = []
    for total in purchase.sellers:
        rows.append((f"Goods, {total.seller}", total.goods, f"{total.lines} lines, {total.pieces:,} pieces"))
        rows.append((f"Delivery, {total.seller}", total.delivery, _delivery(total, currency)))
    rows.append(("To pay", purchase.paid, "taxes and customs are not in it, unless the catalogues' prices hold them"))
    if purchase.drawer_pieces:
        rows.append(("From your own drawer", 0, f"{purchase.drawer_pieces} pieces"))
    weighed = "not paid: what the policy says they are worth avoiding"
    rows.append(("Held against lines and notes", purchase.valued, weighed))
    rows.append(("Cost that was made smallest", purchase.cost, "paid and held against, together"))
    rows.append(("No order costs less than", purchase.bound, proof(purchase)))
    if purchase.budget is not None:
        over = "nothing serves the job within it" if purchase.over_budget else "kept"
        rows.append(("Budget", purchase.budget, over))
    rows += [(f"What it costs: {r.text}", r.costs, r.remark) for r in purchase.restrictions]
    return Table("Costs", ("What", currency or "Cost", "Remarks"), (56, 14, 80), tuple(rows))


def _delivery(total: SellerTotal, currency: str) -> str:
    if not total.delivery_known:
        return f'not known; give the policy a table [sellers] with "{total.seller}" = {{ delivery = … }}'
    if total.free_from is None:
        return ""
    if total.goods >= total.free_from:
        return f"free from {money(total.free_from, currency)}"
    return f"free from {money(total.free_from, currency)}, {money(total.free_from - total.goods, currency)} away"


def proof(purchase: Purchase) -> str:
    """Return how sure it is that no order is cheaper."""
    if purchase.proven:
        return "proven: no order that keeps the policy costs less"
    return f"not proven in the time given: at most {purchase.gap * 100:.2g} % could be saved"


def _alternates(plan: Plan, purchase: Purchase) -> Table:
    rows = [
        (
            line.id, number, alternate.part.seller, part_name(alternate.part), alternate.quantity,
            alternate.unit_price, alternate.extra,
            f"with notes on {', '.join(alternate.notes)}" if alternate.notes else "fits",
        )
        for line in plan.lines if line.bought is not None
        for number, alternate in enumerate(line.bought.alternates, 1)
    ]  # fmt: skip
    headings = (
        "Line", "Next", "Seller", "Part", "Quantity", f"Each, {purchase.currency}",
        f"Whole order dearer by, {purchase.currency}", "Fits",
    )  # fmt: skip
    return Table("Alternates", headings, (6, 6, 24, 44, 9, 10, 16, 44), tuple(rows), "No other part serves any line.")


def _merges(plan: Plan, purchase: Purchase) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for line in plan.lines:
        if line.bought is None or len(line.bought.placed) < 2:
            continue
        saved: Cell = line.bought.apart_extra
        where = where_used(line.positions, many_units(plan))
        rows.append((line.id, where, saved, line.bought.apart, "; ".join(line.merge_notes)))
    headings = ("Line", "Serves together", f"Saves, {purchase.currency}", "Remarks", "What it means for the positions")
    return Table("Merged needs", headings, (6, 44, 12, 30, 80), tuple(rows), "Each line serves one need.")


def _without(plan: Plan, purchase: Purchase) -> Table:
    rows: list[tuple[Cell, ...]] = []
    for each in purchase.without:
        where = where_used(each.positions, many_units(plan))
        near = [f"{part_name(miss.part)}: {', '.join(miss.fails) or 'fits'}" for miss in each.nearest]
        rows.append((where, each.because, "; ".join(near)))
    headings = ("Positions", "Why no part", "Nearest parts, and where they fail")
    return Table("No part", headings, (40, 44, 100), tuple(rows), "Every position has its part.")
