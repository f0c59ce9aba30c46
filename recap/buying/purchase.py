"""Parts for positions: the cheapest order that catalogues allow, line by line, and what could not be had."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from recap.buying.lines import order_lines, shelf_order
from recap.buying.market import DRAWER, Market, Want, market_of
from recap.buying.merging import tightest
from recap.buying.offers import amount
from recap.buying.optimise import Optimum, optimise
from recap.buying.order import Bought as Filled
from recap.buying.swaps import merge_notes
from recap.buying.terms import Buyer, folded
from recap.buying.whatifs import alternates, apart, restrictions
from recap.model import Decision, Judgement, OrderLine, Part, PositionKey, Specification
from recap.model.figures import name_of
from recap.model.purchase import Bought, Miss, Placed, Purchase, SellerTotal, WithoutPart
from recap.parts.catalogue import Catalogue
from recap.parts.checking import check_part
from recap.parts.match import nearest_misses
from recap.policy import Policy

Shares = dict[PositionKey, int]
"""Places of each position."""


def choose(
    judgements: Sequence[Judgement], catalogue: Catalogue, policy: Policy
) -> tuple[tuple[Judgement, ...], tuple[OrderLine, ...], Purchase]:
    """Return the cheapest order for all positions whose part is to be replaced, with proof of how cheap any could be.

    That is: the judgements, with the chosen parts' lives; the lines; the order as a whole. Positions that nothing in
    the catalogues may serve keep their lines of specifications.
    """
    wanted = [j for j in judgements if j.specification is not None and j.meant is Decision.REPLACE]
    market = market_of(wanted, catalogue, Buyer.of(policy))
    job = market.job()
    best = optimise(job, market.buyer.seconds)
    shares, open_places = _shared(best, market)
    bought = [_line(filled, shares[filled.offer.key], best, market) for filled in best.order.lines]
    left = [_with_quantity(j, open_places[j.key]) for j in wanted if open_places.get(j.key)]
    lines = sorted((*bought, *order_lines(left, policy, (Decision.REPLACE,))), key=shelf_order)
    numbered = tuple(replace(line, id=f"L{number:02}") for number, line in enumerate(lines, 1))
    return _with_lives(judgements, numbered), numbered, _purchase(best, market, open_places)


def _shared(best: Optimum, market: Market) -> tuple[dict[str, dict[str, Shares]], Shares]:
    """Return who gets which offer, positions in their order, by offer and want; and the places left without."""
    open_places = {key: count for want in market.wants.values() for key, count in want.positions}
    shares: dict[str, dict[str, Shares]] = defaultdict(dict)
    for filled in best.order.lines:
        for name, places in filled.serves:
            share: Shares = {}
            for key, _ in market.wants[name].positions:
                taken = min(open_places[key], places)
                if taken:
                    share[key] = taken
                    open_places[key] -= taken
                    places -= taken
            shares[filled.offer.key][name] = share
    return shares, {key: count for key, count in open_places.items() if count}


def _with_quantity(judgement: Judgement, quantity: int) -> Judgement:
    return replace(judgement, position=replace(judgement.position, quantity=quantity))


def _line(filled: Filled, shares: Mapping[str, Shares], best: Optimum, market: Market) -> OrderLine:
    row = market.offers[filled.offer.key][1]
    part = market.catalogue.part(row)
    wants = [market.wants[name] for name in shares]
    members = [
        tuple(j for j in want.judgements if j.key in share) for want, share in zip(wants, shares.values(), strict=True)
    ]
    specification = _specification(part, members)
    more, reason = apart(filled, best, market)
    return OrderLine(
        id="",
        specification=specification,
        positions=tuple(sorted(key for share in shares.values() for key in share)),
        needed=filled.needed,
        spares=filled.quantity - filled.needed,
        merge_notes=merge_notes(members, specification),
        bought=Bought(
            part=part,
            seller=filled.offer.seller,
            unit_price=amount(filled.price),
            cost=amount(filled.goods),
            placed=tuple(Placed(tuple(j.key for j in items), check_part(items[0], part)) for items in members if items),
            alternates=alternates(filled, best, market),
            more_because=_more_because(filled, part),
            apart_extra=more,
            apart=reason,
        ),
    )


def _specification(part: Part, members: Iterable[Sequence[Judgement]]) -> Specification:
    """Return what the line's positions ask for together, at the part's own value."""
    specs = [spec for items in members for spec in (item.specification for item in items[:1]) if spec is not None]
    together = tightest(
        specs, part.capacitance_f or specs[0].capacitance_f, max(s.rated_voltage_v for s in specs), part.lead_spacing_mm
    )
    single = all(spec.pieces == specs[0].pieces for spec in specs)
    return replace(
        together,
        kinds=together.kinds or ((str(part.kind),) if part.kind else specs[0].kinds[:1]),
        pieces=specs[0].pieces if single else 1,
        arrangement=specs[0].arrangement if single else "single",
    )


def _more_because(filled: Filled, part: Part) -> str:
    offer, quantity = filled.offer, filled.quantity
    asked = filled.needed + offer.spares.beyond(filled.needed)
    if quantity < asked:
        short = asked - quantity
        return f"the stock ends at {offer.stock:,}: {short} {'spare' if short == 1 else 'spares'} fewer"
    if quantity == asked:
        return ""
    if quantity == offer.rounded_up(max(asked, offer.minimum)) and offer.minimum > asked:
        return f"{offer.minimum:,} is the smallest order"
    if quantity == offer.rounded_up(asked):
        return f"sold by {offer.multiple:,}"
    fewer = offer.price(offer.rounded_up(asked))
    if fewer is not None and fewer * offer.rounded_up(asked) >= filled.goods:
        return f"{quantity:,} cost less than {asked:,} by the price break"
    return f"{quantity:,} bring the order to the value from which delivery is free"


def _purchase(best: Optimum, market: Market, open_places: Shares) -> Purchase:
    order, buyer = best.order, market.buyer
    fees = dict(order.delivery)
    sellers = []
    for seller in sorted(fees):
        lines = [line for line in order.lines if line.offer.seller == seller and not line.offer.drawer]
        terms = buyer.sellers.get(folded(seller))
        free = terms.free_from if terms is not None else None
        sellers.append(
            SellerTotal(
                seller,
                len(lines),
                sum(line.quantity for line in lines),
                amount(sum(line.goods for line in lines)),
                amount(fees[seller]),
                None if free is None else amount(free),
                terms is not None,
            )
        )
    return Purchase(
        currency=market.currency,
        sellers=tuple(sellers),
        cost=amount(order.objective),
        valued=amount(order.valued),
        bound=amount(best.bound),
        gap=best.gap,
        proven=best.proven,
        drawer=DRAWER,
        drawer_pieces=sum(line.quantity for line in order.lines if line.offer.drawer),
        budget=None if buyer.budget is None else amount(buyer.budget),
        over_budget=best.over_budget,
        restrictions=restrictions(best, market),
        without=tuple(
            _without(want, open_places, market) for want in market.wants.values() if _open(want, open_places)
        ),
        problems=market.problems,
    )


def _open(want: Want, open_places: Shares) -> list[PositionKey]:
    return [key for key, _ in want.positions if open_places.get(key)]


def _without(want: Want, open_places: Shares, market: Market) -> WithoutPart:
    positions = tuple(_open(want, open_places))
    if want.ways:
        left = sum(open_places[key] for key in positions)
        return WithoutPart(positions, f"the stock of what fits ends {left} short")
    place, catalogue = want.places[0], market.catalogue
    found = nearest_misses(place, catalogue)
    misses = tuple(
        Miss(catalogue.part(row), tuple(name_of(item.quantity, item.frequency_hz) for item in fails))
        for row, fails in found
    )
    fitting = [miss for miss in misses if not miss.fails]
    if fitting:
        open_points = f"; {want.unproven} leave a question open" if want.unproven else ""
        because = f"what fits has no stock, no price or an excluded seller or maker{open_points}"
    else:
        because = "no part in the catalogues fits" if misses else "no part of about this value"
    return WithoutPart(positions, because, misses)


def _with_lives(judgements: Sequence[Judgement], lines: Iterable[OrderLine]) -> tuple[Judgement, ...]:
    """Return the judgements with the life of the part that each gets, and a note for parts of the drawer."""
    lives = {
        key: placed.check.life
        for line in lines
        if line.bought is not None
        for placed in line.bought.placed
        for key in placed.positions
    }
    return tuple(
        replace(judgement, life_planned=life) if (life := lives.get(judgement.key)) is not None else judgement
        for judgement in judgements
    )
