"""Regression: what the example turns into, as text. Run this file to write the texts anew, then read the difference.

Nothing here is a figure from outside: the files hold our own earlier output, for a reader to see what a change
does to a whole job. Texts are compared, never bytes of documents.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from html import unescape
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from openpyxl import load_workbook

from recap.advice import advise
from recap.intake import read_inspection
from recap.model import BoardWork, Plan
from recap.outputs.advice_words import advice
from recap.outputs.explanation import explanation, find_position
from recap.outputs.page import work_order_page
from recap.outputs.plan_json import plan_digest
from recap.outputs.shopping import shopping_list
from recap.outputs.summary import summary
from recap.outputs.words import short_part, where_used
from recap.outputs.work_order_workbook import write_work_order_workbook
from recap.outputs.workbook import write_shopping_workbook
from recap.planning import plan as make_plan
from recap.policy import read_policy
from recap.problems import Problem

GOLDEN = Path(__file__).parent / "golden"
EXAMPLE = Path(__file__).parent.parent / "examples" / "inspection.xlsx"
YEAR = 2026
BOARD = "PSU"
STEPS = 3
"""As many steps of the page as are kept: enough to see its words."""


@cache
def job() -> tuple[Plan, list[Problem]]:
    inspection, problems = read_inspection([EXAMPLE], {})
    policy = read_policy("usual")
    plan = make_plan(inspection, policy, present_year=YEAR)
    return replace(plan, suggestions=advise(inspection, policy, present_year=YEAR)), problems


def board() -> BoardWork:
    return next(work for work in job()[0].work if work.board == BOARD)


def decisions() -> list[str]:
    """Each position with what is decided, and each line with what it buys for whom."""
    plan, _ = job()
    lines = [f"{judgement.key}: {judgement.decision}" for judgement in plan.judgements]
    for line in (*plan.lines, *plan.lines_if_failed):
        served = where_used(line.positions, many_units=False)
        lines.append(f"{line.id}: {line.needed} + {line.spares} of {short_part(line.specification)} for {served}")
    return lines


def terminal() -> list[str]:
    plan, problems = job()
    return summary(plan, problems)


def reasoning() -> list[str]:
    plan, _ = job()
    return explanation(plan, find_position(plan.judgements, f"{BOARD}/C13"))


def next_readings() -> list[str]:
    return advice(job()[0].suggestions)


def shopping_sheet() -> list[str]:
    plan, problems = job()
    with TemporaryDirectory() as folder:
        path = Path(folder) / "shopping.xlsx"
        write_shopping_workbook(plan, problems, path)
        return cells(path, shopping_list(plan).title)


def steps_sheet() -> list[str]:
    plan, _ = job()
    with TemporaryDirectory() as folder:
        path = Path(folder) / "work.xlsx"
        write_work_order_workbook(plan, board(), "digest", path)
        return cells(path, "Steps")


def cells(path: Path, sheet: str) -> list[str]:
    rows = load_workbook(path)[sheet].iter_rows(values_only=True)
    texts = (" | ".join("" if value is None else str(value).replace("\n", " / ") for value in row) for row in rows)
    return [text.rstrip(" |") for text in texts]


def page() -> list[str]:
    """The page's text without markup: the stop list, the first steps, and how long parts last."""
    plan, _ = job()
    html = work_order_page(plan, board(), plan_digest(plan))
    body = re.sub(r"<(style|script|svg)\b.*?</\1>", "", html.split("<main>", 1)[1], flags=re.DOTALL)
    steps = body.split('<article class="step"')
    kept = "".join((*steps[: STEPS + 1], '<section class="lasts"', body.split('<section class="lasts"', 1)[1]))
    text = unescape(re.sub(r"<[^>]*>?", "\n", kept))
    lines = (" ".join(line.split()) for line in text.split("\n"))
    return [line for line in lines if line and not line.startswith(("aria-labelledby", "class="))]


TEXTS: dict[str, Callable[[], list[str]]] = {
    "decisions": decisions,
    "summary": terminal,
    "explain-psu-c13": reasoning,
    "advise": next_readings,
    "shopping-sheet": shopping_sheet,
    "steps-sheet": steps_sheet,
    "work-order-page": page,
}


@pytest.mark.parametrize("name", TEXTS)
def test_the_example_turns_into_what_it_did(name: str) -> None:
    before = (GOLDEN / f"{name}.txt").read_text(encoding="utf-8").splitlines()
    changes = list(difflib.unified_diff(before, TEXTS[name](), "before", "now", lineterm="", n=0))
    assert not changes, "\n".join([*changes[:60], f"If this is meant: python {Path(__file__).name}"])


def write() -> None:
    """Write every text as it is now."""
    for name, make in TEXTS.items():
        (GOLDEN / f"{name}.txt").write_text("\n".join(make()) + "\n", encoding="utf-8")


if __name__ == "__main__":
    write()
