"""Signing off at its edges: figures on a limit and just past it, units never used, entries that are no tick."""

from __future__ import annotations

import dataclasses
import json
from datetime import date
from pathlib import Path

import pytest

from recap.bench.filled import Filled, read_filled
from recap.bench.readings_verdict import judge_reading
from recap.bench.sign_off import sign_off
from recap.model.sign_off import FoundReading, ReadingLimit, RowKind, Verdict
from recap.problems import UnreadableFile
from tests.filled_documents import fill_workbook, filled_documents
from tests.test_sign_off import key, plan, row

VOLTS = ReadingLimit("rail", "Rail", "V", ("volts",), low=11.4, high=12.6)
ESR = ReadingLimit(
    "esr", "ESR", "ohm", ("esr",), low=0.05, high=2.0, remark_low=0.1, remark_high=1.5,
    frequency_fields=("khz",), at_hz=120.0, high_frequency=0.5,
)  # fmt: skip


def verdict(limit: ReadingLimit, value: object, khz: object = None) -> Verdict:
    return found(limit, value, khz).verdict


def found(limit: ReadingLimit, value: object, khz: object = None) -> FoundReading:
    (only,) = judge_reading(limit, {limit.fields[0]: value, "khz": khz})
    return only


@pytest.mark.parametrize("value", [11.4, 12.0, 12.6, "11.4", "12,6"])
def test_on_its_limits_a_rail_passes(value: object) -> None:
    assert verdict(VOLTS, value) is Verdict.PASSED


@pytest.mark.parametrize("value", [11.399, 12.601, 0.0, "< 11", "> 13"])
def test_past_its_limits_a_rail_fails(value: object) -> None:
    assert verdict(VOLTS, value) is Verdict.NOT_PASSED


@pytest.mark.parametrize("value", ["< 12.6", "> 11.4", "> 12", "< 13"])
def test_a_bound_that_leaves_it_open_passes_nothing(value: str) -> None:
    assert verdict(VOLTS, value) is Verdict.INCOMPLETE


def test_rounding_of_large_and_small_figures_is_forgiven_and_no_more() -> None:
    large = ReadingLimit("rail", "Rail", "V", ("volts",), low=1000.0, high=1000.0)
    assert verdict(large, 1000.0 + 5e-7) is verdict(large, 1000.0 - 5e-7) is Verdict.PASSED
    assert verdict(large, 1000.0 + 5e-6) is verdict(large, 1000.0 - 5e-6) is Verdict.NOT_PASSED


def test_only_a_sign_left_out_is_hinted_at() -> None:
    negative = dataclasses.replace(VOLTS, low=-12.6, high=-11.4)
    assert "sign" in found(negative, 12.0).because
    assert "sign" not in found(negative, 13.0).because
    assert "sign" not in found(dataclasses.replace(negative, unit="A"), 12.0).because


def test_limits_are_told_to_four_figures() -> None:
    assert "12.35 V" in found(dataclasses.replace(VOLTS, high=12.35), 13.0).because


@pytest.mark.parametrize(
    ("ohm", "khz", "expected"),
    [
        # where the limit holds: at most 2 ohm, a new part 1.5 ohm
        (1.5, 0.12, Verdict.PASSED),
        (1.51, 0.12, Verdict.PASSED_WITH_REMARKS),
        (2.0, 0.12, Verdict.PASSED_WITH_REMARKS),
        (2.1, 0.12, Verdict.NOT_PASSED),
        # ESR falls with frequency: what passes below 120 Hz passes at it, what fails above it fails at it
        (2.0, 0.01, Verdict.PASSED),
        (2.1, 0.01, Verdict.INCOMPLETE),
        ("> 1", 0.01, Verdict.INCOMPLETE),
        (2.1, 100, Verdict.NOT_PASSED),
        ("> 1", 100, Verdict.INCOMPLETE),
        # above it the guide at 100 kHz and the floor of the loop
        (0.5, 100, Verdict.PASSED),
        (0.51, 100, Verdict.PASSED_WITH_REMARKS),
        (0.1, 100, Verdict.PASSED),
        (0.09, 100, Verdict.PASSED_WITH_REMARKS),
        (0.05, 100, Verdict.PASSED_WITH_REMARKS),
        (0.04, 100, Verdict.NOT_PASSED),
        # between the bands a reading says little
        (0.3, 3, Verdict.PASSED_WITH_REMARKS),
        # no frequency, no verdict
        (0.3, None, Verdict.INCOMPLETE),
    ],
)
def test_esr_at_its_frequency(ohm: object, khz: object, expected: Verdict) -> None:
    assert verdict(ESR, ohm, khz) is expected


