"""The table of problem codes; README's list and every problem's severity come from it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from recap.problems import Location, Problem, ProblemCode, Severity
from recap.ruledata import table

NOWHERE = Location()


@cache
def problem_codes() -> Mapping[str, ProblemCode]:
    """Return every code with its severity and meaning, in the order of data/tables/problem_codes.csv."""
    return {
        row["code"]: ProblemCode(row["code"], Severity(row["severity"]), row["meaning"])
        for row in table("problem_codes")
    }


def report(code: str, message: str, location: Location = NOWHERE, value: str = "", hint: str = "") -> Problem:
    """Return a problem with its code's severity; raises KeyError for a code that is not in the table."""
    return Problem(code, message, location, value, hint, problem_codes()[code].severity)
