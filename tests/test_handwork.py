"""What the hands do at a step: dimensions of formed leads, seat, heat, pads, photo and bag, on page and sheet alike."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from openpyxl import load_workbook
from sample_plan import sample_plan

from recap.model import Condition, Decision, Judgement
from recap.model.part import Part
from recap.outputs.handwork import handwork
from recap.outputs.page import work_order_page
from recap.outputs.plan_json import plan_digest
from recap.outputs.work_order_workbook import write_work_order_workbook

PLAN = sample_plan()
REPLACED = [j for work in PLAN.work for j in work.steps if j.decision is Decision.REPLACE and j.specification]


def fitted(mounting: str, holes: tuple[float, ...], **given: object) -> Judgement:
    spec = REPLACED[0].specification
    assert spec is not None
    return replace(
        REPLACED[0],
        specification=replace(spec, mounting=mounting, lead_spacings_mm=holes, **given),  # type: ignore[arg-type]
    )


@pytest.mark.parametrize(
    ("mounting", "holes", "part", "said"),
    [
        ("radial", (5.0,), None, "Leads: straight into holes 5 mm apart, no bend."),
        ("radial", (5.0, 2.5), None, "from 2.5 mm bend each 1.25 mm outwards; first bend at least 2 mm from the seal"),
        ("radial", (5.0,), Part(lead_spacing_mm=7.5), "Leads: from 7.5 mm bend each 1.25 mm inwards"),
        ("axial", (44.0,), Part(mounting="axial", length_mm=30.0), "a body of 30 mm that is 7 mm from each end"),
        ("axial", (44.0,), Part(mounting="radial", lead_spacing_mm=10.0), "from 10 mm bend each 17 mm outwards"),
        ("SMD can", (), None, "Leads: none to form (SMD can)."),
        ("radial", (), None, "hole spacing not recorded; measure it"),
    ],
)
def test_leads_are_formed_to_dimensions(mounting: str, holes: tuple[float, ...], part: Part | None, said: str) -> None:
    assert said in handwork(fitted(mounting, holes), part)[0]


def test_a_leak_is_cleaned_before_the_new_part_goes_in() -> None:
    found = fitted("radial", (5.0,))
    leaked = replace(found, position=replace(found.position, conditions=frozenset({Condition.LEAKED})))
    assert "deionised water" in " ".join(handwork(leaked))
    sound = replace(found, position=replace(found.position, conditions=frozenset(), photo="P7"))
    said = " ".join(handwork(sound))
    assert "deionised" not in said
    assert "photo P7" in said
    assert "Heat: leaded solder (183 °C), iron 350 °C, at most 3 s a lead." in said


def test_every_step_of_page_and_sheet_tells_leads_seat_heat_pads_and_bag(tmp_path: Path) -> None:
    work, digest = PLAN.work[0], plan_digest(PLAN)
    write_work_order_workbook(PLAN, work, digest, tmp_path / "w.xlsx")
    rows = ["\n".join(str(cell) for cell in row if cell) for row in load_workbook(tmp_path / "w.xlsx")["Steps"].values]
    page = work_order_page(PLAN, work, digest)
    replaced = [j for j in work.steps if j.decision is Decision.REPLACE]
    for word in ("Leads: ", "Seat: ", "Heat: ", "Pads: ", "Bag: "):
        assert sum(word in row for row in rows) >= len(replaced)
        assert page.count(word) >= len(replaced)
