"""The plan document also tells how to make safe and how to bring up."""

from __future__ import annotations

import json

from recap.outputs.plan_json import as_text, plan_document
from recap.planning import plan
from tests.bench_inspection import UNIT, Role, SupplyKind, inspection, position, rail
from tests.command_line import assert_described

PLAN = plan(
    inspection(
        position("PSU/C1", 220e-6, 400.0, rail="HT", role=Role.PRIMARY_RESERVOIR),
        position("PSU/C2", 1000e-6, 16.0, rail="+12V", role=Role.RESERVOIR),
        rails=(rail("HT", 320.0, SupplyKind.BRIDGE), rail("+12V", 12.0, SupplyKind.FLYBACK, full_load_a=1.0)),
        mains_voltage_v=230.0,
        mains_frequency_hz=50.0,
    ),
    present_year=2026,
)


def test_every_unit_and_board_has_its_charges_and_every_unit_its_first_power() -> None:
    document = json.loads(as_text(plan_document(PLAN)))
    assert_described(document, "plan")
    result = document["result"]
    assert [(safe["unit"], safe["board"]) for safe in result["make_safe"]] == [
        (safe.unit, safe.board) for safe in PLAN.make_safe
    ]
    banks = result["make_safe"][0]["banks"]
    assert banks[0]["passed"], "220 µF at 400 V reaches a published limit"
    assert sum(bank["energy_j"] for bank in banks) == result["make_safe"][0]["energy_j"]
    assert all(member["key"].startswith(UNIT) for bank in banks for member in bank["members"])
    (first,) = result["bring_up"]
    assert [rail["name"] for rail in first["rails"]] == [rail.name for rail in PLAN.bring_up[0].rails]
    assert all(limit["source"] for bank in banks for limit in bank["passed"])
