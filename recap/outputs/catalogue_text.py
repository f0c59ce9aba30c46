"""What was understood of catalogues, for a terminal."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Any

from recap.problems import Problem, Severity

WIDTH = 100
MOST_PROBLEMS = 25
_GROUPS: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    ("identity", (("maker", "maker"), ("series", "series"), ("seller", "seller"), ("status", "status"))),
    (
        "ratings",
        (
            ("capacitance_f", "capacitance"), ("rated_voltage_v", "rated voltage"), ("tolerance_low", "tolerance"),
            ("upper_category_temperature_c", "upper temperature"),
            ("lower_category_temperature_c", "lower temperature"),
            ("kind", "kind"), ("mounting", "mounting"), ("safety_class", "safety class"),
        ),
    ),
    (
        "life and loss",
        (
            ("endurance_h", "endurance"), ("ripple_low_a", "ripple at 100/120 Hz"),
            ("ripple_high_a", "ripple at high f"),
            ("esr_low_ohm", "ESR at 100/120 Hz"), ("esr_high_ohm", "ESR or Z at high f"),
            ("dissipation_factor", "loss"), ("leakage_a", "leakage"),
        ),
    ),
    (
        "body",
        (
            ("diameter_mm", "diameter"), ("length_mm", "length"), ("lead_spacing_mm", "lead spacing"),
            ("lead_diameter_mm", "lead diameter"),
        ),
    ),
    (
        "buying",
        (("minimum_quantity", "minimum"), ("multiple", "multiple"), ("stock", "stock"), ("currency", "currency")),
    ),
)  # fmt: skip


def catalogue_lines(summary: Mapping[str, Any], problems: Sequence[Problem]) -> list[str]:
    """Return what was understood as lines."""
    lines = []
    for each in summary["catalogues"]:
        place = f"{each['file']}{':' + each['sheet'] if each['sheet'] else ''}"
        if each["drawer"]:
            lines.append(f"{place}: {each['parts']:,} parts in your own drawer")
            continue
        stock = "" if each["in_stock"] is None else f", {each['in_stock']:,} in stock"
        lines.append(f"{place}: {each['parts']:,} parts, {each['priced']:,} with a price{stock}")
    if not summary["count"]:
        lines.append("No parts.")
    else:
        lines += ["", "Known, in per cent of the parts"]
        for title, names in _GROUPS:
            shares = [f"{word} {_share(summary['known'][name], summary['count'])}" for name, word in names]
            lines += _wrapped(", ".join(shares), f"  {title:<14}", " " * 16)
        for name, counts in summary["words"].items():
            listed = ", ".join(f"{word} {count:,}" for word, count in counts.items())
            lines += _wrapped(listed, f"  {name:<14}", " " * 16)
    if summary["doubtful"]:
        lines += ["", "Doubtful parts"]
        for each in summary["doubtful"]:
            lines += _wrapped(f"{each['count']:,} × {each['title']}; {each['first']}: {each['says']}", "  ", "    ")
    if problems:
        lines += ["", _counted(problems)]
        for problem in problems[:MOST_PROBLEMS]:
            lines += _wrapped(str(problem), "  ", "    ")
        if len(problems) > MOST_PROBLEMS:
            lines.append(f"  … and {len(problems) - MOST_PROBLEMS} more; --json lists all")
    return lines


def _share(known: int, count: int) -> str:
    if known == 0:
        return "–"
    return "all" if known == count else f"{max(100 * known / count, 1):.0f}"


def _counted(problems: Sequence[Problem]) -> str:
    counts = Counter(problem.severity for problem in problems)
    words = [f"{counts[s]} {s}{'s' if counts[s] > 1 else ''}" for s in Severity if counts[s]]
    return ", ".join(words) + ":"


def _wrapped(text: str, first: str, further: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent=first, subsequent_indent=further, break_on_hyphens=False)
