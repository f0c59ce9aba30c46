"""Texts from the user that would do something, through the whole order and into a browser: they stay texts."""

from __future__ import annotations

import csv
import json
import os
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st
from inspection_files import write_csv, write_sheets
from openpyxl import load_workbook

from recap.intake.delimited import _as_typed, read
from recap.jobs import order
from recap.outputs import naming
from recap.outputs.csvs import safe

if TYPE_CHECKING:
    from playwright.sync_api import Browser

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")

TEXTS = (
    "<script>window.ran=1</script>",
    "</script><script>window.ran=1</script>",
    "<img src=x onerror=window.ran=1>",
    "<svg/onload=window.ran=1>",
    '"><img src=http://invalid.example/x onerror=window.ran=1>',
    "' onmouseover='window.ran=1' x='",
    '" autofocus onfocus="window.ran=1" x="',
    "</style><style>@import 'http://invalid.example/x.css';</style>",
    "<!-- --><base href=http://invalid.example/>",
    "{{ 7*7 }}{% for x in y %}",
    "javascript:window.ran=1",
    "<iframe src=javascript:parent.ran=1></iframe>",
    "]]><script>window.ran=1</script>",
    "&lt;script&gt;window.ran=1&lt;/script&gt;",
    "\\u003cscript>window.ran=1</script>",
    "</title><script>window.ran=1</script>",
    "<a href='javascript:window.ran=1' id=progress>go</a>",
    "\u2028window.ran=1\u2029",
)
FORMULAS = (
    '=HYPERLINK("http://invalid.example")',
    "+1+1",
    "-1+1",
    "@SUM(A1)",
    "\t=1",
    "=cmd|' /C calc'!A0",
    "'=1+1",
    "＝1",
)
HEADINGS = [
    "Unit", "Board", "Designator", "Capacitance", "Volts", "Kind", "Mounting", "Diameter mm", "Height mm",
    "Lead spacing mm", "Condition", "Role", "Rail", "Zone", "Pad A is", "Pad B is", "Photo number", "Note",
    "Marking text", "Date code", "Override reason", "Decision override", "Shelf <b>x</b>",
]  # fmt: skip


