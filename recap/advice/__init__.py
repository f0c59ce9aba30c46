"""What to measure next: each missing reading is tried with plausible outcomes, and what they change is counted.

Nothing here is a fixed list of advice. A reading is worth taking when its outcomes lead to different plans; the
positions that it touches are judged again for each outcome and the differences are what is shown.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from recap.advice.trials import TRIALS, Trial
from recap.buying.lines import order_lines
from recap.model import Decision, Inspection, Judgement, PositionKey, Suggestion
from recap.policy import Policy, read_policy
from recap.ruledata import table
from recap.rules.case import Case
from recap.rules.cases import cases
from recap.rules.judging import judge
from recap.units import volts

_FLIP, _SETTLED, _STEP, _VALUE = 4.0, 3.0, 1.5, 1.0
"""Worth of a decision that flips, a stop item settled, a rating step, another value: our judgement."""


def advise(
    inspection: Inspection, policy: Policy | None = None, present_year: int | None = None
) -> tuple[Suggestion, ...]:
    """Return the readings worth taking, the one that may change most first."""
    policy = policy or read_policy()
    year = present_year or int(policy.number("decision", "present_year")) or date.today().year
    all_cases = cases(inspection, policy, year)
    known = {case.position.key: judge(case) for case in all_cases}
    found = []
    for trial in TRIALS:
        for group in _groups(trial, all_cases):
            tried = _try(trial, group, known, policy)
            if tried is not None:
                found.append(tried)
    return tuple(sorted(_gathered(found), key=lambda item: (-item.worth, str(item.positions[0]), item.reading)))


def _gathered(found: Iterable[tuple[Suggestion, tuple[str, ...]]]) -> Iterable[Suggestion]:
    """Return one suggestion for all positions of a board on which a reading has the same consequences.

    The readings are taken one after the other; its worth is that of the most telling of them.
    """
    alike: dict[tuple[object, ...], list[tuple[Suggestion, tuple[str, ...]]]] = {}
    for item, shared in found:
        changes = tuple(change for _, change in item.outcomes)
        alike.setdefault((item.reading, item.positions[0][:2], changes), []).append((item, shared))
    for items in alike.values():
        first, shared = max(items, key=lambda pair: pair[0].worth)
        if len(items) == 1:
            yield first
            continue
        outcomes = tuple((text or label, change) for text, (label, change) in zip(shared, first.outcomes, strict=True))
        positions = tuple(key for item, _ in items for key in item.positions)
        yield replace(first, positions=positions, outcomes=outcomes)


def _groups(trial: Trial, all_cases: Iterable[Case]) -> Iterable[list[Case]]:
    """Return the cases that one reading answers together: one position, one board or one unit."""
    groups: dict[tuple[str, ...], list[Case]] = {}
    for case in all_cases:
        if trial.lacks(case):
            groups.setdefault(case.position.key[: trial.depth], []).append(case)
    return groups.values()


def _try(
    trial: Trial, group: Sequence[Case], known: dict[PositionKey, Judgement], policy: Policy
) -> tuple[Suggestion, tuple[str, ...]] | None:
    """Return the suggestion with what its outcomes are called for several positions; None if nothing changes."""
    row = next(row for row in table("readings") if row["id"] == trial.id)
    texts, worths, ends = [], [], set()
    outcomes = trial.outcomes(group[0])
    for outcome in outcomes:
        judged = [judge(outcome.change(case)) for case in group]
        before = [known[case.position.key] for case in group]
        worths.append(sum(_worth(old, new) for old, new in zip(before, judged, strict=True)))
        text = _changes(before, judged, policy)
        ends.add(text)
        texts.append((outcome.label, text))
    if len(ends) < 2 and not any(worths):
        return None
    # The plan differs only where outcomes differ: the mean change, less what every outcome has in common.
    worth = sum(worths) / len(worths) * max(known[case.position.key].rank for case in group) / float(row["effort"])
    if worth <= 0:
        return None
    keys = tuple(case.position.key for case in group)
    suggestion = Suggestion(row["reading"], keys, row["how"], row["caution"], tuple(texts), round(worth, 3))
    return suggestion, tuple(outcome.shared for outcome in outcomes)


def _worth(old: Judgement, new: Judgement) -> float:
    worth = 0.0
    if old.meant is not new.meant:
        worth += _FLIP
    if old.stops and not new.stops:
        worth += _SETTLED
    before, after = old.specification, new.specification
    if before is not None and after is not None:
        worth += _STEP * (before.rated_voltage_v != after.rated_voltage_v)
        worth += _VALUE * (before.capacitance_f != after.capacitance_f or before.kinds != after.kinds)
    return worth


def _changes(before: Sequence[Judgement], after: Sequence[Judgement], policy: Policy) -> str:
    """Return in words what an outcome does to the positions it touches."""
    if len(after) == 1:
        return _change(before[0], after[0])
    pairs = list(zip(before, after, strict=True))
    flips = [f"{old.key.designator} {new.meant}" for old, new in pairs if old.meant is not new.meant]
    lines = [len(order_lines(side, policy, (Decision.REPLACE,))) for side in (before, after)]
    ratings = sum(
        1
        for old, new in pairs
        if old.specification
        and new.specification
        and old.specification.rated_voltage_v != new.specification.rated_voltage_v
    )
    parts = []
    if flips:
        shown = ", ".join(flips[:4]) + (f" and {len(flips) - 4} more" if len(flips) > 4 else "")
        parts.append(shown)
    if ratings:
        parts.append(f"another rating at {ratings} positions")
    if lines[0] != lines[1]:
        parts.append(f"{lines[1]} order lines instead of {lines[0]}")
    return "; ".join(parts) or "nothing changes"


def _change(old: Judgement, new: Judgement) -> str:
    parts = [f"{new.meant}" if old.meant is new.meant else f"{new.meant} instead of {old.meant}"]
    if old.stops and not new.stops:
        parts.append("off the stop list")
    if old.specification and new.specification:
        was, now = old.specification, new.specification
        if was.rated_voltage_v != now.rated_voltage_v:
            parts.append(f"{volts(now.rated_voltage_v)} instead of {volts(was.rated_voltage_v)}")
    if new.orientation.text and not old.orientation.text:
        parts.append(new.orientation.text.rstrip("."))
    return ", ".join(parts)
