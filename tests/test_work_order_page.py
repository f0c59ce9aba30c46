"""The work order in a browser: on screens and paper, by keyboard, through a reload, into a file."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from sample_plan import LOGIC, POWER, UNIT, hostile_plan, sample_plan

from recap.bench.filled import read_filled
from recap.outputs.page import labels_page, work_order_page
from recap.outputs.plan_json import plan_digest

if TYPE_CHECKING:
    from playwright.sync_api import Browser, BrowserContext, Page

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
PLAN = sample_plan()
DIGEST = plan_digest(PLAN)
POWER_WORK, LOGIC_WORK = PLAN.work


class TestText:
    """What can be told without a browser."""

    def test_the_stop_list_comes_first(self) -> None:
        text = work_order_page(PLAN, POWER_WORK, DIGEST)
        places = [text.index(part) for part in ("Stop: settle", "Before you touch", "Have at hand", "Steps, one part")]
        assert places == sorted(places)

    def test_the_chassis_is_named_unless_it_is_known_to_be_isolated(self) -> None:
        assert "not known to be isolated from the mains" in work_order_page(PLAN, POWER_WORK, DIGEST)

    def test_a_negative_rail_is_put_into_words(self) -> None:
        assert "Minus to the pad nearer R12, which is on −12 V" in work_order_page(PLAN, POWER_WORK, DIGEST)

    def test_positions_that_stay_empty_are_named(self) -> None:
        text = work_order_page(PLAN, LOGIC_WORK, DIGEST)
        assert "Empty by design: fit nothing" in text
        assert "<b>C3</b>, beside U3: never fitted" in text

    def test_text_from_the_sheet_is_never_markup(self) -> None:
        plan = hostile_plan()
        for work in plan.work:
            text = work_order_page(plan, work, plan_digest(plan))
            assert "<script>alert" not in text
            assert text.count("<script>") == 1
        assert "&lt;b&gt;crust" in work_order_page(PLAN, LOGIC_WORK, DIGEST)
        assert "<script" not in labels_page(plan)

    def test_nothing_is_fetched(self) -> None:
        text = work_order_page(PLAN, POWER_WORK, DIGEST)
        assert "src=" not in text.replace("img-src", "")
        assert "@import" not in text
        assert "url(" not in text
        assert "http" not in text.replace("http-equiv", "")

    def test_labels_for_what_comes_out_and_what_goes_in(self) -> None:
        text = labels_page(PLAN)
        assert text.count('<li class="out">') == 8, "seven replaced and one reformed; a missing part needs no bag"
        assert text.count('<li class="in">') == 8
        assert f"<span>{UNIT}</span><span>{POWER}, step 2</span>" in text


browser_test = pytest.mark.browser
needs_chromium = pytest.mark.skipif(
    CHROMIUM is None and "CI" not in os.environ, reason="Chromium is not installed here"
)


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    playwright = pytest.importorskip("playwright.sync_api")
    with playwright.sync_playwright() as started:
        browser = started.chromium.launch(
            executable_path=CHROMIUM, args=["--no-sandbox", "--disable-background-networking"]
        )
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("pages")
    (folder / "power.html").write_text(work_order_page(PLAN, POWER_WORK, DIGEST), encoding="utf-8")
    (folder / "logic.html").write_text(work_order_page(PLAN, LOGIC_WORK, DIGEST), encoding="utf-8")
    (folder / "labels.html").write_text(labels_page(PLAN), encoding="utf-8")
    return folder


@pytest.fixture
def context(browser: Browser) -> Iterator[BrowserContext]:
    context = browser.new_context(accept_downloads=True)
    yield context
    context.close()


def opened(context: BrowserContext, path: Path) -> Page:
    page = context.new_page()
    page.errors = []  # type: ignore[attr-defined]
    page.on("pageerror", lambda error: page.errors.append(str(error)))  # type: ignore[attr-defined]
    page.on("console", lambda said: page.errors.append(said.text) if said.type == "error" else None)  # type: ignore[attr-defined]
    page.goto(path.as_uri())
    return page


@browser_test
@needs_chromium
class TestBrowser:
    def test_entries_survive_a_reload_and_belong_to_their_board(self, context: BrowserContext, folder: Path) -> None:
        page = opened(context, folder / "power.html")
        page.get_by_label("Removed, C2").check()
        page.get_by_label("Old part, before: ESR in Ω, C2").fill("1,9")
        page.get_by_label("Technician").fill("A. B.")
        page.reload()
        assert page.get_by_label("Removed, C2").is_checked()
        assert page.get_by_label("Old part, before: ESR in Ω, C2").input_value() == "1,9"
        assert page.get_by_label("Technician").input_value() == "A. B."
        assert "stay in this browser" in page.locator("#keeping").inner_text()
        other = opened(context, folder / "logic.html")
        assert not other.get_by_label("Removed, C2").is_checked(), "both boards have a C2"
        assert page.errors == []  # type: ignore[attr-defined]

    def test_saved_file_is_read_as_it_was_filled_in(
        self, context: BrowserContext, folder: Path, tmp_path: Path
    ) -> None:
        page = opened(context, folder / "power.html")
        page.get_by_label("Fitted, C2").check()
        page.get_by_label("Afterwards: C in µF, C2").fill("221")
        page.get_by_label("Result, C2").select_option("pass with remarks")
        page.get_by_label("How it was settled, C5").fill("metered: ground is at R14")
        page.get_by_label("Date").fill("3 May")
        with page.expect_download() as download:
            page.get_by_role("button", name="Save readings to a file").click()
        saved = tmp_path / download.value.suggested_filename
        download.value.save_as(saved)
        assert saved.name == "readings Halden 8 _invented_ Power supply.json"
        filled = read_filled(saved)
        assert (filled.plan, filled.unit, filled.board) == (DIGEST, UNIT, POWER)
        assert filled.board_fields == {"date": "3 May"}
        assert filled.positions == {
            f"{UNIT}/{POWER}/C5": {"settled_how": "metered: ground is at R14"},
            f"{UNIT}/{POWER}/C2": {"fitted": True, "after_capacitance_uf": "221", "result": "pass with remarks"},
        }
        again = opened(context, folder / "power.html")
        again.evaluate("localStorage.clear()")
        again.reload()
        again.locator("#load").set_input_files(saved)
        again.wait_for_function("document.getElementById('keeping').textContent.startsWith('Loaded')")
        assert again.get_by_label("Afterwards: C in µF, C2").input_value() == "221"

    def test_a_file_of_another_board_changes_nothing(
        self, context: BrowserContext, folder: Path, tmp_path: Path
    ) -> None:
        saved = tmp_path / "other.json"
        saved.write_text(json.dumps({"format": "recap readings", "unit": UNIT, "board": LOGIC, "positions": {}}))
        page = opened(context, folder / "power.html")
        page.get_by_label("Fitted, C2").check()
        page.locator("#load").set_input_files(saved)
        page.get_by_text("holds no readings of this board").wait_for()
        assert page.get_by_label("Fitted, C2").is_checked()

    def test_a_browser_that_refuses_storage_is_told_at_once(self, context: BrowserContext, folder: Path) -> None:
        context.add_init_script(
            "Object.defineProperty(window, 'localStorage', {get() { throw new DOMException('no', 'SecurityError'); }})"
        )
        page = opened(context, folder / "power.html")
        assert "keeps nothing" in page.locator("#keeping").inner_text()
        page.get_by_label("Removed, C2").check()
        assert page.get_by_label("Removed, C2").is_checked()
        assert page.errors == []  # type: ignore[attr-defined]

    def test_progress_counts_a_step_only_when_all_is_ticked_and_judged(
        self, context: BrowserContext, folder: Path
    ) -> None:
        page = opened(context, folder / "logic.html")
        page.get_by_label("Measured, C5").check()
        assert page.locator("#progress").inner_text() == "0 of 4 steps finished"
        page.get_by_label("Result, C5").select_option("pass")
        assert page.locator("#progress").inner_text() == "1 of 4 steps finished"

    def test_an_odd_reading_is_marked(self, context: BrowserContext, folder: Path) -> None:
        page = opened(context, folder / "logic.html")
        field = page.get_by_label("Old part, before: C in µF, C5")
        for text, odd in (("0,47", None), ("> 20", None), ("12 k", "true"), ("", None)):
            field.fill(text)
            assert field.get_attribute("aria-invalid") == odd

    def test_no_request_leaves_the_page(self, context: BrowserContext, folder: Path) -> None:
        requests: list[str] = []
        context.on("request", lambda request: requests.append(request.url))
        for name in ("power.html", "labels.html"):
            opened(context, folder / name)
        assert requests == [(folder / "power.html").as_uri(), (folder / "labels.html").as_uri()]

    @pytest.mark.parametrize("name", ["power.html", "logic.html", "labels.html"])
    def test_nothing_is_wider_than_the_screen(self, context: BrowserContext, folder: Path, name: str) -> None:
        page = opened(context, folder / name)
        for width in (320, 390, 820, 1400):
            page.set_viewport_size({"width": width, "height": 900})
            assert page.evaluate("document.documentElement.scrollWidth") <= width

    @pytest.mark.parametrize("paper", ["A4", "Letter"])
    def test_no_step_is_cut_on_paper(self, context: BrowserContext, folder: Path, paper: str) -> None:
        page = opened(context, folder / "power.html")
        # A mark at the top and at the bottom of each card must print on the same sheet.
        page.evaluate(
            """for (const [i, card] of document.querySelectorAll(".card").entries()) {
                 const mark = (word) => `<p style="font-size:1px;line-height:1px;margin:0">${word}${i}X</p>`;
                 card.insertAdjacentHTML("afterbegin", mark("FROM"));
                 card.insertAdjacentHTML("beforeend", mark("UPTO"));
               }"""
        )
        sheets = _sheets(page.pdf(format=paper))
        count = page.locator(".card").count()
        begins = []
        for number in range(count):
            first = [place for place, text in enumerate(sheets) if f"FROM{number}X" in text]
            last = [place for place, text in enumerate(sheets) if f"UPTO{number}X" in text]
            assert first == last != [], f"step {number} on {paper}"
            begins += first
        assert len(set(begins)) < count, "several steps share a sheet"
        assert "Save readings" not in "".join(sheets)

    def test_every_control_has_a_name_of_its_own(self, context: BrowserContext, folder: Path) -> None:
        for file in ("power.html", "logic.html"):
            page = opened(context, folder / file)
            names = page.evaluate(
                """[...document.querySelectorAll("input, select, button")].map(
                     (c) => c.getAttribute("aria-label") || c.closest("label")?.textContent.trim() || c.textContent)"""
            )
            assert all(names)
            assert len(set(names)) == len(names)

    def test_headings_go_down_one_level_at_a_time(self, context: BrowserContext, folder: Path) -> None:
        page = opened(context, folder / "power.html")
        levels = page.evaluate('[...document.querySelectorAll("h1, h2, h3")].map((h) => +h.tagName[1])')
        assert levels[0] == 1
        assert levels.count(1) == 1
        assert all(after - before <= 1 for before, after in pairwise(levels))

    def test_drawings_have_names_and_ids_are_unique(self, context: BrowserContext, folder: Path) -> None:
        page = opened(context, folder / "power.html")
        assert page.locator('svg:not([aria-hidden]):not([role="img"][aria-label])').count() == 0
        ids = page.evaluate('[...document.querySelectorAll("[id]")].map((e) => e.id)')
        assert len(set(ids)) == len(ids)

    def test_text_stands_out_from_its_ground(self, context: BrowserContext, folder: Path) -> None:
        for file in ("power.html", "logic.html", "labels.html"):
            assert _faint_texts(opened(context, folder / file)) == []

    def test_targets_are_large_enough_for_a_finger(self, context: BrowserContext, folder: Path) -> None:
        page = opened(context, folder / "power.html")
        page.set_viewport_size({"width": 820, "height": 1100})
        small = page.evaluate(
            """[...document.querySelectorAll(".tick, button, .button, select")].map((e) => e.getBoundingClientRect())
               .filter((r) => r.height < 41 || r.width < 41).length"""
        )
        assert small == 0

    def test_keyboard_reaches_the_steps_and_ticks(self, context: BrowserContext, folder: Path) -> None:
        page = opened(context, folder / "power.html")
        page.keyboard.press("Tab")
        assert page.evaluate("document.activeElement.textContent") == "Skip to the steps"
        page.keyboard.press("Enter")
        page.keyboard.press("Tab")
        page.keyboard.press("Space")
        assert page.get_by_label("Removed, C1").is_checked()

    def test_without_scripts_the_page_says_to_use_a_pen(self, browser: Browser, folder: Path) -> None:
        context = browser.new_context(java_script_enabled=False)
        page = context.new_page()
        page.goto((folder / "power.html").as_uri())
        assert "print it and use a pen" in page.locator("#keeping").inner_text()
        context.close()


def _sheets(pdf: bytes) -> list[str]:
    """Return the text of each page, by poppler's pdftotext."""
    import subprocess

    if shutil.which("pdftotext") is None and "CI" not in os.environ:
        pytest.skip("pdftotext is not installed here")
    done = subprocess.run(["pdftotext", "-layout", "-", "-"], input=pdf, capture_output=True, check=True)
    return done.stdout.decode("utf-8").split("\f")[:-1]


