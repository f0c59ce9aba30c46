"""What the terminal says after the job: counts, what waits for the user, what could not be checked."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from recap.model import Decision, Plan
from recap.outputs.advice_words import advice_in_brief
from recap.outputs.naming import EARLIER
from recap.outputs.purchase_tables import money, proof
from recap.outputs.shopping import needs_you, together
from recap.outputs.words import key_order, many_units, once, place
from recap.outputs.wrapping import WIDTH, wrapped
from recap.problems import Problem, Severity
from recap.units import plain

_SHOWN = 12
_ADVICE = 5
_WISHES = 4


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
    lines += _purchase(plan)
    if plan.lines_if_failed:
        lines.append(f"Only if tests fail: {len(plan.lines_if_failed)} lines more.")
    lines += _stops(plan)
    lines += _needs(plan, problems)
    lines += _changes(plan)
    lines += _measure_next(plan)
    lines += _random_failures(plan)
    lines += _not_checked(plan)
    return lines + _written(written)


def _purchase(plan: Plan) -> list[str]:
    """Return what is paid to whom, and how sure it is that nothing is cheaper."""
    purchase = plan.purchase
    if purchase is None:
        return []
    currency = purchase.currency
    lines = []
    for each in purchase.sellers:
        delivery = f"delivery {money(each.delivery, '')}" if each.delivery_known else "delivery not known"
        goods = f"{_counted(each.lines, 'line')}, {_counted(each.pieces, 'piece')}, {money(each.goods, currency)}"
        lines.append(f"  {each.seller}: {goods}, {delivery}")
    if purchase.drawer_pieces:
        lines.append(f"  {purchase.drawer}: {_counted(purchase.drawer_pieces, 'piece')}")
    lines.append(f"To pay: {money(purchase.paid, currency)}; {proof(purchase)}.")
    if purchase.over_budget:
        budget = money(purchase.budget, currency)
        lines.append(f"That is above the budget of {budget}: nothing serves the job within it.")
    dear = [item for item in purchase.restrictions if item.costs][:_WISHES]
    for item in dear:
        lines += wrapped(f"{money(item.costs, currency)}: what it costs to have {item.text}", WIDTH, "  ", "      ")
    if len(purchase.restrictions) > len(dear):
        lines.append("  what the other wishes and rules cost is on the sheet “Costs”")
    count = sum(len(each.positions) for each in purchase.without)
    if count:
        lines.append(f"Without a part: {_counted(count, 'position')}, on the sheet “No part” with the nearest ones.")
    return lines


def _changes(plan: Plan) -> list[str]:
    if plan.changes is None:
        return []
    if not plan.changes:
        return ["", "Nothing changed since the earlier plan."]
    lines = ["", f"Changed since the earlier plan, {len(plan.changes)}"]
    grouped = together(plan.changes)
    for subjects, change in grouped[:_SHOWN]:
        text = f"{', '.join(subjects)}, {change.what}: {change.before or '–'} → {change.after or '–'}"
        lines += wrapped(f"{text} ({change.why})" if change.why else text, WIDTH, "  ", "      ")
    return lines + _more(len(grouped), "on the sheet “Changes”")


def _random_failures(plan: Plan) -> list[str]:
    """Return the cross-check of handbook rates, which say nothing of wear."""
    lines = []
    for found in plan.random_failures:
        low, high, off = (
            plain(share * 100, 2) for share in (*sorted(found.probability_in_use), found.probability_switched_off)
        )
        text = (
            f"Cross-check, {found.unit}: of {found.parts} wet parts when sound, one fails by chance within "
            f"{plain(found.years)} years with a probability of {low} to {high} % in use and {off} % switched off "
            "(MIL-HDBK-217F, both editions; RADC-TR-85-91). Wear comes on top."
        )
        lines += ["", *wrapped(text, WIDTH, "", "  ")]
    return lines


def _stops(plan: Plan) -> list[str]:
    stopped = sorted((j for j in plan.judgements if j.stops), key=lambda j: (-j.rank, key_order(j.key)))
    if not stopped:
        return ["", "No stop item."]
    units = many_units(plan)
    lines = ["", f"Stop items, {len(stopped)}: settle these first"]
    for judgement in stopped[:_SHOWN]:
        unit = f"{judgement.key.unit}/" if units else ""
        lines += wrapped(
            f"{unit}{judgement.key.board}/{place(judgement.key)}: {once(judgement.stops)}", WIDTH, "  ", "      "
        )
    return lines + _more(len(stopped), "in the work orders")


def _needs(plan: Plan, problems: Sequence[Problem]) -> list[str]:
    errors = sum(problem.severity is Severity.ERROR for problem in problems)
    warnings = sum(problem.severity is Severity.WARNING for problem in problems)
    waiting = len(needs_you(plan, problems).rows)
    if not waiting:
        return ["", "Nothing waits for you."]
    about = f"among them {_counted(errors, 'error')} and {_counted(warnings, 'warning')} about the input"
    where = "sheet “Needs you” of the shopping workbook"
    return ["", *wrapped(f"What needs you: {_counted(waiting, 'point')}, {about} ({where}).")]


def _measure_next(plan: Plan) -> list[str]:
    if not plan.suggestions:
        return []
    more = len(plan.suggestions) - _ADVICE
    rest = [f"  and {more} more, on the sheet “Measure next”"] if more > 0 else []
    return ["", "Measure next, what may change the plan most first", *advice_in_brief(plan.suggestions, _ADVICE), *rest]


def _not_checked(plan: Plan) -> list[str]:
    missing = Counter(item.rule for judgement in plan.judgements for item in judgement.not_assessed)
    if not missing:
        return ["", "Every check could be made."]
    rules = ", ".join(f"{rule} {count}" for rule, count in missing.most_common(_SHOWN))
    more = f" and {len(missing) - _SHOWN} more rules" if len(missing) > _SHOWN else ""
    text = f"{rules}{more} (sheet “Not checked”)"
    title = f"Checks that could not be made for want of data, {sum(missing.values())}"
    return ["", title, *wrapped(text, WIDTH, "  ", "  ")]


def _written(written: Sequence[Path]) -> list[str]:
    """Return the folder and what is in it; boards' documents are gathered, each board named once."""
    documents = [path for path in written if path.parent.name != EARLIER]
    if not documents:
        return []
    folder = documents[0].parent
    own = [path.name for path in documents if path.parent == folder]
    lines = ["", f"Written, {_counted(len(documents), 'document')} in {folder}:"]
    lines += wrapped(", ".join(own), WIDTH, "  ", "  ")
    endings: dict[tuple[str, str], list[str]] = {}
    for path in documents:
        if path.parent != folder:
            endings.setdefault((path.parent.name, path.stem), []).append(path.suffix)
    groups: dict[tuple[str, str], list[str]] = {}
    for (inside, stem), suffixes in endings.items():
        groups.setdefault((inside, " and ".join(suffixes)), []).append(stem)
    for (inside, kinds), stems in groups.items():
        lines += wrapped(f"{inside}/ as {kinds}: {', '.join(stems)}", WIDTH, "  ", "      ")
    return lines + [f"  a copy of what was replaced: {path}" for path in written if path not in documents]


def _counted(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _more(count: int, where: str) -> list[str]:
    return [f"  and {count - _SHOWN} more, {where}"] if count > _SHOWN else []
