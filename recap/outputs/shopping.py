"""The shopping list and its companions as plain tables, for the workbook and the csv file alike."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from recap.model import Decision, Judgement, OrderLine, Plan, PositionKey
from recap.model.plan import Change
from recap.outputs.demands import tenths
from recap.outputs.words import (
    key_order,
    lead_spacing,
    many_units,
    place,
    specification_limits,
    where_used,
    why,
    window,
)
from recap.problems import Problem, Severity
from recap.units import farads, volts

SHOPPING_LIST = "Shopping list"
Cell = str | int | float | None


@dataclass(frozen=True, slots=True)
class Table:
    """Headings, the columns' widths in characters, and rows."""

    title: str
    headings: tuple[str, ...]
    widths: tuple[float, ...]
    rows: tuple[tuple[Cell, ...], ...]
    empty: str = ""
    """What to say when there are no rows."""


def shopping_list(plan: Plan) -> Table:
    """Return one row for each line to order."""
    return _lines(plan, plan.lines, SHOPPING_LIST, "Nothing to buy.")


def if_tests_fail(plan: Plan) -> Table:
    """Return what to buy besides, should every part that is to be measured or reformed fail."""
    return _lines(plan, plan.lines_if_failed, "Only if tests fail", "Nothing hangs on a test.")


def _lines(plan: Plan, lines: Iterable[OrderLine], title: str, empty: str) -> Table:
    columns = {
        "Line": 6, "Buy": 5, "of these spare": 6.5, "Capacitance µF": 12, "allowed": 12, "Volts, at least": 7.5,
        "AC or DC": 6, "Safety class": 8, "Kind": 15, "Mounting": 10, "°C, at least": 7, "Endurance": 10,
        "Lead spacing": 13, "Diameter at most mm": 9.5, "Height or length at most mm": 9.5, "Leads at most mm": 7,
        "Ripple": 11, "ESR": 14, "Where used": 24, "May differ without asking": 24, "What merging costs": 24,
        "Notes": 24,
    }  # fmt: skip
    rows = tuple(_line(line, many_units(plan)) for line in lines)
    if any(line.bought for line in plan.lines) and title == SHOPPING_LIST:
        return _with_parts(plan, Table(title, tuple(columns), tuple(columns.values()), rows, empty))
    return Table(title, tuple(columns), tuple(columns.values()), rows, empty)


def _with_parts(plan: Plan, table: Table) -> Table:
    """Return the list with the chosen part of each line beside what the positions ask for."""
    currency = plan.purchase.currency if plan.purchase else ""
    headings = ("Part", "Order code", "From", f"Each, {currency}", f"Cost, {currency}")
    at = table.headings.index("Capacitance µF")
    rows = tuple((*row[:at], *_part_cells(line), *row[at:]) for row, line in zip(table.rows, plan.lines, strict=True))
    return Table(
        table.title,
        (*table.headings[:at], *headings, *table.headings[at:]),
        (*table.widths[:at], 20, 13, 14, 9, 9, *table.widths[at:]),
        rows,
        table.empty,
    )


def _part_cells(line: OrderLine) -> tuple[Cell, ...]:
    bought = line.bought
    if bought is None:
        return ("no part chosen", "", "", None, None)
    part = bought.part
    name = " ".join(filter(None, (part.maker, part.mpn))) or part.text
    return (name, part.order_code, bought.seller, bought.unit_price, bought.cost)


def _line(line: OrderLine, units: bool) -> tuple[Cell, ...]:
    spec = line.specification
    limits = specification_limits(spec)
    return (
        line.id,
        line.quantity,
        line.spares,
        float(f"{spec.capacitance_f * 1e6:.6g}"),
        window(spec),
        spec.rated_voltage_v,
        "AC" if spec.ac else "DC",
        " or ".join(spec.safety_classes),
        " or ".join(spec.kinds),
        spec.mounting,
        spec.upper_category_temperature_c,
        limits.get("endurance", ""),
        lead_spacing(spec).removeprefix("lead spacing "),
        _at_most(spec.diameter_max_mm),
        _at_most(spec.height_max_mm),
        spec.lead_diameter_max_mm,
        limits.get("ripple", "").removeprefix("ripple "),
        "; ".join(limits[name].removeprefix("ESR ") for name in ("esr_max", "esr_min") if name in limits),
        where_used(line.positions, units),
        "; ".join(line.may_differ),
        "; ".join(line.merge_notes),
        "; ".join((*_arrangement(line), *filter(None, [limits.get("cold")]), *spec.notes)),
    )


def _at_most(length_mm: float | None) -> float | None:
    return None if length_mm is None else tenths(length_mm)


def _arrangement(line: OrderLine) -> tuple[str, ...]:
    spec = line.specification
    return (f"{spec.pieces} for each position, {spec.arrangement}",) if spec.pieces > 1 else ()


def sundries(plan: Plan) -> Table:
    """Return what to buy or have at hand beside capacitors."""
    rows = tuple((item.item, item.amount, item.why) for item in plan.sundries)
    return Table("Beside capacitors", ("What", "How much", "Why"), (50, 16, 80), rows, "Nothing else is needed.")


