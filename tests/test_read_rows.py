"""Rows: designators, sections, doubts, and that each one is accounted for."""

from __future__ import annotations

import csv
import io
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from inspection_files import codes, positions_by_name, read_text, rows_accounted, write_csv, write_form, write_sheets

from recap.intake import read_inspection
from recap.model import (
    Condition,
    Decision,
    Downstream,
    Kind,
    Legible,
    MarkMeaning,
    NetBy,
    PlusAt,
    Role,
    SupplyKind,
    Tristate,
)
from recap.problem_codes import problem_codes
from recap.problems import UnreadableFile

CAPACITOR = {
    "Board": "psu", "Designator": "C17", "Capacitance": "2200", "Volts": "25", "Kind": "wet aluminium",
    "Mounting": "radial", "Diameter mm": "16", "Height mm": "26", "Lead spacing mm": "7.5",
    "Condition": "leaked; crust", "Role": "reservoir", "Rail": "- 12 V", "AC or DC": "DC", "Tolerance %": "-10/+50",
    "Temperature °C": "85", "Marking text": "2200 25 85C", "Date code": "8214", "Legible": "partly",
    "Documented capacitance": "2200", "In circuit": "no", "Measured µF": "1850", "ESR Ω": "0.41",
    "ESR frequency Hz": "100k", "Leakage µA": "35", "Volts in use": "-17.8", "Pad A is": "nearer the fuse",
    "Silkscreen": "mark at A", "As found": "plus at A", "Net": "plus at the other pad", "Net found by": "meter",
    "Decision override": "keep", "Override reason": "matched pair",
}  # fmt: skip


