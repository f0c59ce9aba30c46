"""Sign-off: every verdict, and why; nothing passes by default."""

from __future__ import annotations

import dataclasses
import json
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from recap.bench.filled import Entry, Filled, read_filled
from recap.bench.sign_off import rail_verdicts, sign_off
from recap.model import (
    Basis,
    Body,
    Condition,
    Decision,
    Downstream,
    Inspection,
    Kind,
    LifeEstimate,
    Marked,
    Measured,
    Mounting,
    Orientation,
    Plan,
    PlusAt,
    Polarity,
    Position,
    PositionKey,
    Rail,
    Role,
    Specification,
    SupplyKind,
    Tristate,
    Unit,
)
from recap.model.sign_off import RowKind, RowVerdict, SignOff, Verdict
from tests.bench_inspection import UNIT, judgements
from tests.filled_documents import fill_workbook, filled_documents

ON = date(2026, 3, 14)


@cache
def plan() -> Plan:
    """A supply with one part of each decision, and a logic board that cannot be replaced."""
    from recap.bench.bring_up import bring_up
    from recap.bench.make_safe import make_safe
    from recap.bench.work_order import arrange

    unit = Unit(
        UNIT,
        serial="77",
        mains_voltage_v=230.0,
        mains_frequency_hz=50.0,
        chassis_isolated=Tristate.YES,
        downstream=Downstream.IRREPLACEABLE,
        rails=(
            Rail("+12V", "PSU", ("CPU",), 12.0, tolerance=0.05, ripple_limit_v=0.12, full_load_a=1.0,
                 supply=SupplyKind.LINEAR_REGULATED),
            Rail("-12V", "PSU", ("CPU",), -12.0, tolerance=0.1, ripple_limit_v=0.12, full_load_a=0.2,
                 supply=SupplyKind.LINEAR_REGULATED),
        ),
    )  # fmt: skip
    polarity = Polarity("nearer D1", PlusAt.A, PlusAt.A, PlusAt.A)
    wet = Body(Kind.WET_ALUMINIUM, Mounting.RADIAL)
    parts = {
        "PSU/C1": Marked(1000e-6, 25.0),
        "PSU/C2": Marked(2200e-6, 40.0),
        "PSU/C3": Marked(100e-6, 25.0),
        "CPU/C1": Marked(47e-6, 25.0),
        "CPU/C2": Marked(10e-6, 25.0),
        "CPU/C3": Marked(1e-7, 63.0),
    }
    decisions = {
        "PSU/C1": Decision.REPLACE,
        "PSU/C2": Decision.REFORM,
        "PSU/C3": Decision.MEASURE,
        "CPU/C1": Decision.REPLACE,
        "CPU/C2": Decision.STOP,
        "CPU/C3": Decision.KEEP,
    }
    positions = tuple(
        Position(
            PositionKey(UNIT, *name.split("/")),
            marked=marked,
            body=dataclasses.replace(wet, kind=Kind.FILM) if name == "CPU/C3" else wet,
            polarity=polarity,
            role=Role.DECOUPLING,
            rail="+12V",
            conditions=frozenset({Condition.SOUND}),
            measured=Measured(esr_ohm=0.9, esr_frequency_hz=100e3) if name == "PSU/C1" else Measured(),
        )
        for name, marked in parts.items()
    )
    inspection = Inspection(("quern.xlsx",), (unit,), positions)
    judged = []
    for item in judgements(inspection):
        decision = decisions[f"{item.key.board}/{item.key.designator}"]
        value = item.position.capacitance_f or 0.0
        spec = Specification(value, (value, 1.5 * value), 25.0, ("wet aluminium",), "radial",
                             esr_max_ohm=0.3, esr_frequency_hz=120.0)  # fmt: skip
        judged.append(
            dataclasses.replace(
                item,
                decision=decision,
                meant=Decision.REPLACE if decision is Decision.STOP else decision,
                specification=spec,
                stops=("Print and meter disagree.",) if decision is Decision.STOP else (),
                orientation=Orientation("Plus nearer D1.", plus_at=PlusAt.A),
                life_planned=LifeEstimate(1000.0, 2000.0, 4000.0, "ten-degree rule", Basis.ASSUMED),
            )
        )
    return Plan(
        inspection, "usual", (), tuple(judged), (), (), arrange(inspection, judged),
        make_safe=make_safe(inspection), bring_up=bring_up(inspection, judged),
    )  # fmt: skip


def signed(changes: dict[str, dict[str, Entry | None]] | None = None, drop: str = "") -> SignOff:
    """Sign off everything filled in well, with changes by position or row, the stop set aside."""
    files = filled_documents(plan())
    for key, entries in (changes or {}).items():
        document = next(each for each in files if key in {row.key for row in each.expected.rows})  # type: ignore[union-attr]
        for name, value in entries.items():
            row = document.positions.setdefault(key, {})
            if value is None:
                row.pop(name, None)
            else:
                row[name] = value
    return sign_off([each for each in files if (each.board or each.document) != drop], ON)