def test_a_floor_is_held_only_where_esr_meters_read() -> None:
    assert verdict(ESR, 0.01, 0.12) is Verdict.PASSED


@pytest.mark.parametrize(
    ("hz", "expected"),
    [
        (110.0, Verdict.PASSED),
        (90.0, Verdict.PASSED),
        (111.0, Verdict.PASSED_WITH_REMARKS),
        (89.0, Verdict.PASSED_WITH_REMARKS),
    ],
)
def test_a_frequency_within_a_tenth_is_the_expected_one(hz: float, expected: Verdict) -> None:
    assert verdict(ReadingLimit("frequency", "Ripple", "Hz", ("hz",), expected_hz=100.0), hz) is expected


def test_an_assumed_limit_passes_only_with_a_remark() -> None:
    assert verdict(dataclasses.replace(VOLTS, assumed=True), 12.0) is Verdict.PASSED_WITH_REMARKS
    assert verdict(dataclasses.replace(VOLTS, assumed=True), 13.0) is Verdict.NOT_PASSED


def test_a_reading_is_missed_only_where_it_must_be() -> None:
    assert [each.verdict for each in judge_reading(VOLTS, {})] == [Verdict.INCOMPLETE]
    assert judge_reading(dataclasses.replace(VOLTS, required=False), {}) == ()


def settled() -> list[Filled]:
    """Everything filled in well, the stop taken off the list as after planning again."""
    files = filled_documents(plan())
    for each in files:
        assert each.expected is not None
        stops = {row.key for row in each.expected.rows if row.kind is RowKind.STOP}
        rows = tuple(row for row in each.expected.rows if row.key not in stops)
        each.expected = dataclasses.replace(each.expected, rows=rows, use_h_per_year=0.0)
        each.positions = {name: entries for name, entries in each.positions.items() if name not in stops}
    return files


def test_a_unit_that_is_never_on_is_looked_at_again_all_the_same() -> None:
    unit = sign_off(settled(), date(2026, 3, 14)).units[0]
    assert unit.next_look
    assert "lowest estimate" not in unit.next_look_why


@pytest.mark.parametrize(("entry", "shown"), [(7.0, "7 "), (9876.5, "9876.5 "), ("1.5", "1.5 ")])
def test_a_failing_figure_is_told_with_its_unit(entry: object, shown: str) -> None:
    files = settled()
    files[0].positions[key("PSU/C1")]["goods_in_capacitance_uf"] = entry  # type: ignore[assignment]
    told = row(sign_off(files, date(2026, 3, 14)), key("PSU/C1")).failures
    assert any(f"{shown}µF" in text for text in told), told


@pytest.mark.parametrize(
    "part", [{"board_fields": {"date": "x"}}, {"positions": {"C1": {"fitted": True}}}, {"beside": 1}]
)
def test_one_entry_anywhere_is_an_entry(part: dict[str, object]) -> None:
    assert Filled(**part).anything  # type: ignore[arg-type]
    assert not Filled().anything


def saved(tmp_path: Path, **parts: object) -> Path:
    path = tmp_path / "readings.json"
    path.write_text(json.dumps({"format": "recap readings", "plan": "0", "unit": "Quern", **parts}), "utf-8")
    return path


@pytest.mark.parametrize("document", ["work-order", "an invented one", "zz"])
def test_only_a_bring_up_may_leave_its_board_unnamed(tmp_path: Path, document: str) -> None:
    with pytest.raises(UnreadableFile, match="does not name its board"):
        read_filled(saved(tmp_path, document=document))
    assert read_filled(saved(tmp_path, document="bring-up")).board == ""


def test_saved_readings_keep_texts_ticks_and_figures(tmp_path: Path) -> None:
    entries = {"result": "pass", "fitted": True, "cycles": 3, "esr": 0.25}
    path = saved(tmp_path, board="PSU", positions={"C1": {**entries, "odd": [1], "none": None}}, board_fields=entries)
    filled = read_filled(path)
    assert filled.positions == {"C1": entries}
    assert filled.board_fields == entries


@pytest.mark.parametrize(
    ("entry", "kept"), [(" Yes ", True), ("yes, but warm", "yes, but warm"), ("yielding", "yielding")]
)
def test_only_the_word_itself_in_a_workbook_is_a_tick(tmp_path: Path, entry: str, kept: object) -> None:
    from recap.outputs.work_order_workbook import write_work_order_workbook

    path = tmp_path / "order.xlsx"
    write_work_order_workbook(plan(), plan().work[0], "0123456789abcdef", path)
    filled = filled_documents(plan())[0]
    filled.board_fields["instrument"] = entry
    fill_workbook(path, filled)
    assert read_filled(path).board_fields["instrument"] == kept
