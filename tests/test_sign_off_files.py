"""From order to record and on to the next inspection, with files: workbooks, saved pages, folders."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner
from jsonschema import Draft202012Validator
from openpyxl import load_workbook

from recap import read
from recap.bench.filled import read_filled
from recap.cli import recap
from recap.jobs import order
from recap.outputs.record import read_record
from recap.problems import UnreadableFile
from recap.sources import data_folder
from tests.filled_documents import fill_workbook, filled_well

CHROMIUM = shutil.which("chromium")
HEADINGS = (
    "Unit;Board;Designator;Capacitance;Volts;Kind;Mounting;Lead spacing mm;Condition;Rail;Role;"
    "Pad A is;Net;Net found by"
)
LIST = f"""{HEADINGS}
Wether;PSU;C1;1000;25;wet aluminium;radial;5;leaked;+12V;reservoir;nearer D1;plus at A;meter
Wether;PSU;C2;100n;63;film;radial;5;sound;;timing;;;
"""


@pytest.fixture(scope="module")
def ordered(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("job")
    (folder / "list.csv").write_text(LIST, encoding="utf-8")
    order([folder / "list.csv"], folder / "out")
    return folder / "out"


@pytest.fixture
def work(ordered: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(ordered / "work-orders", tmp_path / "work-orders"))


def fill(folder: Path) -> None:
    for path in folder.glob("*.xlsx"):
        expected = read_filled(path).expected
        assert expected is not None
        fill_workbook(path, filled_well(expected))


def signed(*arguments: str | Path) -> tuple[int, Any]:
    result = CliRunner().invoke(recap, ["sign-off", *map(str, arguments), "--json"])
    assert result.exit_code in (0, 4, 5), result.output
    document = json.loads(result.stdout)
    schema = json.loads((data_folder() / "schemas" / "sign-off.schema.json").read_text(encoding="utf-8"))
    Draft202012Validator(schema).validate(document)
    return result.exit_code, document


def test_what_was_ordered_and_not_filled_in_is_incomplete(work: Path) -> None:
    code, document = signed(work, "--no-record")
    assert code == 4
    assert document["result"]["verdict"] == "incomplete"
    assert any("Fitted is not ticked" in text for text in document["result"]["incomplete"])
    assert not list(work.glob("record*"))


def test_filled_in_well_it_passes_and_leaves_a_record(work: Path) -> None:
    fill(work)
    code, document = signed(work, "--date", "2026-03-14")
    result = document["result"]
    assert (code, result["verdict"]) == (0, "passed-with-remarks")
    assert any("no rail is on the Rails sheet" in text for text in result["remarks"])
    assert {each["verdict"] for each in result["positions"]} == {"passed", "left-alone"}
    assert [Path(name).suffix for name in result["records"]] == [".xlsx", ".html"]
    page = next(work.glob("record*.html")).read_text(encoding="utf-8")
    assert "<svg" in page
    assert "2026-03-14" in page
    assert result["units"][0]["next_look"] > "2026-03-14"


def test_a_reading_out_of_its_limits_does_not_pass(work: Path) -> None:
    fill(work)
    path = next(each for each in work.glob("*PSU*.xlsx"))
    filled = read_filled(path)
    filled.positions["Wether/PSU/C1"]["goods_in_capacitance_uf"] = 2.0
    fill_workbook(path, filled)
    code, document = signed(work)
    assert (code, document["result"]["verdict"]) == (5, "not-passed")
    assert "PSU/C1: C 2 µF: must lie between" in document["result"]["failures"][0]


def test_the_record_is_replaced_by_a_newer_one_and_passed_over_as_a_file(work: Path) -> None:
    fill(work)
    signed(work)
    code, document = signed(*sorted(work.glob("*.xlsx")))
    assert code == 0
    assert [each["code"] for each in document["problems"]] == ["record-passed-over"]


def test_a_file_of_that_name_that_is_no_record_is_not_overwritten(work: Path) -> None:
    (work / "record - Wether.html").write_text("my own notes", encoding="utf-8")
    result = CliRunner().invoke(recap, ["sign-off", str(work)], standalone_mode=False)
    assert "is no record" in str(result.exception)
    assert (work / "record - Wether.html").read_text(encoding="utf-8") == "my own notes"


@pytest.mark.parametrize("ending", [".xlsx", ".html"])
def test_the_next_inspection_starts_from_the_record(work: Path, tmp_path: Path, ending: str) -> None:
    fill(work)
    signed(work, "--date", "2026-03-14")
    record = next(work.glob(f"record*{ending}"))
    target = tmp_path / "next.xlsx"
    result = CliRunner().invoke(recap, ["blank", str(target), "--from", str(record)])
    assert result.exit_code == 0, result.output
    inspection, problems = read([target])
    assert not [each for each in problems if each.severity == "error"]
    c1, c2 = inspection.positions
    assert str(c1.key) == "Wether/PSU/C1"
    assert "replaced before" in {str(each) for each in c1.conditions}
    assert c1.documented.capacitance_f == pytest.approx(1000e-6)
    assert c1.measured.capacitance_f is not None
    assert c1.rail == "+12V"
    assert "earlier job 2026-03-14: replace, passed" in c1.note
    assert c2.capacitance_f == pytest.approx(100e-9)


def test_what_is_no_record_says_so(work: Path, tmp_path: Path) -> None:
    with pytest.raises(UnreadableFile, match="carries no record"):
        read_record(next(work.glob("*PSU*.xlsx")))
    with pytest.raises(UnreadableFile, match="carries no record"):
        read_record(next(work.glob("*PSU*.html")))


@pytest.mark.parametrize(
    ("name", "content", "message"),
    [
        ("a.json", "{", "cannot be read"),
        ("a.json", "[" * 100_000, "cannot be read"),
        ("a.json", '{"format": "else"}', "not a file of"),
        ("a.json", '{"format": "recap readings", "unit": "U", "board": "B"}', "none of the files"),
        ("a.json", '{"format": "recap readings", "board": "B", "expected": {"format": "recap expected", "version": 1}}',
         "damaged"),
        ("a.xlsx", "no workbook", "a.xlsx"),
        ("a.html", "<html>", "is the page"),
    ],
)  # fmt: skip
def test_other_files_are_refused_with_a_reason(tmp_path: Path, name: str, content: str, message: str) -> None:
    (tmp_path / name).write_text(content, encoding="utf-8")
    result = CliRunner().invoke(recap, ["sign-off", str(tmp_path / name)], standalone_mode=False)
    assert isinstance(result.exception, UnreadableFile)
    assert message in str(result.exception)


def test_the_workbooks_show_no_machinery(ordered: Path) -> None:
    for path in (ordered / "work-orders").glob("*.xlsx"):
        book = load_workbook(path)
        assert book["recap"].sheet_state == "hidden"
        visible = [sheet for sheet in book.worksheets if sheet.sheet_state == "visible"]
        assert visible[0].title in ("Stop list", "Make safe")


@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None, reason="no Chromium")
def test_pages_filled_in_reloaded_saved_and_signed_off(ordered: Path, tmp_path: Path) -> None:
    sync_api = pytest.importorskip("playwright.sync_api")
    saved = []
    with sync_api.sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        for number, page_path in enumerate(sorted((ordered / "work-orders").glob("*.html"))):
            page = browser.new_page(accept_downloads=True)
            errors: list[str] = []
            page.on("pageerror", lambda error, errors=errors: errors.append(str(error)))
            page.goto(page_path.as_uri())
            workbook = read_filled(page_path.with_suffix(".xlsx"))
            assert workbook.expected is not None
            filled = filled_well(workbook.expected)
            places = [("", name, value) for name, value in filled.board_fields.items()]
            places += [(key, name, value) for key, row in filled.positions.items() for name, value in row.items()]
            for key, name, value in places:
                field = page.locator(f'[data-key="{key}"][data-field="{name}"]')
                if value is True:
                    field.check()
                elif name == "result":
                    field.select_option(str(value))
                else:
                    field.fill(f"{value:g}" if isinstance(value, float) else str(value))
            page.reload()
            assert page.locator('[data-field="technician"]').input_value() == "J. Tolvery"
            total = page.locator("#progress").inner_text()
            assert total.split(" of ")[0] == total.split(" of ")[1].split()[0], total
            assert page.locator('[aria-invalid="true"]').count() == 0
            with page.expect_download() as download:
                page.get_by_role("button", name="Save readings to a file").click()
            target = tmp_path / f"{number}.json"
            download.value.save_as(target)
            saved.append(target)
            assert not errors
        browser.close()
    code, document = signed(*saved, "--date", "2026-03-14")
    assert (code, document["result"]["verdict"]) == (0, "passed-with-remarks"), document["result"]["incomplete"]
    assert len(saved) == 2, "the work order and the bring-up"