def without_stop(found: SignOff) -> list[RowVerdict]:
    return [row for board in found.units[0].boards for row in board.rows if row.kind is not RowKind.STOP]


def row(found: SignOff, key: str) -> RowVerdict:
    return next(row for board in found.units[0].boards for row in board.rows if row.key == key)


def key(name: str) -> str:
    return f"{UNIT}/{name}"


class TestPositions:
    def test_everything_but_the_stop_passes_when_filled_in_well(self) -> None:
        found = signed()
        assert {each.verdict for each in without_stop(found)} <= {Verdict.PASSED, Verdict.LEFT_ALONE}
        assert [row(found, key(name)).verdict for name in ("PSU/C1", "PSU/C2", "PSU/C3")] == [Verdict.PASSED] * 3

    @pytest.mark.parametrize("field", ["removed", "pad_inspected", "fitted", "polarity_checked",
                                       "continuity_checked", "second_person_check", "result"])  # fmt: skip
    def test_an_empty_box_is_incomplete(self, field: str) -> None:
        assert row(signed({key("PSU/C1"): {field: None}}), key("PSU/C1")).verdict is Verdict.INCOMPLETE

    @pytest.mark.parametrize("field", ["goods_in_capacitance_uf", "goods_in_esr_ohm", "goods_in_esr_frequency_khz"])
    def test_an_empty_reading_is_incomplete(self, field: str) -> None:
        assert row(signed({key("PSU/C1"): {field: None}}), key("PSU/C1")).verdict is Verdict.INCOMPLETE

    def test_a_reading_afterwards_does_as_well_as_one_before_fitting(self) -> None:
        moved: dict[str, Entry | None] = {"goods_in_capacitance_uf": None, "after_capacitance_uf": 1100.0}
        assert row(signed({key("PSU/C1"): moved}), key("PSU/C1")).verdict is Verdict.PASSED

    @pytest.mark.parametrize(
        ("value", "verdict"),
        [(799.0, Verdict.NOT_PASSED), (800.0, Verdict.PASSED), (1800.0, Verdict.PASSED), (1801.0, Verdict.NOT_PASSED),
         ("1100", Verdict.PASSED), ("1.100,0", Verdict.INCOMPLETE), ("1,100", Verdict.INCOMPLETE),
         ("about 1000", Verdict.INCOMPLETE), ("> 900", Verdict.INCOMPLETE), ("< 500", Verdict.NOT_PASSED)],
    )  # fmt: skip
    def test_capacitance_of_a_new_part(self, value: Entry, verdict: Verdict) -> None:
        found = signed({key("PSU/C1"): {"goods_in_capacitance_uf": value}})
        assert row(found, key("PSU/C1")).verdict is verdict

    @pytest.mark.parametrize(
        ("ohm", "khz", "verdict"),
        [
            (0.3, 0.12, Verdict.PASSED),
            (0.31, 0.12, Verdict.NOT_PASSED),
            (0.29, 0.1, Verdict.PASSED),
            (0.09, 100, Verdict.PASSED),
            (0.2, 100, Verdict.PASSED_WITH_REMARKS),
            (0.31, 100, Verdict.NOT_PASSED),
            (0.29, 1, Verdict.PASSED_WITH_REMARKS),
        ],
    )
    def test_esr_is_compared_at_its_own_frequency(self, ohm: float, khz: float, verdict: Verdict) -> None:
        found = signed({key("PSU/C1"): {"goods_in_esr_ohm": ohm, "goods_in_esr_frequency_khz": khz}})
        assert row(found, key("PSU/C1")).verdict is verdict

    def test_the_technicians_no_outweighs_good_readings(self) -> None:
        assert row(signed({key("PSU/C1"): {"result": "not passed"}}), key("PSU/C1")).verdict is Verdict.NOT_PASSED

    def test_a_pass_does_not_outweigh_a_bad_reading(self) -> None:
        found = row(signed({key("PSU/C1"): {"goods_in_capacitance_uf": 10.0, "result": "pass"}}), key("PSU/C1"))
        assert found.verdict is Verdict.NOT_PASSED
        assert found.failures == ("C 10 µF: must lie between 800 µF and 1,800 µF",)

    @pytest.mark.parametrize("entry", [{"result": "pass with remarks"}, {"remarks": "pad lifted, wire added"}])
    def test_remarks_are_carried(self, entry: dict[str, Entry | None]) -> None:
        assert row(signed({key("PSU/C1"): entry}), key("PSU/C1")).verdict is Verdict.PASSED_WITH_REMARKS

    def test_a_word_that_is_no_result_is_incomplete(self) -> None:
        assert row(signed({key("PSU/C1"): {"result": "ok"}}), key("PSU/C1")).verdict is Verdict.INCOMPLETE

    # 0.01·2200·40 + 3 = 883 µA
    @pytest.mark.parametrize(("leak", "verdict"), [(883.0, Verdict.PASSED), (884.0, Verdict.NOT_PASSED),
                                                   (None, Verdict.INCOMPLETE)])  # fmt: skip
    def test_a_reformed_part_must_leak_little(self, leak: float | None, verdict: Verdict) -> None:
        assert row(signed({key("PSU/C2"): {"after_leakage_ua": leak}}), key("PSU/C2")).verdict is verdict

    @pytest.mark.parametrize(("value", "verdict"), [(79.0, Verdict.NOT_PASSED), (81.0, Verdict.PASSED),
                                                    (181.0, Verdict.PASSED_WITH_REMARKS)])  # fmt: skip
    def test_an_old_part_that_reads_high_is_suspected_of_leakage(self, value: float, verdict: Verdict) -> None:
        assert row(signed({key("PSU/C3"): {"before_capacitance_uf": value}}), key("PSU/C3")).verdict is verdict

    def test_a_stop_is_incomplete_until_it_is_settled_and_planned_again(self) -> None:
        found = signed()
        stop = row(found, key("CPU/C2"))
        assert stop.verdict is Verdict.INCOMPLETE
        assert "plan again" in stop.lacking[0]
        open_ = row(signed({key("CPU/C2"): {"settled": None}}), key("CPU/C2"))
        assert open_.lacking == ("Settled is not ticked",)

    def test_what_was_left_alone_says_why(self) -> None:
        kept = row(signed(), key("CPU/C3"))
        assert kept.verdict is Verdict.LEFT_ALONE
        assert kept.about


