"""The bring-up of one unit as a page that needs nothing but a browser or a printer."""

from __future__ import annotations

from typing import TYPE_CHECKING

from recap.bench import bring_up_fields as fields
from recap.bench.expected_bring_up import again, expected_of_bring_up
from recap.bench.expected_json import as_text
from recap.bench.reforming import REFORM_RULES
from recap.bench.work_fields import READINGS_FORMAT, READINGS_VERSION, REMARKS, RESULT
from recap.outputs import bring_up_words as words
from recap.outputs.inspection_rows import with_sheets
from recap.outputs.page import embedded, make_safe_of, make_safe_steps, render

if TYPE_CHECKING:
    from recap.model import Plan
    from recap.model.bench import BringUp


def bring_up_page(plan: Plan, first_power: BringUp, digest: str) -> str:
    """Return the page of one unit's first power as HTML text."""
    unit = plan.inspection.unit(first_power.unit)
    rails = {rail.name: rail for rail in first_power.rails}
    return render(
        "bring_up.html.j2",
        unit=unit,
        first_power=first_power,
        digest=digest,
        safe=make_safe_of(plan, unit.name),
        make_safe=make_safe_steps(plan, unit.name),
        stages=[(stage, again(stage, rails)) for stage in first_power.stages],
        reform_rules=REFORM_RULES,
        fields=fields,
        remarks=REMARKS,
        result=RESULT,
        words=words,
        expected=embedded(as_text(with_sheets(plan, expected_of_bring_up(plan, first_power, digest)))),
        saved={"format": READINGS_FORMAT, "version": READINGS_VERSION, "document": fields.BRING_UP},
    )
