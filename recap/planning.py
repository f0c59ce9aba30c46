"""The whole story on one screen: from what was found to what is to be done.

An inspection and a policy go in. Every position becomes a case, every case a judgement; judgements that call
for parts become order lines; all of them become work orders, board by board. Nothing is dropped on the way.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import TYPE_CHECKING

from recap.bench.bring_up import bring_up
from recap.bench.drawer import DrawerResistor
from recap.bench.make_safe import make_safe
from recap.bench.needs import bench_sundries
from recap.bench.work_order import arrange
from recap.buying.lines import order_lines
from recap.buying.sundries import sundries
from recap.model import Decision, Inspection, Judgement, Plan
from recap.policy import Policy, read_policy
from recap.rules.cases import cases
from recap.rules.judging import judge_all
from recap.rules.random_failures import random_failures

if TYPE_CHECKING:
    from recap.parts.catalogue import Catalogue


def judgements_of(
    inspection: Inspection, policy: Policy, present_year: int | None = None
) -> tuple[Judgement, ...]:
    """Return what is decided and demanded at every position, as seen from a year (this one, unless it is given)."""
    year = present_year or int(policy.number("decision", "present_year")) or date.today().year
    return judge_all(cases(inspection, policy, year))


def plan(
    inspection: Inspection,
    policy: Policy | None = None,
    present_year: int | None = None,
    drawer: Sequence[DrawerResistor] = (),
    catalogue: Catalogue | None = None,
) -> Plan:
    """Return the plan for an inspection under a policy, as seen from a year (this one, unless it is given).

    `drawer` holds load resistors at hand, of which dummy loads are put together. With a catalogue the lines name
    the parts of the cheapest order, without one they ask for specifications.
    """
    policy = policy or read_policy()
    judgements = judgements_of(inspection, policy, present_year)
    purchase = None
    if catalogue is None:
        lines = order_lines(judgements, policy, (Decision.REPLACE,))
    else:
        from recap.buying.purchase import choose

        judgements, lines, purchase = choose(judgements, catalogue, policy)
    safe, first_power = make_safe(inspection), bring_up(inspection, judgements, drawer)
    return Plan(
        inspection=inspection,
        policy=policy.name,
        policy_choices=policy.choices(),
        judgements=judgements,
        lines=lines,
        lines_if_failed=order_lines(judgements, policy, (Decision.MEASURE, Decision.REFORM), letter="F"),
        sundries=(*sundries(judgements, lines), *bench_sundries(safe, first_power)),
        work=arrange(inspection, judgements),
        make_safe=safe,
        bring_up=first_power,
        random_failures=tuple(
            found for unit in inspection.units if (found := random_failures(unit, judgements)) is not None
        ),
        purchase=purchase,
    )
