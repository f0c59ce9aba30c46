"""The public functions behind the commands: each reads files, plans, and returns what a command prints or writes."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

from recap.bench.drawer import DrawerResistor, read_drawer
from recap.intake import read_inspection
from recap.model import Inspection, Judgement, Part, Plan, Stance, Suggestion
from recap.model.check import PartCheck, Verdict
from recap.planning import judgements_of
from recap.planning import plan as make_plan
from recap.policy import read_policy
from recap.problems import Problem, RecapError
from recap.rules import RULES
from recap.rules.rule import Rule

if TYPE_CHECKING:
    from datetime import date

    from recap.model.sign_off import SignOff
    from recap.parts.catalogue import Catalogue


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
    drawer: Sequence[DrawerResistor] = (),
    catalogues: Sequence[str | Path] = (),
    cache: bool = True,
) -> tuple[Plan, list[Problem]]:
    """Read the inspection files of one job and plan it; a stance given here holds for every unit.

    `drawer` holds load resistors at hand; parts are chosen from catalogues where there are any.
    Raises UnreadableFile when a file cannot be read, PolicyError when the policy is wrong.
    """
    of_lists, of_parts = _apart(headings or {}) if catalogues else (headings or {}, {})
    inspection, problems = read_inspection(files, of_lists)
    if stance is not None:
        inspection = _with_stance(inspection, stance)
    catalogue = None
    if catalogues:
        catalogue, about_parts = parts(catalogues, headings=of_parts, cache=cache)
        problems = [*problems, *about_parts]
    plan = make_plan(inspection, read_policy(policy), drawer=drawer, catalogue=catalogue)
    if plan.purchase is not None:
        from recap.outputs.seller_files import refused

        problems = [*problems, *plan.purchase.problems, *refused(plan)]
    return plan, problems


def _apart(headings: Mapping[str, str]) -> tuple[dict[str, str], dict[str, str]]:
    """Return which renamed headings mean inspections and which catalogues; a name that both know means both."""
    from recap.intake.headings import is_known as known_to_lists
    from recap.parts.headings import is_known as known_to_parts

    of_parts = {old: new for old, new in headings.items() if known_to_parts(new)}
    of_lists = {old: new for old, new in headings.items() if known_to_lists(new) or old not in of_parts}
    return of_lists, of_parts


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
    drawer: str = "",
    catalogues: Sequence[str | Path] = (),
    compare: str | Path | None = None,
    cache: bool = True,
) -> Ordered:
    """Do the whole job: read, plan and write the documents into the folder `out`.

    With `catalogues` the order names parts and is the cheapest that can be proven; `compare` names an earlier plan,
    or the folder that holds it, and the plan then tells what changed since and why.
    `drawer` lists load resistors at hand, such as "3 x 10ohm 5W, 47ohm 10W". Raises NotAQuantity for one that cannot
    be read, RecapError when the documents cannot be written; then the folder holds what it held before.
    """
    from recap.advice import advise as suggest
    from recap.outputs.comparison import changes, read_plan
    from recap.outputs.documents import plan_document, write_documents

    earlier = None if compare is None else read_plan(Path(compare))
    plan, problems = plan_files(files, policy, headings, stance, read_drawer(drawer), catalogues, cache)
    plan = dataclasses.replace(plan, suggestions=suggest(plan.inspection, read_policy(policy)))
    if earlier is not None:
        now = plan_document(plan)["result"]
        plan = dataclasses.replace(plan, changes=changes(earlier, now, str(compare)))
    written = write_documents(plan, problems, Path(out), replace=replace)
    return Ordered(plan, tuple(problems), tuple(written))


def explain(
    file: str | Path, position: str, *, policy: str = "usual", headings: Mapping[str, str] | None = None
) -> tuple[Judgement, Plan, list[Problem]]:
    """Return the judgement of one position with its plan; raises RecapError for an unknown one."""
    from recap.outputs.explanation import find_position

    plan, problems = plan_files([file], policy, headings)
    return find_position(plan.judgements, position), plan, problems


def parts(
    files: Sequence[str | Path], *, headings: Mapping[str, str] | None = None, cache: bool = True
) -> tuple[Catalogue, list[Problem]]:
    """Read parts catalogues as one; raises UnreadableFile when a file cannot be read."""
    from recap.parts.reading import read_catalogues

    return read_catalogues(files, headings, cache=cache)


@dataclass(frozen=True, slots=True)
class Checked:
    """What `check` found: parts at one position, best first, or each part at every position."""

    checks: tuple[PartCheck, ...]
    behind: tuple[str, ...]
    """For each part but the best why it stands behind the one before it."""
    everywhere: tuple[tuple[PartCheck, ...], ...]
    problems: tuple[Problem, ...]
    part_problems: tuple[Problem, ...]
    """Those among the problems that concern the parts."""

    @property
    def exit_code(self) -> int:
        """4 where something must be asked, 5 where nothing fits, else 0; the best part or position counts."""
        found = {check.verdict for check in self.checks} | {c.verdict for checks in self.everywhere for c in checks}
        if found & {Verdict.FITS, Verdict.FITS_WITH_NOTE}:
            return 0
        return 4 if Verdict.ASK in found else 5


def check(
    file: str | Path,
    position: str | None = None,
    *,
    parts: Sequence[str | Part] = (),
    mpns: Sequence[str] = (),
    catalogues: Sequence[str | Path] = (),
    policy: str = "usual",
    headings: Mapping[str, str] | None = None,
    cache: bool = True,
) -> Checked:
    """Hold parts, as texts or found by number in catalogues, against a position, or against all without one.

    Raises UnreadableFile, RecapError for a position, number or text that leads to no part.
    """
    from recap.outputs.explanation import find_position
    from recap.parts.checking import best_first, check_part, where_may_it_go, why_behind
    from recap.parts.proposals import proposed_parts

    of_lists, of_parts = _apart(headings or {}) if catalogues else (headings, {})
    proposed, about_parts = proposed_parts(parts, mpns, catalogues, of_parts, cache=cache)
    inspection, problems = read_inspection([file], of_lists or {})
    judgements = judgements_of(inspection, read_policy(policy))
    together = (*problems, *about_parts)
    if position is None:
        everywhere = tuple(tuple(where_may_it_go(judgements, part)) for part in proposed)
        return Checked((), (), everywhere, together, tuple(about_parts))
    judgement = find_position(judgements, position)
    checks = best_first(check_part(judgement, part) for part in proposed)
    behind = tuple(why_behind(better, worse) for better, worse in pairwise(checks))
    return Checked(tuple(checks), behind, (), together, tuple(about_parts))


def advise(
    file: str | Path, *, policy: str = "usual", headings: Mapping[str, str] | None = None
) -> tuple[tuple[Suggestion, ...], list[Problem]]:
    """Return the missing readings worth taking, the one that may change most first."""
    from recap.advice import advise as suggest

    inspection, problems = read_inspection([file], headings or {})
    return suggest(inspection, read_policy(policy)), problems


@dataclass(frozen=True, slots=True)
class SignedOff:
    """What `sign_off` found, what is to be said about the files, and the records written."""

    found: SignOff
    problems: tuple[Problem, ...]
    written: tuple[Path, ...]


def sign_off(
    files: Sequence[str | Path], *, on: date | None = None, out: str | Path | None = None, record: bool = True
) -> SignedOff:
    """Say what filled work orders and bring-ups show, and write the record; a folder stands for all in it.

    `on` is the date to give it, `out` the folder of the record, else that of the first file.
    Raises UnreadableFile for a file that is none of ours, RecapError when the record cannot be written.
    """
    from recap.bench import sign_off as bench
    from recap.outputs.records import write_records
    from recap.outputs.signing_files import read_all

    filled, problems = read_all([Path(file) for file in files])
    found = bench.sign_off(filled, on)
    folder = Path(out) if out is not None else bench_folder(Path(files[0]))
    written = write_records(found, folder) if record else []
    return SignedOff(found, tuple(problems), tuple(written))


def bench_folder(first: Path) -> Path:
    """Return where the record goes: the folder itself, or the file's folder."""
    return first if first.is_dir() else first.parent


def rules(rule_id: str | None = None) -> tuple[Rule, ...]:
    """Return all rules in report order, or the one of that id; raises RecapError for an unknown id."""
    if rule_id is None:
        return RULES
    found = tuple(rule for rule in RULES if rule.id == rule_id)
    if not found:
        known = ", ".join(rule.id for rule in RULES)
        raise RecapError(f'there is no rule "{rule_id}"; the rules are {known}')
    return found