def _row(number: int, text: str) -> list[Any]:
    known = {
        "Unit": TEXTS[number % 2], "Board": text if number % 3 == 0 else "PSU", "Designator": f"{text} {number}",
        "Capacitance": "2200u" if number % 4 else text, "Volts": 25, "Kind": "wet aluminium", "Mounting": "radial",
        "Diameter mm": 16, "Height mm": 26, "Lead spacing mm": 7.5, "Condition": "leaked",
        "Decision override": "keep" if number % 5 == 0 else None,
    }  # fmt: skip
    return [known.get(heading, text) for heading in HEADINGS]


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the folder of an order whose every name and note is hostile."""
    folder = tmp_path_factory.mktemp("hostile")
    texts = (*TEXTS, *FORMULAS)
    rows = [HEADINGS, *(_row(number, text) for number, text in enumerate(texts))]
    boards = [["Board", "Description", "Revision", "Notes"], *([text] * 4 for text in texts[::3])]
    rails = [["Rail", "Nominal V", "Full load A", "Made on board"], *([text, 5, 1, "PSU"] for text in texts[::4])]
    sheets = {"Capacitors": rows, "Boards": boards, "Rails": rails}
    path = write_sheets(folder / "<b>x.xlsx", {name: [] for name in sheets})
    book = load_workbook(path)
    for name, lines in sheets.items():
        for number, line in enumerate(lines, start=1):
            for column, value in enumerate(line, start=1):
                cell = book[name].cell(number, column)
                cell.value = value
                if isinstance(value, str):
                    cell.data_type = "s"
    book.save(path)
    made = order([path], folder / "order")
    assert len(made.plan.inspection.positions) >= len(texts)
    assert {text.strip()[:5] for text in TEXTS} <= {item.key.designator[:5] for item in made.plan.inspection.positions}
    return folder / "order"


def test_workbooks_hold_texts_only(hostile: Path) -> None:
    seen = set()
    for path in hostile.rglob("*.xlsx"):
        for sheet in load_workbook(path):
            for row in sheet.iter_rows():
                for cell in row:
                    assert cell.data_type != "f", f"{path.name} {sheet.title}!{cell.coordinate}: {cell.value}"
                    assert cell.hyperlink is None
                    seen.add(str(cell.value))
    assert any(text.endswith(FORMULAS[0]) for text in seen)


def test_csv_holds_no_formula_and_numbers_stay_numbers(hostile: Path) -> None:
    with (hostile / "shopping-list.csv").open(encoding="utf-8-sig", newline="") as stream:
        rows = list(csv.reader(stream))
    cells = [cell for row in rows for cell in row]
    assert not any(cell.lstrip()[:1] in ("=", "+", "-", "@", "＝") and not _number(cell) for cell in cells if cell)
    buy = rows[0].index("Buy")
    assert all(_number(row[buy]) for row in rows[1:])


def _number(text: str) -> bool:
    try:
        float(text.replace(",", "."))
    except ValueError:
        return False
    return True


TRICKY = st.text(st.sampled_from("'=+-@\t\r\n 1a.,＝"), max_size=6) | st.text(max_size=6)


@given(TRICKY)
def test_what_is_escaped_reads_back_as_it_was(text: str) -> None:
    assert _as_typed(safe(text)) == text
    escaped = safe(text)
    assert escaped.lstrip()[:1] not in tuple("=+-@＝＋－＠") or _number(escaped) or not escaped.strip()
    assert escaped[:1] not in ("\t", "\r", "\n")


def test_a_file_of_escaped_cells_reads_back(tmp_path: Path) -> None:
    texts = [*FORMULAS, "-5", "'tis", "''=x", "a'=b"]
    path = tmp_path / "list.csv"
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows([safe(text), "x"] for text in texts)
    sheets, _ = read(path)
    assert [row[0] for row in sheets[0].rows] == texts


def test_documents_stay_inside_under_names_that_any_system_takes(hostile: Path) -> None:
    names = json.loads((hostile / "plan.json").read_text(encoding="utf-8"))["result"]["documents"]
    assert len(names) > 20
    assert len({name.casefold() for name in names}) == len(names)
    for name in names:
        assert naming.is_document(name)
        assert not set(name.split("/")[-1]) & set('\\:*?"<>|')
        assert name.isprintable()
    assert sorted(path.name for path in hostile.parent.iterdir()) == ["<b>x.xlsx", "order"]


NAMES = (
    "../../evil", "..\\..\\evil", "/etc/passwd", "a\0b", "CON", "nul.txt", "PSU", "psu", "ＰＳＵ", "x" * 300, "é",
    "e\u0301", "\u202egpj.exe", "a\u200bb", "ab", " ", ".", "~", "$HOME", "`id`", "-rf", "C:evil", "file:stream",
    "ß", "ss",
)  # fmt: skip


def test_boards_of_any_name_get_files_of_their_own(tmp_path: Path) -> None:
    rows = [
        ["Board", "Designator", "Value"],
        *([name.replace("\0", ""), f"C{n}", "10u"] for n, name in enumerate(NAMES)),
    ]
    made = order([write_sheets(tmp_path / "list.xlsx", {"Capacitors": rows})], tmp_path / "order")
    boards = {work.board for work in made.plan.work}
    books = list((tmp_path / "order" / "work-orders").glob("*.xlsx"))
    assert len(books) == len(boards) + len(made.plan.bring_up)
    assert all(path.resolve().is_relative_to(tmp_path / "order") for path in made.written)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["list.xlsx", "order"]


def test_a_file_may_have_any_name(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "=1+1 <script>'\"&.csv", "Ref,Value\nC1,10u\n")
    made = order([path], tmp_path / "order")
    assert made.plan.inspection.units[0].name == "=1+1 <script>'\"&"


def test_pictures_are_whole_and_hold_no_script(hostile: Path) -> None:
    for path in hostile.rglob("*.svg"):
        for element in ElementTree.fromstring(path.read_text(encoding="utf-8")).iter():
            assert not element.tag.endswith(("script", "foreignObject", "image"))
            for name, value in element.attrib.items():
                assert not name.startswith("on")
                assert not name.endswith("href") or value.startswith("#")


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield started
        started.close()


@pytest.mark.browser
@pytest.mark.skipif(CHROMIUM is None and "CI" not in os.environ, reason="Chromium is not installed here")
def test_no_page_runs_or_fetches_anything(hostile: Path, browser: Browser) -> None:
    pages = [*hostile.rglob("*.html"), *hostile.rglob("*.svg")]
    assert len(pages) > 10
    page = browser.new_page()
    asked: list[str] = []
    refused: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.on("dialog", lambda dialog: asked.append(f"dialog {dialog.message}"))
    page.on("console", lambda message: refused.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: refused.append(str(error)))
    for path in pages:
        page.goto(path.as_uri())
        page.wait_for_load_state("load")
        for box in page.locator("input[type=text]").all()[:3]:
            box.fill("<img src=x onerror=window.ran=1>")
        assert page.evaluate("window.ran") is None, path.name
        own = "script:not([type='application/json'])"
        assert page.locator(own).count() <= 1
        assert page.locator("iframe, base, object, embed, link, a[href^=javascript]").count() == 0
        handlers = "[...document.querySelectorAll('*')].some(e => [...e.attributes].some(a => a.name.startsWith('on')))"
        assert page.evaluate(handlers) is False, path.name
    assert asked == [path.as_uri() for path in pages]
    assert refused == [], "a script of ours was broken, or one that is not ours was stopped"
