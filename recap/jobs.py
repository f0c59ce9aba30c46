"""The public functions behind the commands: each reads files, plans, and returns what a command prints or writes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from recap.intake import read_inspection
from recap.model import Inspection, Judgement, Plan, PositionKey, Stance
from recap.planning import plan as make_plan
from recap.policy import read_policy
from recap.problems import Problem, RecapError
from recap.rules import RULES
from recap.rules.rule import Rule


class NoSuchPositionError(RecapError):
    """No position, or more than one, goes by the name that was given."""


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
    units = tuple(replace(unit, stance=stance, assumed=unit.assumed - {"stance"}) for unit in inspection.units)
    return replace(inspection, units=units)


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
    from recap.outputs.documents import write_documents

    plan, problems = plan_files(files, policy, headings, stance)
    written = write_documents(plan, problems, Path(out), replace=replace)
    return Ordered(plan, tuple(problems), tuple(written))


def explain(
    file: str | Path, position: str, *, policy: str = "usual", headings: Mapping[str, str] | None = None
) -> tuple[Judgement, Plan, list[Problem]]:
    """Return the judgement of one position with its plan; raises NoSuchPositionError."""
    plan, problems = plan_files([file], policy, headings)
    return find_judgement(plan, position), plan, problems


def find_judgement(plan: Plan, text: str) -> Judgement:
    """Return the judgement of the position written as unit/board/designator/section, from the right as needed.

    Raises NoSuchPositionError, which lists the nearest names or the positions that the text could mean.
    """
    found = [item for item in plan.judgements if _goes_by(item.key, text)]
    if len(found) == 1:
        return found[0]
    if found:
        names = ", ".join(str(item.key) for item in found[:8])
        raise NoSuchPositionError(f'"{text}" may be any of {names}; write the board, too')
    from difflib import get_close_matches

    names_by_case = {str(item.key).lower(): str(item.key) for item in plan.judgements}
    short = {_short(item.key).lower(): str(item.key) for item in plan.judgements}
    near = get_close_matches(text.lower(), [*names_by_case, *short], n=4, cutoff=0.5)
    hint = ", ".join(dict.fromkeys({**names_by_case, **short}[name] for name in near))
    raise NoSuchPositionError(f'there is no position "{text}"' + (f"; did you mean {hint}?" if hint else ""))


def _short(key: PositionKey) -> str:
    return "/".join(part for part in (key.board, key.designator, key.section) if part)


def _goes_by(key: PositionKey, text: str) -> bool:
    tail = [part for part in (key.designator, key.section) if part]
    names = (tail, [key.board, *tail], [key.unit, key.board, *tail])
    return text.strip().lower() in {"/".join(name).lower() for name in names}


def rules(rule_id: str | None = None) -> tuple[Rule, ...]:
    """Return all rules in report order, or the one of that id; raises RecapError for an unknown id."""
    if rule_id is None:
        return RULES
    found = tuple(rule for rule in RULES if rule.id == rule_id)
    if not found:
        known = ", ".join(rule.id for rule in RULES)
        raise RecapError(f'there is no rule "{rule_id}"; the rules are {known}')
    return found
