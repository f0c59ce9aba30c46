"""The whole story on one screen: from what was found to what is to be done.

An inspection and a policy go in. Every position becomes a case, every case a judgement; judgements that call
for parts become order lines; all of them become work orders, board by board. Nothing is dropped on the way.
"""

from __future__ import annotations

from datetime import date

from recap.bench.work_order import arrange
from recap.buying.lines import order_lines
from recap.buying.sundries import sundries
from recap.model import Decision, Inspection, Plan
from recap.policy import Policy, read_policy
from recap.rules.cases import cases
from recap.rules.judging import judge_all


def plan(
    inspection: Inspection, policy: Policy | None = None, present_year: int | None = None
) -> Plan:
    """Return the plan for an inspection under a policy, as seen from a year (this one, unless it is given)."""
    policy = policy or read_policy()
    year = present_year or int(policy.number("decision", "present_year")) or date.today().year
    judgements = judge_all(cases(inspection, policy, year))
    lines = order_lines(judgements, policy, (Decision.REPLACE,))
    return Plan(
        inspection=inspection,
        policy=policy.name,
        policy_choices=policy.choices(),
        judgements=judgements,
        lines=lines,
        lines_if_failed=order_lines(judgements, policy, (Decision.MEASURE, Decision.REFORM), letter="F"),
        sundries=sundries(judgements, lines),
        work=arrange(inspection, judgements),
    )