class TestRails:
    def test_the_rails_pass(self) -> None:
        rails = rail_verdicts(signed().units[0])
        assert {name: verdict for name, (verdict, _) in rails.items()} == {
            "+12V": Verdict.PASSED,
            "-12V": Verdict.PASSED,
        }

    @pytest.mark.parametrize(
        ("field", "value", "verdict"),
        [
            ("full_cold_dc_v", 12.6, Verdict.PASSED),
            ("full_cold_dc_v", 12.61, Verdict.NOT_PASSED),
            ("full_warm_ripple_mv", 120.0, Verdict.PASSED),
            ("full_warm_ripple_mv", 121.0, Verdict.NOT_PASSED),
            ("soaked_ripple_mv", None, Verdict.INCOMPLETE),
            ("least_cold_dc_v", None, Verdict.INCOMPLETE),
            ("ripple_frequency_hz", None, Verdict.INCOMPLETE),
            ("ripple_frequency_hz", "none", Verdict.PASSED),
            ("ripple_frequency_hz", 50.0, Verdict.PASSED_WITH_REMARKS),
            ("full_warm_ripple_mv", "none", Verdict.INCOMPLETE),
        ],
    )
    def test_every_reading_counts(self, field: str, value: Entry | None, verdict: Verdict) -> None:
        assert rail_verdicts(signed({"rail:+12V": {field: value}}).units[0])["+12V"][0] is verdict

    def test_a_meter_alone_does_not_pass_a_rail(self) -> None:
        ripple: dict[str, Entry | None] = {
            f"{state}_ripple_mv": None for state in ("least_cold", "full_cold", "full_warm", "soaked")
        }
        assert rail_verdicts(signed({"rail:+12V": ripple}).units[0])["+12V"][0] is Verdict.INCOMPLETE

    def test_a_lost_sign_is_pointed_out(self) -> None:
        found = row(signed({"rail:-12V": {"full_cold_dc_v": 12.0}}), "rail:-12V")
        assert found.verdict is Verdict.NOT_PASSED
        assert "if only the sign was left out, write it" in found.failures[0]

    def test_an_unpowered_rail_below_its_loads_resistance_fails(self) -> None:
        found = rail_verdicts(signed({"resistance:+12V": {"forward_ohm": 11.9, "reverse_ohm": "OL"}}).units[0])
        assert found["+12V"][0] is Verdict.NOT_PASSED

    def test_a_rail_that_moves_when_a_board_goes_in_fails(self) -> None:
        found = rail_verdicts(signed({"stage:CPU:-12V": {"ripple_mv": 300.0}}).units[0])
        assert found["-12V"][0] is Verdict.NOT_PASSED

    def test_a_hold_asks_for_a_name(self) -> None:
        assert row(signed({"stage:CPU": {"released_by": None}}), "stage:CPU").verdict is Verdict.INCOMPLETE