def needs_you(plan: Plan, problems: Sequence[Problem]) -> Table:
    """Return the positions and cells that only a person can settle."""
    rows: list[tuple[Cell, ...]] = []
    for judgement in _sorted(plan):
        unit, board = judgement.key.unit, judgement.key.board
        texts = [*judgement.stops, *(f"{c.quantity}: {c.text}" for c in judgement.contradictions)]
        if judgement.decision is Decision.REFER and not texts:
            texts = [why(judgement)]
        rows += [(unit, board, place(judgement.key), str(judgement.decision), text, "") for text in texts]
    for problem in problems:
        if problem.severity is not Severity.NOTE:
            text = problem.message + (f' ("{problem.value}")' if problem.value else "")
            rows.append(("", "", str(problem.location), str(problem.severity), text, problem.hint))
    rows += [("", "", str(row.location), "row not planned", f"{row.reason} ({row.text})", "")
             for row in plan.inspection.left_out]  # fmt: skip
    headings = ("Unit", "Board", "Position or cell", "Now", "What must be settled", "Hint")
    return Table("Needs you", headings, (20, 20, 22, 14, 70, 40), tuple(rows), "Nothing waits for you.")


def not_checked(plan: Plan) -> Table:
    """Return every check that could not be made, gathered by what is missing."""
    places: dict[tuple[str, str], list[PositionKey]] = {}
    for judgement in plan.judgements:
        for item in judgement.not_assessed:
            places.setdefault((item.rule, ", ".join(item.missing)), []).append(judgement.key)
    rows = tuple(
        (rule, missing, len(keys), where_used(keys, many_units(plan)))
        for (rule, missing), keys in sorted(places.items(), key=lambda entry: (-len(entry[1]), entry[0]))
    )
    headings = ("Check not made", "What is missing", "Positions", "Where")
    return Table("Not checked", headings, (24, 50, 10, 90), rows, "Every check could be made.")


def measure_next(plan: Plan) -> tuple[Table, ...]:
    """Return which readings would change the plan most; nothing when that was not worked out."""
    if not plan.suggestions:
        return ()
    rows = tuple(
        (
            item.reading,
            where_used(item.positions, many_units(plan)),
            "; ".join(f"{outcome}: {then}" for outcome, then in item.outcomes),
            item.how,
            item.caution,
        )
        for item in plan.suggestions
    )
    headings = ("Reading", "Where", "What it would change", "How", "Caution")
    return (Table("Measure next", headings, (30, 36, 70, 40, 40), rows),)


def what_changed(plan: Plan) -> tuple[Table, ...]:
    """Return what differs from an earlier plan, where the plan was held against one."""
    if plan.changes is None:
        return ()
    rows = tuple(
        (", ".join(subjects), c.what, c.before or "–", c.after or "–", c.why) for subjects, c in together(plan.changes)
    )
    headings = ("Where", "What", "Before", "Now", "Why")
    return (Table("Changes", headings, (30, 24, 34, 34, 80), rows, "Nothing changed."),)


def together(found: Sequence[Change]) -> list[tuple[tuple[str, ...], Change]]:
    """Return changes that are the same at several positions once, with all their subjects."""
    groups: dict[tuple[str | None, ...], list[Change]] = {}
    for change in found:
        groups.setdefault((change.what, change.before, change.after, change.why), []).append(change)
    return [(tuple(change.subject for change in group), group[0]) for group in groups.values()]


def every_position(plan: Plan) -> Table:
    """Return one row for each position with what is decided and why: nothing is dropped in silence."""
    served = {key: line.id for line in (*plan.lines, *plan.lines_if_failed) for key in line.positions}
    rows = [
        (
            judgement.key.unit,
            judgement.key.board,
            place(judgement.key),
            _value(judgement),
            str(judgement.decision),
            float(f"{judgement.rank:.3g}"),
            why(judgement),
            served.get(judgement.key, ""),
        )
        for judgement in _sorted(plan)
    ]
    headings = ("Unit", "Board", "Position", "As found", "Decision", "Rank", "Why", "Line")
    return Table("Every position", headings, (20, 20, 12, 22, 12, 8, 70, 8), tuple(rows))


def policy_choices(plan: Plan) -> Table:
    """Return the contested rules and the choice that this plan made."""
    return Table("Policy", (f"Contested rule (policy: {plan.policy})", "Choice"), (60, 60), plan.policy_choices)


def tables(plan: Plan, problems: Sequence[Problem]) -> tuple[Table, ...]:
    """Return everything a purchaser should see, the list itself first."""
    return (
        shopping_list(plan),
        if_tests_fail(plan),
        sundries(plan),
        needs_you(plan, problems),
        not_checked(plan),
        *what_changed(plan),
        *measure_next(plan),
        every_position(plan),
        policy_choices(plan),
    )


def _sorted(plan: Plan) -> list[Judgement]:
    return sorted(plan.judgements, key=lambda judgement: key_order(judgement.key))


def _value(judgement: Judgement) -> str:
    position = judgement.position
    parts = [
        farads(position.capacitance_f) if position.capacitance_f is not None else "",
        volts(position.rated_voltage_v) if position.rated_voltage_v is not None else "",
    ]
    return " ".join(part for part in parts if part) or position.marked.text
