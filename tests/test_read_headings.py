"""Headings: synonyms, units, order, unknown ones, several rows of them."""

from __future__ import annotations

from pathlib import Path

import pytest
from inspection_files import codes, positions_by_name, read_text, rows_accounted, write_sheets

from recap.intake import read_inspection
from recap.intake.columns import SHEETS, by_name, columns, plain_name
from recap.model import Kind, Mounting
from recap.problems import RecapError, UnreadableFile
from recap.ruledata import table


def test_first_headings_of_capacitors_are_the_essentials_in_order() -> None:
    essentials = [column.heading for column in columns("Capacitors") if column.essential]
    assert essentials == [
        "Board", "Designator", "Capacitance", "Volts", "Kind", "Mounting", "Diameter mm", "Height mm",
        "Lead spacing mm", "Condition",
    ]  # fmt: skip


@pytest.mark.parametrize("sheet", SHEETS)
def test_no_synonym_means_two_columns(sheet: str) -> None:
    owners: dict[str, set[str]] = {}
    for row in table("columns"):
        if row["sheet"] == sheet:
            for name in {plain_name(each) for each in [row["heading"], *row["synonyms"].split(";")]} - {""}:
                owners.setdefault(name, set()).add(row["field"])
    assert {name: fields for name, fields in owners.items() if len(fields) > 1} == {}


@pytest.mark.parametrize(
    ("heading", "field"),
    [
        ("ref", "key.designator"), ("DESIGNATOR", "key.designator"), ("Ref. Des.", "key.designator"),
        ("value", "marked.capacitance_f"), ("Cap", "marked.capacitance_f"), ("µF", "marked.capacitance_f"),
        ("MFD", "marked.capacitance_f"), ("V", "marked.rated_voltage_v"), ("WV", "marked.rated_voltage_v"),
        ("WVDC", "marked.rated_voltage_v"), ("temp", "marked.temperature_c"), ("LS", "body.lead_spacing_mm"),
        ("Pitch", "body.lead_spacing_mm"), ("dia", "body.diameter_mm"), ("Height", "body.length_mm"),
        ("qty", "quantity"), (" lead   SPACING (mm) ", "body.lead_spacing_mm"), ("Board", "key.board"),
    ],
)  # fmt: skip
def test_trade_headings(heading: str, field: str) -> None:
    assert by_name("Capacitors")[plain_name(heading)].field == field


def test_columns_may_stand_in_any_order(tmp_path: Path) -> None:
    inspection, _ = read_text(tmp_path, "WV;Type;MFD;Ref\n16;radial;100;C1\n25;elko axial;47;C2\n")
    names = positions_by_name(inspection)
    assert names["C1"].body.mounting is Mounting.RADIAL
    assert (names["C2"].body.kind, names["C2"].body.mounting) == (Kind.WET_ALUMINIUM, Mounting.AXIAL)
    assert names["C2"].capacitance_f == pytest.approx(47e-6)


@pytest.mark.parametrize(
    ("heading", "cell", "field", "value"),
    [
        ("Value nF", "100", "capacitance_f", 1e-7), ("nF", "100", "capacitance_f", 1e-7),
        ("Cap (pF)", "470", "capacitance_f", 4.7e-10), ("Value [µF]", "4.7", "capacitance_f", 4.7e-6),
    ],
)  # fmt: skip
def test_a_unit_in_the_heading_counts(tmp_path: Path, heading: str, cell: str, field: str, value: float) -> None:
    inspection, problems = read_text(tmp_path, f"Ref;{heading}\nC1;{cell}\n")
    assert "unknown-heading" not in codes(problems)
    assert getattr(inspection.positions[0].marked, field) == pytest.approx(value)


def test_units_of_measured_columns(tmp_path: Path) -> None:
    inspection, _ = read_text(tmp_path, "Ref;ESR mΩ;Dia (in);Leakage mA\nC1;50;0.5;1,5\n")
    position = inspection.positions[0]
    assert position.measured.esr_ohm == pytest.approx(0.05)
    assert position.measured.leakage_a == pytest.approx(0.0015)
    assert position.body.diameter_mm == pytest.approx(12.7)


def test_unknown_headings_are_said_and_their_cells_kept(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Ref;Value;Shelf;Note\nC1;100;B3;glue\nC2;100;;\n")
    names = positions_by_name(inspection)
    assert names["C1"].note == "glue; Shelf: B3"
    assert names["C2"].note == ""
    assert inspection.kept_columns == ("Shelf",)
    found = next(problem for problem in problems if problem.code == "unknown-heading")
    assert (found.location.cell, found.value) == ("C1", "Shelf")
    assert '--heading "Shelf=' in found.hint


def test_a_heading_can_be_mapped_by_hand(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Ref;Zuiverheid\nC1;100\n", headings={"zuiverheid": "capacitance"})
    assert inspection.positions[0].capacitance_f == pytest.approx(1e-4)
    assert "unknown-heading" not in codes(problems)


def test_mapping_to_an_unknown_heading_is_wrong_usage(tmp_path: Path) -> None:
    with pytest.raises(RecapError, match="Nonsense is no heading") as raised:
        read_text(tmp_path, "Ref;Value\nC1;100\n", headings={"Value": "Nonsense"})
    assert raised.value.exit_code == 2


def test_two_headings_of_one_meaning(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Ref;Value;Cap\nC1;100;47\n")
    assert inspection.positions[0].capacitance_f == pytest.approx(1e-4)
    assert inspection.positions[0].note == "Cap: 47"
    assert "heading-twice" in codes(problems)


def test_a_column_without_heading_is_kept(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Ref;;Value\nC1;left corner;100\n")
    assert inspection.positions[0].note == "column B: left corner"
    assert "no-heading" in codes(problems)


def test_headings_in_row_seven(tmp_path: Path) -> None:
    above = "Corncrake, an invented machine\n\nlooked at in May\n\n\n\n"
    inspection, problems = read_text(tmp_path, above + "Ref;Value;Volts\nC1;100;16\n")
    assert inspection.positions[0].location.cell == "A8"
    assert codes(problems).count("text-above") == 2
    assert inspection.rows_in == 1


def test_two_tables_in_one_sheet(tmp_path: Path) -> None:
    text = "Ref;Value;Volts\nC1;100;16\n\nVolts;Ref;Value\n25;C2;220\n"
    inspection, problems = read_text(tmp_path, text)
    assert positions_by_name(inspection)["C2"].rated_voltage_v == 25
    assert "headings-again" in codes(problems)
    assert rows_accounted(inspection)


def test_no_headings_at_all(tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match="this is no list of capacitors: no row of headings was found") as raised:
        read_text(tmp_path, "alpha;beta\ngamma;delta\n")
    assert raised.value.exit_code == 3


def test_board_named_after_sheet_or_file(tmp_path: Path) -> None:
    rows = [["Ref", "Value"], ["C1", 100]]
    named, _ = read_inspection([write_sheets(tmp_path / "amp.xlsx", {"Left channel": rows})])
    generic, problems = read_inspection([write_sheets(tmp_path / "tuner.xlsx", {"Sheet1": rows})])
    assert named.positions[0].key.board == "Left channel"
    assert generic.positions[0].key.board == "tuner"
    assert "board-from-file" in codes(problems)


def test_right_to_left_and_foreign_text_is_kept(tmp_path: Path) -> None:
    inspection, _ = read_text(tmp_path, "Ref;Value;Note\nC1;100;קבל ישן\n")
    assert inspection.positions[0].note == "קבל ישן"