class TestUnit:
    def settled(self) -> list[Filled]:
        """Everything filled in, the stop taken off the list as after planning again."""
        files = filled_documents(plan())
        for each in files:
            assert each.expected is not None
            rows = tuple(item for item in each.expected.rows if item.kind is not RowKind.STOP)
            each.expected = dataclasses.replace(each.expected, rows=rows)
            each.positions.pop(key("CPU/C2"), None)
        return files

    def test_a_unit_passes_when_everything_does(self) -> None:
        found = sign_off(self.settled(), ON)
        assert found.verdict is Verdict.PASSED
        assert found.units[0].next_look == "2027-03-14"
        assert "old parts stay" in found.units[0].next_look_why

    def test_the_lowest_life_of_a_new_part_brings_the_next_look_forward(self) -> None:
        files = self.settled()
        for each in files:
            assert each.expected is not None
            each.expected = dataclasses.replace(each.expected, use_h_per_year=2000.0)
        found = sign_off(files, ON).units[0]
        assert found.next_look == "2026-09-12"  # half a year of 2,000 h on 1,000 h
        assert "lowest estimate of life" in found.next_look_why

    @pytest.mark.parametrize("missing", ["PSU", "CPU", "bring-up"])
    def test_a_missing_document_is_incomplete_and_named(self, missing: str) -> None:
        files = [each for each in self.settled() if (each.board or each.document) != missing]
        found = sign_off(files, ON)
        assert found.verdict is Verdict.INCOMPLETE
        assert any(missing in text for text in found.units[0].lacking)
        assert found.units[0].next_look == ""

    @pytest.mark.parametrize("field", ["technician", "checker", "date", "instrument"])
    def test_an_unsigned_board_is_incomplete(self, field: str) -> None:
        files = self.settled()
        del files[0].board_fields[field]
        assert sign_off(files, ON).verdict is Verdict.INCOMPLETE

    def test_one_person_twice_is_remarked(self) -> None:
        files = self.settled()
        files[0].board_fields["checker"] = files[0].board_fields["technician"]
        assert sign_off(files, ON).verdict is Verdict.PASSED_WITH_REMARKS

    def test_two_files_that_disagree_are_incomplete(self) -> None:
        files = self.settled()
        other = dataclasses.replace(files[0], positions={key("PSU/C1"): {"goods_in_capacitance_uf": 1111.0}})
        found = sign_off([*files, other], ON)
        assert found.verdict is Verdict.INCOMPLETE
        assert "two files disagree" in row(found, key("PSU/C1")).lacking[0]

    def test_documents_of_two_plans_are_remarked(self) -> None:
        files = self.settled()
        files[0].plan = "another"
        assert sign_off(files, ON).verdict is Verdict.PASSED_WITH_REMARKS

    def test_the_worst_counts(self) -> None:
        files = self.settled()
        files[0].positions[key("PSU/C1")]["goods_in_capacitance_uf"] = 1.0
        del files[1].board_fields["technician"]
        assert sign_off(files, ON).verdict is Verdict.NOT_PASSED

    def test_entries_of_an_unknown_position_are_not_lost(self) -> None:
        files = self.settled()
        files[0].positions["nowhere"] = {"fitted": True}
        assert sign_off(files, ON).verdict is Verdict.INCOMPLETE

    def test_nothing_filled_in_passes_nothing(self) -> None:
        blank = [dataclasses.replace(each, board_fields={}, positions={}) for each in self.settled()]
        found = sign_off(blank, ON)
        assert found.verdict is Verdict.INCOMPLETE
        verdicts = {row.verdict for board in found.units[0].boards for row in board.rows}
        assert verdicts == {Verdict.INCOMPLETE, Verdict.LEFT_ALONE}

    def test_the_date_on_the_documents_counts_when_none_is_given(self) -> None:
        assert sign_off(self.settled()).units[0].date == "2026-03-14"


def test_what_a_workbook_carries_survives_it(tmp_path: Path) -> None:
    from recap.outputs.work_order_workbook import write_work_order_workbook

    path = tmp_path / "order.xlsx"
    write_work_order_workbook(plan(), plan().work[0], "0123456789abcdef", path)
    filled = filled_documents(plan())[0]
    fill_workbook(path, filled)
    found = read_filled(path)
    assert found.expected == filled.expected
    assert found.positions.keys() == filled.positions.keys()
    assert sign_off([found], ON).units[0].boards[0].verdict is Verdict.PASSED


def test_what_a_document_expects_is_plain_json() -> None:
    from recap.bench.expected_json import as_json, from_json

    for filled in filled_documents(plan()):
        assert filled.expected is not None
        text = json.dumps(as_json(filled.expected), allow_nan=False)
        assert from_json(json.loads(text)) == filled.expected