def _faint_texts(page: Page) -> list[Any]:
    """Return texts whose contrast is below 4.5 to 1 (3 to 1 when large)."""
    found: list[Any] = page.evaluate(
        """() => {
          const parse = (c) => (c.match(/[\\d.]+/g) || []).map(Number);
          const light = ([r, g, b]) => [r, g, b].map((v) => v / 255)
            .map((v) => (v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4))
            .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
          const ground = (e) => {
            for (; e; e = e.parentElement) {
              const c = parse(getComputedStyle(e).backgroundColor);
              if (c.length === 3 || c[3] > 0) return c;
            }
            return [255, 255, 255];
          };
          const texts = [...document.querySelectorAll("body *")].filter((e) => !e.closest("svg, script, style") &&
            [...e.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim()));
          return texts.map((e) => {
            const style = getComputedStyle(e);
            const [a, b] = [light(parse(style.color)), light(ground(e))].sort((x, y) => y - x);
            const size = parseFloat(style.fontSize);
            const large = size >= 24 || (size >= 18.66 && +style.fontWeight >= 700);
            return [(a + 0.05) / (b + 0.05), large ? 3 : 4.5, e.textContent.trim().slice(0, 40)];
          }).filter(([ratio, least]) => ratio < least);
        }"""
    )
    return found
