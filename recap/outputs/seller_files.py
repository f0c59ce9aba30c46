"""One csv a seller, for the upload form of a shop: order code, quantity, reference. Written exactly or not at all."""

from __future__ import annotations

import csv
from io import StringIO

from recap.model import OrderLine, Plan
from recap.outputs.csvs import looks_like_formula
from recap.outputs.purchase_tables import seller_lines
from recap.outputs.words import many_units, where_used
from recap.problem_codes import report
from recap.problems import Problem

HEADINGS = ("order code", "quantity", "reference")
_LONGEST_REFERENCE = 40


def sellers(plan: Plan) -> list[str]:
    """Return the sellers whose csv can be written as it is."""
    if plan.purchase is None:
        return []
    return [each.seller for each in plan.purchase.sellers if not refused(plan, each.seller)]


def refused(plan: Plan, seller: str | None = None) -> list[Problem]:
    """Return a problem for each code that a spreadsheet program would take for a formula, or that is missing.

    An upload form takes codes as they stand, so a risky one can be neither written nor changed.
    """
    if plan.purchase is None:
        return []
    named = [each.seller for each in plan.purchase.sellers if seller in (None, each.seller)]
    found = []
    for name in named:
        for line in seller_lines(plan, name):
            part, code = line.bought.part if line.bought else None, code_of(line)
            what = _against(code)
            if part is None or not what:
                continue
            message = f"line {line.id}: the order code {what}; the csv for {name} is not written, order by hand"
            found.append(report("seller-code-refused", message, part.location, code))
    return found


def _against(code: str) -> str:
    """Return why a code cannot stand in an upload as it is; empty where it can. References begin with our own L."""
    if not code:
        return "is missing"
    if looks_like_formula(code):
        return "looks like a formula to spreadsheet programs"
    return "" if code.isprintable() else "holds characters that cannot be seen"


def seller_csv(plan: Plan, seller: str) -> str:
    """Return the csv of one seller."""
    stream = StringIO()
    writer = csv.writer(stream, lineterminator="\r\n")
    writer.writerow(HEADINGS)
    writer.writerows((code_of(line), line.quantity, _reference(line, plan)) for line in seller_lines(plan, seller))
    return stream.getvalue()


def code_of(line: OrderLine) -> str:
    """Return what the seller knows the part by."""
    return "" if line.bought is None else line.bought.part.order_code or line.bought.part.mpn


def _reference(line: OrderLine, plan: Plan) -> str:
    """Return the line's number and where it goes, short enough for a bag's label."""
    return f"{line.id} {where_used(line.positions, many_units(plan))}"[:_LONGEST_REFERENCE].rstrip(" ,;")
