"""What else could be done, and what it would cost: alternates, lines taken apart, restrictions kept or lifted."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from recap.buying.market import Market, Way, market_of
from recap.buying.offers import Job, Money, Spares, amount
from recap.buying.optimise import Optimum, choice_of, optimise
from recap.buying.order import Bought as Filled
from recap.buying.order import Order, place
from recap.model import Strength
from recap.model.figures import demand, name_of
from recap.model.purchase import Alternate, Restriction

_ALTERNATES = 3
_LOOKED_AT = 12
"""Alternates of a line are worked out in full for so many that look cheapest by themselves."""
_LARGEST_JOB = 400
"""Demands up to which restrictions are worked out: each one is a whole order of its own."""

Choice = Mapping[tuple[str, str], int]


def alternates(filled: Filled, best: Optimum, market: Market) -> tuple[Alternate, ...]:
    """Return other offers that may serve all the needs of a line, the cheapest whole order first."""
    if filled.offer.drawer:
        return ()
    wants = [market.wants[name] for name, _ in filled.serves]
    common = set.intersection(*(set(want.ways) for want in wants)) - {filled.offer.key}
    found = []
    for key in _promising(common, filled, market):
        moves = dict.fromkeys((name for name, _ in filled.serves), key)
        order = _moved(filled, moves, best, market)
        if order is None:
            continue
        offer, row = market.offers[key]
        line = next(line for line in order.lines if line.offer.key == key)
        noted = frozenset[str]().union(*(want.ways[key].noted for want in wants))
        names = tuple(sorted(name_of(quantity) for quantity in noted))
        extra = order.objective - best.order.objective
        found.append((extra, key, Alternate(
            market.catalogue.part(row), amount(offer.price(line.quantity) or 0), line.quantity, amount(extra), names
        )))  # fmt: skip
    return tuple(alternate for _, _, alternate in sorted(found, key=lambda item: item[:2])[:_ALTERNATES])


def _promising(keys: Iterable[str], filled: Filled, market: Market) -> list[str]:
    """Return the offers that cost least by themselves for the need of a line."""
    costs = []
    for key in keys:
        offer = market.offers[key][0]
        bought = offer.buy(filled.needed)
        if bought is not None and not offer.drawer:
            costs.append((bought[0], key))
    return [key for _, key in sorted(costs)[:_LOOKED_AT]]


def apart(filled: Filled, best: Optimum, market: Market) -> tuple[float | None, str]:
    """Return what the order would cost more if the needs of a line were bought apart, the rest of it as it is.

    The largest need stays; each other one goes to the offer that then costs least. None where the line serves one
    need only, with a word where a need has no other offer.
    """
    if len(filled.serves) < 2:
        return None, ""
    _, *others = sorted(filled.serves, key=lambda served: (-served[1], served[0]))
    moves: dict[str, str] = {}
    order: Order | None = None
    for name, _ in others:
        tried = []
        for key in _promising(set(market.wants[name].ways) - {filled.offer.key, *moves.values()}, filled, market):
            moved = _moved(filled, {**moves, name: key}, best, market)
            if moved is not None:
                tried.append((moved.objective, key, moved))
        if not tried:
            return None, f"no other part serves {name}"
        _, key, order = min(tried, key=lambda item: item[:2])
        moves[name] = key
    assert order is not None, "at least one need was moved"
    return amount(order.objective - best.order.objective), ""


def _moved(filled: Filled, moves: Mapping[str, str], best: Optimum, market: Market) -> Order | None:
    """Return the order with some needs of a line moved to other offers."""
    choice = dict(choice_of(best.order))
    for name, places in filled.serves:
        if name in moves:
            choice[name, filled.offer.key] -= places
            choice[name, moves[name]] = choice.get((name, moves[name]), 0) + places
    used = {key for (_, key), places in choice.items() if places}
    ways: dict[str, dict[str, Way]] = {}
    for (name, key), places in choice.items():
        if places:
            ways.setdefault(name, {})[key] = market.wants[name].ways[key]
    small = replace(market, wants={name: market.wants[name] for name in ways},
                    offers={key: market.offers[key] for key in sorted(used)})  # fmt: skip
    kept = {line.offer.key: line.quantity for line in best.order.lines if line.offer.key != filled.offer.key}
    return place(small.job(ways), choice, kept)


def restrictions(best: Optimum, market: Market) -> tuple[Restriction, ...]:
    """Return what wishes and rules of the buyer cost, each against the cheapest order without it."""
    if not best.proven or not market.wants or len(market.wants) > _LARGEST_JOB:
        return ()
    found = [_keeping(quantity, best, market) for quantity in _wishes(market)]
    found += [_lifted(text, job, charged, best.order, market) for text, job, charged in _rules(best.order, market)]
    return tuple(sorted(filter(None, found), key=lambda item: -(item.costs or 0)))


def _wishes(market: Market) -> list[str]:
    """Return the quantities on which some part that may serve fits only with a note."""
    noted = {quantity for want in market.wants.values() for way in want.ways.values() for quantity in way.noted}
    return sorted(noted)


def _keeping(quantity: str, best: Optimum, market: Market) -> Restriction | None:
    """Return what it costs to have no part with a note on a quantity, against not caring for it."""
    cannot = 0

    def kept(ways: Mapping[str, Way]) -> Mapping[str, Way]:
        nonlocal cannot
        clean = {key: way for key, way in ways.items() if quantity not in way.noted}
        cannot += not clean and bool(ways)
        return clean or ways

    ways = {name: kept(want.ways) for name, want in market.wants.items()}
    places = _noted_places(best.order, quantity, market)
    # An order that keeps the wish anyway is the cheapest of those that must.
    strict = best.order if not places else _optimum(market.job(ways, free_notes=(quantity,)), market)
    free = _optimum(market.job(free_notes=(quantity,)), market)
    if strict is None or free is None:
        return None
    text = f"the {name_of(quantity)} wished for{_figures(quantity, market)} at every position"
    if cannot:
        text += f" where there is a part with it (none at {cannot} of {len(market.wants)} needs)"
    taken = f"this order leaves it at {places} places" if places else "this order keeps it everywhere"
    return _priced(text, strict.objective - free.objective, strict.paid - free.paid, taken)


def _figures(quantity: str, market: Market) -> str:
    """Return the figures that positions wish for, from the least to the most, where they are numbers."""
    wished = [
        (item.value, demand(item.relation, item.value, item.unit))
        for want in market.wants.values()
        for item in want.places[0].binding
        if item.quantity == quantity and item.strength is Strength.PREFER and isinstance(item.value, int | float)
    ]
    if not wished:
        return ""
    least, most = min(wished)[1], max(wished)[1]
    return f" ({least})" if least == most else f" ({least} to {most})"


def _noted_places(order: Order, quantity: str, market: Market) -> int:
    return sum(
        count
        for line in order.lines
        for name, count in line.serves
        if quantity in market.wants[name].ways[line.offer.key].noted
    )


def _priced(text: str, costs: Money, paid: Money, remark: str = "") -> Restriction:
    """Return a restriction with how much of its cost is paid, where notes and lines make up the rest."""
    part = "" if paid == costs else f"{amount(paid):.2f} of it to pay, the rest in notes and lines"
    return Restriction(text, amount(costs), "; ".join(filter(None, (remark, part))))


def _rules(best: Order, market: Market) -> list[tuple[str, Job, Money]]:
    """Return the buyer's rules, each with the job without it and what the order is charged for it."""
    buyer, job = market.buyer, market.job()
    found: list[tuple[str, Job, Money]] = []
    if buyer.one_kind:
        found.append(("one part for each value", replace(job, one_kind=False), 0))
    if buyer.excluded_makers or buyer.excluded_sellers:
        open_to_all = replace(buyer, excluded_makers=frozenset(), excluded_sellers=frozenset())
        wanted = [judgement for want in market.wants.values() for judgement in want.judgements]
        found.append(("excluded makers and sellers", market_of(wanted, market.catalogue, open_to_all).job(), 0))
    if buyer.preferred_makers or buyer.preferred_sellers:
        free = replace(market, buyer=replace(buyer, not_preferred_cost=0)).job()
        charged = best.objective - _at(best, free)
        found.append(("preferred makers and sellers", free, charged))
    if any(offer.spares != Spares() for offer in job.offers):
        bare = tuple(replace(offer, spares=Spares()) for offer in job.offers)
        found.append(("spares", replace(job, offers=bare), 0))
    if buyer.line_cost:
        free = replace(job, line_cost=0)
        found.append(("fewer lines rather than the lowest price", free, best.objective - _at(best, free)))
    return found


def _at(order: Order, job: Job) -> Money:
    """Return what an order is charged under another job."""
    again = place(job, choice_of(order), {line.offer.key: line.quantity for line in order.lines})
    assert again is not None, "the same offers are there"
    return again.objective


def _lifted(text: str, job: Job, charged: Money, best: Order, market: Market) -> Restriction | None:
    free = _optimum(job, market)
    if free is None:
        return None
    return _priced(text, best.objective - charged - free.objective, best.paid - free.paid)


def _optimum(job: Job, market: Market) -> Order | None:
    """Return the cheapest order of a variant; None where time ran out before it was proven."""
    found = optimise(job, market.buyer.seconds / 4)
    return found.order if found.proven else None