@pytest.fixture(scope="module")
def form(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("form") / "inspection.xlsx"
    return write_form(
        path,
        {
            "Unit": [{"Name": "Merlin", "Year made": "1982", "Hours of use a year": "500"}],
            "Boards": [
                {"Board": "PSU", "Mark means": "minus", "Rails needed": "+5V 1,2 A; -12V 100mA; spare"},
                {"Board": "CPU", "Height limit mm": "20"},
            ],
            "Rails": [
                {"Rail": "-12V", "Made on board": "psu", "Feeds boards": "cpu, PSU", "Nominal V": "-12",
                 "Tolerance %": 5, "Ripple limit mV p-p": "120", "Supply kind": "bridge",
                 "Regulator sensitive to ESR": "no", "Ripple frequency Hz": "100 Hz"},
                {"Rail": "+5V", "Nominal V": "5"},
            ],
            "Capacitors": [CAPACITOR],
        },
    )  # fmt: skip


def test_the_form_is_read_into_the_model(form: Path) -> None:
    inspection, problems = read_inspection([form])
    assert [str(problem) for problem in problems if problem.severity == "error"] == []
    (unit,) = inspection.units
    assert (unit.name, unit.year_made, unit.use_h_per_year, unit.years_wanted) == ("Merlin", 1982, 500, 15)
    assert unit.downstream is Downstream.IRREPLACEABLE
    assert unit.assumed == {"room_temperature_c", "years_wanted", "stance", "downstream"}
    psu, cpu = unit.boards
    assert psu.mark_meaning is MarkMeaning.MINUS
    assert psu.rails_needed == (("+5V", 1.2), ("-12V", 0.1), ("spare", None))
    assert cpu.height_limit_mm == 20
    rail = unit.rails[0]
    assert (rail.made_on, rail.feeds, rail.nominal_v, rail.negative) == ("PSU", ("CPU", "PSU"), -12, True)
    assert (rail.tolerance, rail.ripple_limit_v, rail.supply) == (0.05, 0.12, SupplyKind.BRIDGE)
    assert (rail.esr_sensitive, rail.ripple_frequency_hz) == (Tristate.NO, 100)


def test_a_position_of_the_form(form: Path) -> None:
    position = read_inspection([form])[0].positions[0]
    assert str(position.key) == "Merlin/PSU/C17"
    assert (position.role, position.rail) == (Role.RESERVOIR, "-12V")
    assert position.conditions == {Condition.LEAKED, Condition.CRUST}
    marked, measured, polarity = position.marked, position.measured, position.polarity
    assert (marked.capacitance_f, marked.rated_voltage_v, marked.ac) == (pytest.approx(2.2e-3), 25, False)
    assert marked.tolerance == pytest.approx((-0.1, 0.5))
    assert (marked.temperature_c, marked.year, marked.legible) == (85, 1982, Legible.PARTLY)
    assert (measured.in_circuit, measured.esr_ohm, measured.esr_frequency_hz) == (False, 0.41, 100_000)
    assert (measured.capacitance_f, measured.leakage_a) == (pytest.approx(1.85e-3), pytest.approx(35e-6))
    assert measured.working_voltage_v == -17.8
    assert (polarity.pad_a, polarity.silkscreen) == ("nearer the fuse", PlusAt.MARK_A)
    assert (polarity.as_found, polarity.net, polarity.net_by) == (PlusAt.A, PlusAt.OTHER, NetBy.METER)
    assert (position.override, position.override_reason) == (Decision.KEEP, "matched pair")


def test_problems_name_the_cell(tmp_path: Path) -> None:
    path = write_form(tmp_path / "inspection.xlsx", {"Capacitors": [{**CAPACITOR, "Capacitance": "0,47x"}]})
    inspection, problems = read_inspection([path])
    assert inspection.positions[0].marked.capacitance_f is None
    found = next(problem for problem in problems if problem.code == "not-a-capacitance")
    assert str(found).startswith(f'{path}:Capacitors!C3: warning [not-a-capacitance] "0,47x" ')
    assert found.hint
    reading = next(item for item in inspection.readings if item.text == "0,47x")
    assert reading.certainty == "refused"


@pytest.mark.parametrize(
    ("written", "names"),
    [
        ("C1-C4", ["C1", "C2", "C3", "C4"]), ("C17, C19 and C20", ["C17", "C19", "C20"]), ("C12a", ["C12a"]),
        ("near relay 2", ["near relay 2"]), ("C?", ["C?"]),
    ],
)  # fmt: skip
def test_lists_of_designators_become_positions(tmp_path: Path, written: str, names: list[str]) -> None:
    inspection, problems = read_text(tmp_path, f'Ref;Value\n"{written}";100\n')
    assert [item.key.designator for item in inspection.positions] == names
    assert ("list-expanded" in codes(problems)) == (len(names) > 1)
    assert all(item.quantity == 1 for item in inspection.positions)


def test_quantity_and_designators_that_differ(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Ref;Value;Qty\nC1-C3;100;4\nC9;10;2\n")
    assert len(inspection.positions) == 4
    assert "parts-and-quantity" in codes(problems)
    assert positions_by_name(inspection)["C9"].quantity == 2


def test_a_list_without_designators_names_its_rows(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Value;Volts;Qty\n100;16;4\n")
    assert inspection.positions[0].key.designator == "row 2"
    assert inspection.positions[0].quantity == 4
    assert "rows-as-designators" in codes(problems)


def test_sections_of_one_cell_become_positions(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Ref;Value;Volts\nC1;50+100 µF;350\n")
    names = positions_by_name(inspection)
    assert names["C1/1"].capacitance_f == pytest.approx(50e-6)
    assert names["C1/2"].capacitance_f == pytest.approx(100e-6)
    assert names["C1/2"].rated_voltage_v == 350
    assert "sections-expanded" in codes(problems)
    assert rows_accounted(inspection)


def test_sections_in_rows_of_their_own(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Ref;Section;Value;Marking\nC1;a;50;50+100µF 350V\nC1;b;100;\n")
    assert list(positions_by_name(inspection)) == ["C1/a", "C1/b"]
    assert "position-twice" not in codes(problems)


def test_a_position_twice_keeps_both_to_be_seen(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Board;Ref;Value\nA;C1;100\nB;C1;47\na; c1;220\n")
    assert [str(item.key) for item in inspection.positions] == ["list/A/C1", "list/B/C1"]
    assert [(item.location.cell, item.text) for item in inspection.left_out] == [("A4", "a | c1 | 220")]
    assert "position-twice" in codes(problems)
    assert rows_accounted(inspection)


def test_rows_without_designator_or_board_are_left_out_with_a_reason(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Board;Ref;Value\nA;;100\n;C1;100\n;;\nA;C2;1\n")
    assert [item.reason for item in inspection.left_out] == ["no designator", "no board"]
    assert inspection.blank_rows == 1
    assert {"no-designator", "no-board"} <= set(codes(problems))
    assert rows_accounted(inspection)


def test_value_and_volts_in_one_cell(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Ref;Value;Volts\nC1;470µF/16V;\nC2;470µF/16V;25\n")
    names = positions_by_name(inspection)
    assert names["C1"].rated_voltage_v == 16
    assert names["C2"].rated_voltage_v == 25
    found = next(problem for problem in problems if problem.code == "cells-disagree")
    assert found.location.cell == "C3"


def test_a_likely_reading_is_used_with_a_warning(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Ref;Value\nC1;104\n")
    assert inspection.positions[0].capacitance_f == pytest.approx(1e-7)
    assert "likely-reading" in codes(problems)


def test_an_ambiguous_cell_is_not_used(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Ref;Value\nC1;33 or 47 mfd\n")
    assert inspection.positions[0].capacitance_f is None
    assert "ambiguous" in codes(problems)


def test_the_can_settles_what_the_text_leaves_open(tmp_path: Path) -> None:
    text = "Ref;Value;Volts;Type;Dia;Height\nC1;22mF;16;elko;35;80\nC2;22mF;16;elko;5;11\n"
    inspection, _ = read_text(tmp_path, text)
    names = positions_by_name(inspection)
    assert names["C1"].capacitance_f == pytest.approx(22e-3)
    assert names["C2"].capacitance_f == pytest.approx(22e-6)


def test_measured_sizes_become_nominal_and_say_so(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Ref;Value;Mounting;Dia;LS\nC1;100;radial;8.3;3.2\nC2;10;axial;8.3;21\n")
    names = positions_by_name(inspection)
    assert (names["C1"].body.diameter_mm, names["C1"].body.lead_spacing_mm) == (8, 3.5)
    assert names["C2"].body.diameter_mm == 8.3
    assert [problem.location.cell for problem in problems if problem.code == "size-snapped"] == ["D2"]


def test_an_impossible_can_is_doubted(tmp_path: Path) -> None:
    _, problems = read_text(tmp_path, "Ref;Value;Volts;Kind;Dia;Height\nC1;22000;63;elko;8;11\n")
    found = next(problem for problem in problems if problem.code == "size-doubt")
    assert found.location.cell == "B2"


@pytest.mark.parametrize(
    ("heading", "cell", "code"),
    [
        ("Value", "-47", "not-a-capacitance"), ("Value", "nan", "not-a-capacitance"),
        ("Value", "inf", "not-a-capacitance"), ("Value", "99999999999", "out-of-range"),
        ("Volts", "0", "not-a-voltage"), ("Volts", "9999999", "not-a-voltage"),
        ("Dia", "-5", "out-of-range"), ("Dia", "4000", "out-of-range"), ("LS", "1e308", "out-of-range"),
        ("ESR Ω", "1e400", "not-a-number"), ("ESR Ω", "-1", "out-of-range"), ("ESR Ω", "5 V", "not-a-number"),
        ("ESR Ω", "< 1", "not-a-number"), ("Temp", "900", "not-a-temperature"), ("Condition", "wobbly", "not-in-list"),
        ("Leakage µA", "1,250", "ambiguous"), ("Qty", "-1", "not-a-number"), ("Role", "ballast", "not-in-list"),
    ],
)  # fmt: skip
def test_values_that_cannot_be_are_not_used(tmp_path: Path, heading: str, cell: str, code: str) -> None:
    inspection, problems = read_text(tmp_path, f"Ref;{heading};Note\nC1;{cell};kept\n")
    assert len(inspection.positions) == 1
    found = [problem for problem in problems if problem.location.cell == "B2"]
    assert code in codes(found)
    blank, _ = read_text(tmp_path, f"Ref;{heading};Note\nC1;;kept\n")
    assert inspection.positions[0] == blank.positions[0]


def test_numbers_of_a_spreadsheet_that_cannot_be(tmp_path: Path) -> None:
    rows = [["Ref", "Value", "Volts", "ESR Ω"], ["C1", 1e308, True, 0.25], ["C2", 0, 16.0, None]]
    inspection, problems = read_inspection([write_sheets(tmp_path / "list.xlsx", {"Main": rows})])
    names = positions_by_name(inspection)
    assert names["C1"].capacitance_f is None
    assert names["C1"].rated_voltage_v is None
    assert names["C1"].measured.esr_ohm == 0.25
    assert names["C2"].capacitance_f is None
    assert len([problem for problem in problems if problem.severity == "warning"]) >= 3


def test_percentages_of_a_spreadsheet(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsx"
    inspection, problems = read_inspection([write_sheets(path, {"Main": [["Ref", "Tolerance"], ["C1", 0.2]]})])
    assert inspection.positions[0].marked.tolerance == pytest.approx((-0.2, 0.2))
    assert "percent-format" in codes(problems)
    form = write_form(tmp_path / "form.xlsx", {"Rails": [{"Rail": "+5V", "Tolerance %": 0.05}]})
    assert read_inspection([form])[0].units[0].rails[0].tolerance == pytest.approx(0.05)


def test_unknown_is_an_answer(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Ref;Value;Volts;Type\nC1;?;illegible;?\n")
    assert inspection.positions[0].marked.legible is Legible.NO
    assert inspection.positions[0].body.kind is Kind.UNKNOWN
    assert [problem for problem in problems if problem.severity != "note"] == []


def test_several_files_make_one_job(tmp_path: Path, form: Path) -> None:
    more = "Unit;Board;Ref;Value\nMerlin;PSU;C99;47\nOther;X;C1;1\nMerlin;psu;C17;1\n"
    extra = write_csv(tmp_path / "extra.csv", more)
    inspection, problems = read_inspection([form, extra])
    assert [unit.name for unit in inspection.units] == ["Merlin", "Other"]
    assert len(inspection.unit("Merlin").boards) == 2
    assert codes(problems).count("position-twice") == 1
    assert rows_accounted(inspection)


def test_names_that_no_sheet_lists_are_said(tmp_path: Path) -> None:
    path = write_form(
        tmp_path / "inspection.xlsx",
        {
            "Boards": [{"Board": "PSU"}], "Rails": [{"Rail": "+5V"}],
            "Capacitors": [{"Board": "PUS", "Designator": "C1", "Rail": "+50V", "Decision override": "keep"}],
        },
    )  # fmt: skip
    _, problems = read_inspection([path])
    assert {"board-not-listed", "rail-not-listed", "override-without-reason"} <= set(codes(problems))


CELLS = st.one_of(
    st.sampled_from(["", "C1", "C2-C4", "C7, C8", "100", "4u7", "50+50", "16", "?", "A", "B", "total", "=x", "10/16"]),
    st.text(st.characters(exclude_categories=("Cs", "Cc")), max_size=8),
)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(rows=st.lists(st.lists(CELLS, min_size=4, max_size=5), max_size=12), board=st.booleans())
def test_every_row_is_accounted_for(tmp_path: Path, rows: list[list[str]], board: bool) -> None:
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerows([["Board" if board else "Shelf", "Ref", "Value", "Volts", "Qty"], *rows])
    inspection, problems = read_text(tmp_path, stream.getvalue())
    assert rows_accounted(inspection)
    assert all(problem.code in problem_codes() for problem in problems)
    keys = [str(item.key) for item in inspection.positions]
    assert len(set(keys)) == len(keys)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.binary(max_size=400))
def test_any_bytes_are_read_or_refused(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes(data)
    try:
        inspection, _ = read_inspection([path])
    except UnreadableFile:
        return
    assert rows_accounted(inspection)
