"""The public functions behind the commands: each reads files, plans, and returns what a command prints or writes."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from recap.intake import read_inspection
from recap.model import Inspection, Judgement, Plan, Stance, Suggestion
from recap.planning import plan as make_plan
from recap.policy import read_policy
from recap.problems import Problem, RecapError
from recap.rules import RULES
from recap.rules.rule import Rule


@dataclass(frozen=True, slots=True)
class Ordered:
    """What `order` made: the plan, what is wrong with the input, and the files written."""

    plan: Plan
    problems: tuple[Problem, ...]
    written: tuple[Path, ...]


def plan_files(
    files: Sequence[str | Path],
    policy: str = "usual",
    headings: Mapping[str, str] | None = None,
    stance: Stance | None = None,
) -> tuple[Plan, list[Problem]]:
    """Read the inspection files of one job and plan it; a stance given here holds for every unit.

    Raises UnreadableFile when a file cannot be read, PolicyError when the policy is wrong.
    """
    inspection, problems = read_inspection(files, headings or {})
    if stance is not None:
        inspection = _with_stance(inspection, stance)
    return make_plan(inspection, read_policy(policy)), problems


def _with_stance(inspection: Inspection, stance: Stance) -> Inspection:
    units = tuple(
        dataclasses.replace(unit, stance=stance, assumed=unit.assumed - {"stance"}) for unit in inspection.units
    )
    return dataclasses.replace(inspection, units=units)


def order(
    files: Sequence[str | Path],
    out: str | Path,
    *,
    policy: str = "usual",
    headings: Mapping[str, str] | None = None,
    stance: Stance | None = None,
    replace: bool = False,
) -> Ordered:
    """Do the whole job: read, plan and write the documents into the folder `out`.

    Raises RecapError when the documents cannot be written; then the folder holds what it held before.
    """
    from recap.advice import advise as suggest
    from recap.outputs.documents import write_documents

    plan, problems = plan_files(files, policy, headings, stance)
    plan = dataclasses.replace(plan, suggestions=suggest(plan.inspection, read_policy(policy)))
    written = write_documents(plan, problems, Path(out), replace=replace)
    return Ordered(plan, tuple(problems), tuple(written))


def explain(
    file: str | Path, position: str, *, policy: str = "usual", headings: Mapping[str, str] | None = None
) -> tuple[Judgement, Plan, list[Problem]]:
    """Return the judgement of one position with its plan; raises RecapError for an unknown one."""
    from recap.outputs.explanation import find_position

    plan, problems = plan_files([file], policy, headings)
    return find_position(plan, position), plan, problems


def advise(
    file: str | Path, *, policy: str = "usual", headings: Mapping[str, str] | None = None
) -> tuple[tuple[Suggestion, ...], list[Problem]]:
    """Return the missing readings worth taking, the one that may change most first."""
    from recap.advice import advise as suggest

    inspection, problems = read_inspection([file], headings or {})
    return suggest(inspection, read_policy(policy)), problems


def rules(rule_id: str | None = None) -> tuple[Rule, ...]:
    """Return all rules in report order, or the one of that id; raises RecapError for an unknown id."""
    if rule_id is None:
        return RULES
    found = tuple(rule for rule in RULES if rule.id == rule_id)
    if not found:
        known = ", ".join(rule.id for rule in RULES)
        raise RecapError(f'there is no rule "{rule_id}"; the rules are {known}')
    return found
