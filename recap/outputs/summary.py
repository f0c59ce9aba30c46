"""What the terminal says after the job: counts, what waits for the user, what could not be checked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from recap.model import Decision, Plan
from recap.outputs.naming import EARLIER
from recap.outputs.shopping import needs_you
from recap.outputs.words import key_order, many_units, place
from recap.problems import Problem, Severity

_SHOWN = 12


def summary(plan: Plan, problems: Sequence[Problem], written: Sequence[Path] = ()) -> list[str]:
    """Return the lines of the summary."""
    inspection = plan.inspection
    units = ", ".join(unit.name for unit in inspection.units)
    lines = [f"{units}: {len(plan.judgements)} positions on {len(plan.work)} boards, policy {plan.policy}."]
    rows = f"{inspection.rows_in} rows read, {len(inspection.positions)} positions from them"
    lines.append(f"{rows}, {len(inspection.left_out)} left out, {inspection.blank_rows} blank.")
    lines += ["", "Decisions"]
    counts = Counter(judgement.decision for judgement in plan.judgements)
    lines += [f"  {decision:<8} {counts[decision]:>4}" for decision in Decision if counts[decision]]
    pieces, spares = sum(line.needed for line in plan.lines), sum(line.spares for line in plan.lines)
    lines += ["", f"To buy: {len(plan.lines)} lines, {pieces} pieces and {spares} spares."]
    if plan.lines_if_failed:
        lines.append(f"Only if tests fail: {len(plan.lines_if_failed)} lines more.")
    lines += _stops(plan)
    lines += _needs(plan, problems)
    lines += _not_checked(plan)
    if written:
        documents = [path for path in written if path.parent.name != EARLIER]
        lines += ["", f"Written, {len(documents)} documents:", *(f"  {path}" for path in documents)]
        lines += [f"  a copy of what was replaced: {path}" for path in written if path not in documents]
    return lines


def _stops(plan: Plan) -> list[str]:
    stopped = sorted((j for j in plan.judgements if j.stops), key=lambda j: (-j.rank, key_order(j.key)))
    if not stopped:
        return ["", "No stop item."]
    units = many_units(plan)
    lines = ["", f"Stop items, {len(stopped)}: settle these first"]
    for judgement in stopped[:_SHOWN]:
        unit = f"{judgement.key.unit}/" if units else ""
        first, *others = judgement.stops
        more = f" And {len(others)} more." if others else ""
        lines.append(f"  {unit}{judgement.key.board}/{place(judgement.key)}: {first}{more}")
    return lines + _more(len(stopped), "in the work orders")


def _needs(plan: Plan, problems: Sequence[Problem]) -> list[str]:
    errors = sum(problem.severity is Severity.ERROR for problem in problems)
    warnings = sum(problem.severity is Severity.WARNING for problem in problems)
    waiting = len(needs_you(plan, problems).rows)
    if not waiting:
        return ["", "Nothing waits for you."]
    return [
        "",
        f"What needs you: {waiting} points, among them {errors} errors and {warnings} warnings about the input"
        " (sheet “Needs you” of the shopping workbook).",
    ]


def _not_checked(plan: Plan) -> list[str]:
    missing = Counter(item.rule for judgement in plan.judgements for item in judgement.not_assessed)
    if not missing:
        return ["Every check could be made."]
    lines = [f"Could not be checked: {sum(missing.values())} checks"]
    lines += [f"  {rule}: at {count} positions" for rule, count in missing.most_common(_SHOWN)]
    return lines + _more(len(missing), "on the sheet “Not checked”")


def _more(count: int, where: str) -> list[str]:
    return [f"  and {count - _SHOWN} more, {where}"] if count > _SHOWN else []
