"""The blank inspection workbook: what it holds, and that other programs leave it readable."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest
from click.testing import CliRunner
from inspection_files import codes, positions_by_name, write_form
from openpyxl import Workbook, load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from recap.cli import recap
from recap.intake import read_inspection
from recap.model import Unit
from recap.model.lists import CLOSED_LISTS
from recap.outputs.blank_form import blank, blank_form
from recap.problems import RecapError
from recap.ruledata import table

DATED = ("6.3", "10/16")


@pytest.fixture(scope="module")
def book(tmp_path_factory: pytest.TempPathFactory) -> Workbook:
    return load_workbook(blank(tmp_path_factory.mktemp("blank") / "inspection.xlsx"))


def _heads(sheet: Worksheet) -> list[str]:
    return [str(cell.value) for cell in sheet[1]]


def test_sheets(book: Workbook) -> None:
    assert book.sheetnames == ["Unit", "Boards", "Rails", "Capacitors", "Read-me"]


def test_the_ten_essentials_come_first_and_alone_are_seen(book: Workbook) -> None:
    sheet = book["Capacitors"]
    assert _heads(sheet)[:10] == [
        "Board", "Designator", "Capacitance", "Volts", "Kind", "Mounting", "Diameter mm", "Height mm",
        "Lead spacing mm", "Condition",
    ]  # fmt: skip
    fresh = blank_form()["Capacitors"].column_dimensions
    shown = [cell.value for cell in sheet[1] if not fresh[cell.column_letter].hidden]
    assert [str(head).endswith("…") for head in shown[10:]] == [True] * 7


def test_every_column_of_the_table_is_there(book: Workbook) -> None:
    for row in table("columns"):
        if row["sheet"] != "Unit" and row["group"] != "plain lists only":
            assert row["heading"] in _heads(book[row["sheet"]])
    items = [cell.value for cell in book["Unit"]["A"]]
    assert [row["heading"] for row in table("columns") if row["sheet"] == "Unit"] == items[2:]


@pytest.mark.parametrize("name", ["Boards", "Rails", "Capacitors"])
def test_headings_are_frozen_and_explained(book: Workbook, name: str) -> None:
    sheet = book[name]
    assert sheet.freeze_panes is not None
    explained = {cell.value for cell in sheet[1] if cell.comment}
    notes = {row["heading"] for row in table("columns") if row["sheet"] == name and row["note"]}
    assert notes - {row["heading"] for row in table("columns") if row["group"] == "plain lists only"} <= explained


def test_every_closed_list_has_its_drop_down(book: Workbook) -> None:
    for row in table("columns"):
        if not row["list"]:
            continue
        sheet = book[row["sheet"]]
        if row["sheet"] == "Unit":
            place = f"B{[cell.value for cell in sheet['A']].index(row['heading']) + 1}"
        else:
            place = f"{sheet[1][_heads(sheet).index(row['heading'])].column_letter}3"
        formulas = [item.formula1 for item in sheet.data_validations.dataValidation if place in item.cells]
        words = ",".join(CLOSED_LISTS[row["list"]])
        assert formulas == [f'"{words}"']
        assert len(words) <= 255


def test_entries_that_would_become_dates_are_text() -> None:
    sheet = blank_form()["Capacitors"]
    for heading in ("Capacitance", "Volts", "Diameter mm", "Lead spacing mm", "ESR Ω", "Date code"):
        letter = sheet[1][_heads(sheet).index(heading)].column_letter
        assert sheet.column_dimensions[letter].number_format == "@"


def test_defaults_are_shown_as_assumed(book: Workbook) -> None:
    shown = {row[0].value: (row[1].value, row[2].value) for row in book["Unit"].iter_rows(min_row=3)}
    assert {name: entry for name, entry in shown.items() if entry != (None, None)} == {
        "Room temperature °C": ("25", "assumed"),
        "Hours of use a year": ("200", "assumed"),
        "Years it should last": ("15", "assumed"),
        "Stance": ("repair", "assumed"),
        "What stands downstream": ("irreplaceable", "assumed"),
    }
    bare = Unit(name="")
    for row in table("columns"):
        if row["sheet"] == "Unit" and row["default"]:
            assert str(getattr(bare, row["field"])).removesuffix(".0") == row["default"]


def test_example_rows_are_passed_over(tmp_path: Path) -> None:
    inspection, problems = read_inspection([blank(tmp_path / "inspection.xlsx")])
    assert (inspection.positions, inspection.units[0].boards, inspection.units[0].rails) == ((), (), ())
    assert inspection.units[0].name == "inspection"
    assert set(codes(problems)) == {"example-row", "unit-not-named", "no-positions"}
    assert inspection.kept_columns == ()


def test_an_existing_file_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "inspection.xlsx"
    path.write_text("mine")
    with pytest.raises(RecapError, match="there already"):
        blank(path)
    assert path.read_text() == "mine"
    blank(path, replace=True)
    assert load_workbook(path).sheetnames[0] == "Unit"
    assert [item.name for item in tmp_path.iterdir()] == ["inspection.xlsx"]


def test_another_ending_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RecapError, match=r"must end in \.xlsx"):
        blank(tmp_path / "inspection.csv")


def test_a_folder_that_cannot_be_written(tmp_path: Path) -> None:
    with pytest.raises(RecapError, match="cannot be written"):
        blank(tmp_path / "nowhere" / "inspection.xlsx")


def test_the_command_says_what_comes_next(tmp_path: Path) -> None:
    path = tmp_path / "my list.xlsx"
    result = CliRunner().invoke(recap, ["blank", str(path)], standalone_mode=True)
    assert result.exit_code == 0
    assert f'recap read "{path}"' in result.output
    assert f'recap order "{path}" --out my-order' in result.output


@pytest.mark.spreadsheet
@pytest.mark.parametrize("ending", ["xlsx", "ods"])
def test_libreoffice_keeps_the_entries(tmp_path: Path, ending: str) -> None:
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("LibreOffice is not installed")
    entries = [
        {"Board": "PSU", "Designator": "C1", "Capacitance": "10/16", "Diameter mm": "6.3",
         "Condition": "leaked, crust"},
        {"Board": "PSU", "Designator": "C2", "Capacitance": "4u7", "Volts": "6.3", "Net": "plus at A"},
    ]  # fmt: skip
    source = write_form(tmp_path / "inspection.xlsx", {"Unit": [{"Name": "Merlin"}], "Capacitors": entries})
    out = tmp_path / "saved"
    profile = f"-env:UserInstallation=file://{tmp_path}/profile"
    subprocess.run(
        [office, profile, "--headless", "--convert-to", ending, "--outdir", str(out), str(source)],
        check=True, capture_output=True, timeout=180,
    )  # fmt: skip
    before, _ = read_inspection([source])
    after, problems = read_inspection([out / f"inspection.{ending}"])
    assert after.units[0].name == "Merlin"
    assert after.units[0].assumed == before.units[0].assumed
    assert {name: (item.marked, item.body, item.polarity, item.conditions) for name, item in
            positions_by_name(after).items()} == {
        name: (item.marked, item.body, item.polarity, item.conditions) for name, item in
        positions_by_name(before).items()}  # fmt: skip
    assert positions_by_name(after)["C1"].body.diameter_mm == 6.3
    assert set(codes(problems)) <= {"example-row", "hidden-rows"}
