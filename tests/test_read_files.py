"""Files of every kind: encodings, separators, damage."""

from __future__ import annotations

import datetime as dt
import shutil
import subprocess
import time
import zipfile
from pathlib import Path

import pytest
from inspection_files import codes, positions_by_name, read_text, rows_accounted, write_csv, write_sheets
from openpyxl import Workbook, load_workbook

from recap.intake import read_inspection
from recap.problems import UnreadableFile

LIST = "Ref;Value;Volts;Note\nC1;4,7 µF;6,3;105 °C\nC2;100;16;\n"


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252", "latin-1"])
def test_encodings_give_the_same_list(tmp_path: Path, encoding: str) -> None:
    inspection, _ = read_text(tmp_path, LIST, encoding=encoding)
    first = positions_by_name(inspection)["C1"]
    assert first.marked.capacitance_f == pytest.approx(4.7e-6)
    assert first.marked.rated_voltage_v == 6.3
    assert first.note == "105 °C"


def test_windows_latin_is_said(tmp_path: Path) -> None:
    _, problems = read_text(tmp_path, LIST, encoding="cp1252")
    assert "old-encoding" in codes(problems)


def test_two_encodings_in_one_file(tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_bytes("Ref,Value\nC1,4.7 µF\n".encode() + "C2,10 µF\n".encode("cp1252"))
    inspection, problems = read_inspection([path])
    assert [item.marked.capacitance_f for item in inspection.positions] == [pytest.approx(4.7e-6), pytest.approx(1e-5)]
    assert any("line 3" in problem.message for problem in problems if problem.code == "mixed-encodings")


@pytest.mark.parametrize("mark", [",", ";", "\t", "|"])
def test_separators(tmp_path: Path, mark: str) -> None:
    text = f"Ref{mark}Value{mark}Volts\nC1{mark}100{mark}16\nC2{mark}220{mark}25\n"
    inspection, _ = read_text(tmp_path, text)
    assert [item.rated_voltage_v for item in inspection.positions] == [16, 25]


def test_decimal_commas_between_commas(tmp_path: Path) -> None:
    inspection, _ = read_text(tmp_path, 'Ref,Value,LS\nC1,"2,2","7,5"\nC2,100,5\n')
    first = positions_by_name(inspection)["C1"]
    assert first.capacitance_f == pytest.approx(2.2e-6)
    assert first.body.lead_spacing_mm == 7.5


def test_quoted_newlines_keep_the_rows_apart(tmp_path: Path) -> None:
    inspection, _ = read_text(tmp_path, 'Ref,Value,Note\nC1,100,"glue\nat its foot"\nC2,220,\n')
    names = positions_by_name(inspection)
    assert names["C1"].note == "glue\nat its foot"
    assert names["C2"].location.cell == "A3"


def test_escaped_formulas_read_back_as_they_were(tmp_path: Path) -> None:
    inspection, _ = read_text(tmp_path, "Ref,Value,Note\nC1,100,'=1+1\nC2,100,it's fine\n")
    assert [item.note for item in inspection.positions] == ["=1+1", "it's fine"]


def test_spreadsheet_dates_are_recovered_and_said(tmp_path: Path) -> None:
    rows = [["Ref", "Value", "Volts", "ESR Ω"], ["C1", dt.date(2024, 10, 25), None, None],
            ["C2", 100, dt.date(2026, 3, 6), dt.date(2026, 2, 1)]]  # fmt: skip
    inspection, problems = read_inspection([write_sheets(tmp_path / "list.xlsx", {"Main": rows})])
    names = positions_by_name(inspection)
    assert (names["C1"].capacitance_f, names["C1"].rated_voltage_v) == (pytest.approx(1e-5), 25.0)
    assert names["C2"].rated_voltage_v == 6.3
    assert names["C2"].measured.esr_ohm == 1.2
    damage = [problem for problem in problems if problem.code == "date-damage"]
    assert [problem.location.cell for problem in damage] == ["B2", "C3", "D3"]


def test_hidden_rows_and_sheets_are_read_and_said(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsx"
    book = Workbook()
    for name in ("Seen", "Tucked away"):
        sheet = book.create_sheet(name)
        for row in (["Ref", "Value"], ["C1", 100], ["C2", 220]):
            sheet.append(row)
    book["Seen"].row_dimensions[3].hidden = True
    book["Tucked away"].sheet_state = "hidden"
    book.save(path)
    inspection, problems = read_inspection([path])
    assert len(inspection.positions) == 4
    assert {str(problem.location) for problem in problems if problem.code.startswith("hidden")} == {
        f"{path}:Seen", f"{path}:Tucked away",
    }  # fmt: skip


def test_formulas_without_result_are_no_blanks(tmp_path: Path) -> None:
    path = write_sheets(tmp_path / "list.xlsx", {"Main": [["Ref", "Value", "Volts"], ["C1", "=50+50", 16]]})
    inspection, problems = read_inspection([path])
    assert inspection.positions[0].capacitance_f is None
    found = next(problem for problem in problems if problem.code == "not-calculated")
    assert (found.location.cell, found.value) == ("B2", "=50+50")


def test_a_row_of_formulas_is_no_blank_row(tmp_path: Path) -> None:
    path = write_sheets(tmp_path / "list.xlsx", {"Main": [["Ref", "Value"], ["=A1", "=1"], ["C2", 5]]})
    inspection, _ = read_inspection([path])
    assert [item.location.cell for item in inspection.left_out] == ["A2"]
    assert inspection.blank_rows == 0
    assert rows_accounted(inspection)


def test_error_cells_are_said(tmp_path: Path) -> None:
    path = tmp_path / "list.xlsx"
    book = Workbook()
    sheet = book.worksheets[0]
    for row in (["Ref", "Value"], ["C1", "#REF!"]):
        sheet.append(row)
    sheet["B2"].data_type = "e"
    book.save(path)
    _, problems = read_inspection([path])
    assert [(item.location.cell, item.value) for item in problems if item.code == "error-cell"] == [("B2", "#REF!")]


def test_merged_board_counts_for_its_rows(tmp_path: Path) -> None:
    rows = [["Board", "Ref", "Value"], ["PSU", "C1", 100], [None, "C2", 220], ["CPU", "C3", 10]]
    path = write_sheets(tmp_path / "list.xlsx", {"Main": rows})
    book = load_workbook(path)
    book["Main"].merge_cells("A2:A3")
    book.save(path)
    inspection, problems = read_inspection([path])
    assert [item.key.board for item in inspection.positions] == ["PSU", "PSU", "CPU"]
    assert "merged-cells" in codes(problems)


def test_links_and_macros_are_said_and_left_alone(tmp_path: Path) -> None:
    path = write_sheets(tmp_path / "list.xlsx", {"Main": [["Ref", "Value"], ["C1", 100]]})
    with zipfile.ZipFile(path, "a") as archive:
        archive.writestr("xl/vbaProject.bin", b"macro")
        archive.writestr("xl/externalLinks/externalLink1.xml", b"<externalLink/>")
    _, problems = read_inspection([path])
    assert {"macros", "linked-file"} <= set(codes(problems))


def _member(path: Path, name: str, content: bytes) -> Path:
    """Replace one part of a workbook."""
    with zipfile.ZipFile(path) as archive:
        parts = {item.filename: archive.read(item) for item in archive.infolist()}
    parts[name] = content
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for part, data in parts.items():
            archive.writestr(part, data)
    return path


SHEET = "xl/worksheets/sheet1.xml"
SPREADSHEET = b'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>%s</sheetData></worksheet>'

_ONE_ROW = b'<row><c r="A1"><v>1</v></c></row>'


def _workbook(path: Path) -> Path:
    return write_sheets(path, {"Main": [["Ref", "Value"], ["C1", 100]]})


def _odd_files(folder: Path) -> dict[str, tuple[Path, str]]:
    """Return files that cannot be read, each with words that must stand in the message."""
    whole = _workbook(folder / "whole.xlsx").read_bytes()
    far = b'<row r="1"><c r="A1"><v>1</v></c></row><row r="1048576"><c r="XFD1048576"><v>1</v></c></row>'
    made = {
        "missing": (folder / "none.xlsx", "no such file"),
        "folder": (folder, "a folder"),
        "empty": (folder / "empty.xlsx", "empty"),
        "truncated": (folder / "cut.xlsx", "cut short or damaged"),
        "flipped": (folder / "flipped.xlsx", "damaged"),
        "csv named xlsx": (folder / "text.xlsx", "its content is not that"),
        "old xls": (folder / "old.xls", "old .xls format"),
        "password": (folder / "locked.xlsx", "password"),
        "pdf": (folder / "list.csv", "a PDF"),
        "web page": (folder / "page.xls", "a web page"),
        "binary": (folder / "noise.csv", "not a text table"),
        "text document": (folder / "letter.xlsx", "a text document"),
        "open quote": (folder / "quote.csv", "quotation mark"),
        "bomb": (_member(_workbook(folder / "bomb.xlsx"), SHEET, b" " * 300_000_000), "unpacks to more than"),
        "entities": (
            _member(_workbook(folder / "entities.xlsx"), SHEET, b'<!DOCTYPE x [<!ENTITY a "aaaa">]><x>&a;</x>'),
            "declares entities",
        ),
        "far cell": (_member(_workbook(folder / "far.xlsx"), SHEET, SPREADSHEET % far), "XFD1048576"),
        "binary workbook": (folder / "binary.xlsb", "binary .xlsb format is not read"),
        "archive": (folder / "archive.xlsx", "an archive, not a workbook"),
        "very many members": (folder / "members.xlsx", "5,001 files inside"),
        "other packing": (folder / "packed.xlsx", "packed in a way that workbooks are not"),
        "other encoding": (
            _member(_workbook(folder / "utf16.xlsx"), SHEET, '<?xml version="1.0"?><worksheet/>'.encode("utf-16")),
            "an encoding that workbooks do not use",
        ),
        "sheet cut": (_member(_workbook(folder / "cutsheet.xlsx"), SHEET, SPREADSHEET[:60]), "ends in the middle"),
        "a million rows": (
            _member(_workbook(folder / "rows.xlsx"), SHEET, SPREADSHEET % (_ONE_ROW * 110_000)),
            "more than 100,000 rows",
        ),
        "no xml": (_member(_workbook(folder / "broken.xlsx"), "xl/workbook.xml", b"<workbook"), "damaged"),
    }
    (folder / "empty.xlsx").write_bytes(b"")
    (folder / "cut.xlsx").write_bytes(whole[: len(whole) // 2])
    middle = whole.index(b"xl/worksheets/sheet1.xml") + 60
    (folder / "flipped.xlsx").write_bytes(whole[:middle] + bytes([whole[middle] ^ 0xFF]) + whole[middle + 1 :])
    (folder / "text.xlsx").write_text("Ref,Value\nC1,100\n")
    (folder / "old.xls").write_bytes(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(2000))
    locked = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(1000) + "EncryptedPackage".encode("utf-16-le")
    (folder / "locked.xlsx").write_bytes(locked)
    (folder / "list.csv").write_bytes(b"%PDF-1.7\n")
    (folder / "page.xls").write_text("<html><table><tr><td>C1</td></tr></table></html>")
    (folder / "noise.csv").write_bytes(bytes(range(256)) * 40)
    with zipfile.ZipFile(folder / "letter.xlsx", "w") as archive:
        archive.writestr("word/document.xml", "<w/>")
    with zipfile.ZipFile(folder / "binary.xlsb", "w") as archive:
        archive.writestr("xl/workbook.bin", b"\0")
    with zipfile.ZipFile(folder / "archive.xlsx", "w") as archive:
        archive.writestr("photos/1.jpg", b"\0")
    with zipfile.ZipFile(folder / "members.xlsx", "w") as archive:
        for number in range(5001):
            archive.writestr(f"xl/{number}.xml", b"")
    with zipfile.ZipFile(folder / "packed.xlsx", "w", zipfile.ZIP_LZMA) as archive:
        archive.writestr("xl/workbook.xml", b"<workbook/>")
    (folder / "quote.csv").write_text('Ref,Note\nC1,"' + "x" * 300_000)
    return made


ODD = (
    "missing", "folder", "empty", "truncated", "flipped", "csv named xlsx", "old xls", "password", "pdf", "web page",
    "binary", "text document", "open quote", "bomb", "entities", "far cell", "no xml", "binary workbook", "archive",
    "very many members", "other packing", "other encoding", "sheet cut", "a million rows",
)  # fmt: skip


@pytest.fixture(scope="module")
def odd_files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, tuple[Path, str]]:
    return _odd_files(tmp_path_factory.mktemp("odd"))


@pytest.mark.parametrize("name", ODD)
def test_unreadable_files_say_why_and_quickly(odd_files: dict[str, tuple[Path, str]], name: str) -> None:
    path, words = odd_files[name]
    started = time.process_time()
    with pytest.raises(UnreadableFile) as raised:
        read_inspection([path])
    assert time.process_time() - started < 2
    assert set(odd_files) == set(ODD)
    assert words in str(raised.value)
    assert str(path) in str(raised.value)
    assert raised.value.exit_code == 3


def test_a_member_that_lies_about_its_size_is_not_unpacked(tmp_path: Path) -> None:
    path = _member(_workbook(tmp_path / "lie.xlsx"), SHEET, b" " * 5_000_000)
    data = bytearray(path.read_bytes())
    with zipfile.ZipFile(path) as archive:
        real = archive.getinfo(SHEET).file_size.to_bytes(4, "little")
    path.write_bytes(bytes(data.replace(real, (1000).to_bytes(4, "little"))))
    with pytest.raises(UnreadableFile, match="unpacks to more than"):
        read_inspection([path])


def test_one_long_text_in_very_many_cells_is_refused(tmp_path: Path) -> None:
    path = _workbook(tmp_path / "shared.xlsx")
    cells = b"".join(b'<row r="%d"><c r="A%d" t="s"><v>0</v></c></row>' % (n, n) for n in range(1, 20_001))
    _member(path, SHEET, SPREADSHEET % cells)
    strings = b'<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>%s</t></si></sst>'
    _member(path, "xl/sharedStrings.xml", strings % (b"x" * 30_000))
    with pytest.raises(UnreadableFile, match="texts together"):
        read_inspection([path])


def test_a_claimed_size_alone_does_no_harm(tmp_path: Path) -> None:
    path = _workbook(tmp_path / "claim.xlsx")
    with zipfile.ZipFile(path) as archive:
        sheet = archive.read(SHEET)
    sheet = sheet.replace(b'<dimension ref="A1:B2"', b'<dimension ref="A1:XFD1048576"')
    styled = b'<row r="1048576"><c r="XFD1048576" s="0"/></row></sheetData>'
    _member(path, SHEET, sheet.replace(b"</sheetData>", styled))
    inspection, _ = read_inspection([path])
    assert len(inspection.positions) == 1


def test_a_very_wide_text_table_is_refused(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "wide.csv", "Ref,Value\nC1" + ",x" * 5000 + "\n")
    with pytest.raises(UnreadableFile, match="5,001 columns"):
        read_inspection([path])


def test_a_long_cell_is_cut_and_said(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Ref,Value,Note\nC1,100," + "x" * 65_536 + "\n")
    assert len(inspection.positions[0].note) == 4000
    assert "long-cell" in codes(problems)


def test_control_characters_are_set_aside_and_said(tmp_path: Path) -> None:
    inspection, problems = read_text(tmp_path, "Ref,Value,Note\nC1,100,a\x07bcdefghijklmnopq\n")
    assert inspection.positions[0].note == "abcdefghijklmnopq"
    assert "control-characters" in codes(problems)


@pytest.mark.spreadsheet
def test_ods_tells_the_same_as_xlsx(tmp_path: Path) -> None:
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("LibreOffice is not installed")
    path = tmp_path / "list.xlsx"
    book = Workbook()
    sheet = book.worksheets[0]
    for row in (["Board", "Ref", "Value"], ["PSU", "C1", 100], [None, "C2", "=1/0"], ["CPU", "C3", "4u7"]):
        sheet.append(row)
    sheet.merge_cells("A2:A3")
    sheet.row_dimensions[4].hidden = True
    book.save(path)
    command = [office, f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "ods"]
    subprocess.run([*command, "--outdir", str(tmp_path), str(path)], check=True, capture_output=True, timeout=180)
    inspection, problems = read_inspection([tmp_path / "list.ods"])
    assert [item.key.board for item in inspection.positions] == ["PSU", "PSU", "CPU"]
    assert {"merged-cells", "hidden-rows", "error-cell"} <= set(codes(problems))
