"""Order lines: the fewest specifications that satisfy every position, and what each merge means."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from recap.buying.merging import Group, groups_of, merge
from recap.buying.swaps import may_differ, merge_notes
from recap.model import Decision, Judgement, OrderLine
from recap.policy import Policy

_KIND_ORDER = ("wet aluminium", "hybrid", "solid polymer", "solid tantalum", "wet tantalum", "non-polar aluminium")


def order_lines(
    judgements: Iterable[Judgement], policy: Policy, decisions: Collection[Decision], letter: str = "L"
) -> tuple[OrderLine, ...]:
    """Return the lines for all positions that are meant for one of the decisions, stop items included."""
    wanted: dict[str, list[Judgement]] = defaultdict(list)
    for judgement in judgements:
        if judgement.specification is not None and judgement.meant in decisions:
            wanted[repr(judgement.specification)].append(judgement)
    chosen = groups_of([tuple(group) for group in wanted.values()], policy)
    lines = sorted((_line(group, policy) for group in chosen), key=shelf_order)
    return tuple(replace(line, id=f"{letter}{number:02}") for number, line in enumerate(lines, 1))


def _line(group: Group, policy: Policy) -> OrderLine:
    specification = merge(group)
    judgements = [judgement for members in group.members for judgement in members]
    needed = sum(specification.pieces * judgement.position.quantity for judgement in judgements)
    return OrderLine(
        id="",
        specification=specification,
        positions=tuple(sorted(judgement.key for judgement in judgements)),
        needed=needed,
        spares=spares(needed, _diameter(judgements) or specification.diameter_max_mm, policy),
        merge_notes=merge_notes(group.members, specification),
        may_differ=may_differ(specification),
    )


def _diameter(judgements: Sequence[Judgement]) -> float | None:
    known = [j.position.body.diameter_mm for j in judgements if j.position.body.diameter_mm is not None]
    return max(known, default=None)


def spares(needed: int, diameter_mm: float | None, policy: Policy) -> int:
    """Return how many spares the policy buys: a share of the need for small parts, none for large or unknown ones."""
    if diameter_mm is None or diameter_mm > policy.number("buying", "spare_up_to_diameter_mm"):
        return 0
    share = math.ceil(needed * policy.number("buying", "spare_fraction"))
    return max(share, int(policy.number("buying", "spare_minimum")))


def shelf_order(line: OrderLine) -> tuple[int, str, float, float, str]:
    """Return what lines are sorted by: kind, mounting, value, volts."""
    specification = line.specification
    kind = specification.kinds[0]
    place = _KIND_ORDER.index(kind) if kind in _KIND_ORDER else len(_KIND_ORDER)
    first = str(line.positions[0])
    return place, specification.mounting, specification.capacitance_f, specification.rated_voltage_v, first
