"""How long parts last, as shown: in words, as a picture, in the table; and what is shown once for a whole can."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import pairwise

import pytest
from sample_plan import C2_PRIMARY, C7_REFORM, LIFE, LOGIC, POWER, UNIT, sample_plan

from recap.bench.work_fields import step_fields
from recap.model import Basis, BoardWork, Input, Judgement, LifeEstimate, Plan
from recap.outputs.advice_words import positions_text
from recap.outputs.life_picture import ROWS_A_SHEET, LifeRow, life_picture, life_svg
from recap.outputs.life_table import life_table
from recap.outputs.life_words import clamp_texts, model_lines, seal_years, years, years_text
from recap.outputs.page import work_order_page
from recap.outputs.steps import cards, steps
from recap.outputs.wrapping import wrapped

SVG = "{http://www.w3.org/2000/svg}"
ESTIMATE = LifeEstimate(
    17000.0,
    26000.0,
    57500.0,
    "T1",
    Basis.ASSUMED,
    models=(("T3 0.83 eV", 57500.0, "ten-degree-energy"), ("T4 12 K", 17000.0, "vernica-thesis")),
    inputs=(Input("air near the part", "48 °C", Basis.MEASURED),),
    clamps=("ceiling",),
    narrower=("ripple current",),
)


@pytest.fixture(scope="module")
def plan() -> Plan:
    return sample_plan()


def board_of(judgements: tuple[Judgement, ...]) -> BoardWork:
    return BoardWork(UNIT, POWER, (), judgements, ())


def renamed(judgement: Judgement, designator: str, section: str = "") -> Judgement:
    key = judgement.key._replace(designator=designator, section=section)
    return replace(judgement, position=replace(judgement.position, key=key))


class TestWords:
    @pytest.mark.parametrize(("use", "expected"), [(8760.0, 2.97), (200.0, 15.0), (0.0, 15.0)])
    def test_years_are_hours_over_use_and_never_more_than_a_seal_lasts(self, use: float, expected: float) -> None:
        assert years(ESTIMATE, use).nominal == pytest.approx(expected, rel=0.01)
        assert years(ESTIMATE, use).high <= seal_years()

    def test_the_seal_is_named_only_where_it_ends_something(self) -> None:
        assert "seal" not in years_text(ESTIMATE, 8760.0)
        assert "limited by the age of the seal" in years_text(ESTIMATE, 2500.0)
        assert "rather than by wear" in years_text(ESTIMATE, 200.0)

    def test_every_model_is_listed_with_its_source_the_shortest_life_first(self) -> None:
        first, second = model_lines(ESTIMATE)
        assert first.startswith("17,000 h  T4 12 K")
        assert "Vernica" in first
        assert second.startswith("57,500 h  T3 0.83 eV")

    def test_a_clamp_that_is_not_known_is_shown_by_its_name(self) -> None:
        assert clamp_texts(replace(ESTIMATE, clamps=("odd",))) == ["odd"]

    def test_a_number_keeps_its_unit_when_lines_are_broken(self) -> None:
        text = "at least 25 V, 105 °C, 16.8 mm, 80 % and 100 kHz of it"
        for width in range(12, 60):
            lines = wrapped(text, width)
            assert " ".join(lines) == text
            assert not any(line[-1].isdigit() for line in lines)

    def test_a_board_is_named_once(self) -> None:
        keys = [C2_PRIMARY.key._replace(board=board, designator=f"C{n}") for board in "BA" for n in (1, 2, 10)]
        assert positions_text(keys) == "A: C1, C2, C10; B: C1, C2, C10"
        assert positions_text(keys[:3], most=1) == "B: C1 and 2 more"


class TestPicture:
    def test_file_is_well_formed_and_told_in_words(self, plan: Plan) -> None:
        root = ET.fromstring(life_svg(plan, plan.work[0]))
        assert root.tag == f"{SVG}svg"
        assert root.get("role") == "img"
        assert POWER in root.findtext(f"{SVG}title", "")
        told = root.findtext(f"{SVG}desc", "")
        assert "C2 (replace): original 900 h" in told
        assert told.count("part asked for") == len(life_picture(plan, plan.work[0]).rows)

    def test_equal_factors_are_equally_far_apart(self, plan: Plan) -> None:
        svg = ET.fromstring(life_svg(plan, board_of((replace(C2_PRIMARY, life_as_found=ESTIMATE),))))
        marks = {text.text: float(text.get("x", "nan")) for text in svg.iter(f"{SVG}text")}
        steps = [marks[after] - marks[before] for before, after in pairwise(("10,000", "20,000"))]
        assert marks["100,000"] - marks["50,000"] == pytest.approx(steps[0], abs=0.02)
        assert marks["100,000"] - marks["20,000"] == pytest.approx(marks["50,000"] - marks["10,000"], abs=0.02)

    def test_original_and_part_asked_for_differ_in_form(self, plan: Plan) -> None:
        svg = ET.fromstring(life_svg(plan, board_of((replace(C2_PRIMARY, life_as_found=ESTIMATE),))))
        circles = [circle for circle in svg.iter(f"{SVG}circle") if circle.get("fill") == "#fff"]
        assert len(circles) == 2, "one in the legend, one for the original"
        assert sum(path.get("stroke-width") == "0.9" for path in svg.iter(f"{SVG}path")) == 2

    def test_marks_stay_on_the_sheet_whatever_the_figures(self, plan: Plan) -> None:
        odd = LifeEstimate(0.0, 3.0, float("inf"), "T1", Basis.ASSUMED)
        svg = ET.fromstring(life_svg(plan, board_of((replace(C2_PRIMARY, life_as_found=odd, life_planned=LIFE),))))
        assert all(0 <= float(text.get("x", "nan")) <= 190 for text in svg.iter(f"{SVG}text"))
        assert "nan" not in life_svg(plan, board_of((replace(C2_PRIMARY, life_as_found=odd),)))

    def test_scale_reaches_every_figure_that_a_scale_of_powers_can_show(self, plan: Plan) -> None:
        texts = {text.text for text in ET.fromstring(life_svg(plan, plan.work[0])).iter(f"{SVG}text")}
        assert {"500", "200,000"} <= texts, "C2 has 0, 900 and 4,000 h; the new parts up to 131,400 h"

    def test_a_large_board_takes_several_sheets_of_a_page_each(self, plan: Plan) -> None:
        many = tuple(renamed(C2_PRIMARY, f"C{n}") for n in range(1, ROWS_A_SHEET + 6))
        picture = life_picture(plan, board_of(many))
        assert len(picture.sheets) == 2
        for sheet in picture.sheets:
            _, _, width, height = map(float, ET.fromstring(sheet).get("viewBox", "").split())
            assert height / width <= 1.5, "higher than a page that is as wide"

    def test_positions_without_an_estimate_are_named(self, plan: Plan) -> None:
        assert "C1" in life_picture(plan, plan.work[0]).without
        assert "C1" in work_order_page(plan, plan.work[0], "d").split("No estimate, for want of")[1][:60]

    def test_no_picture_where_nothing_is_estimated(self, plan: Plan) -> None:
        bare = board_of((replace(C2_PRIMARY, life_as_found=None, life_planned=None),))
        assert life_picture(plan, bare).sheets == ()
        assert "How long it lasts here" not in work_order_page(plan, replace(bare, board=LOGIC), "d")


class TestTable:
    def test_positions_alike_share_a_line_and_notes_are_told_once(self) -> None:
        rows = [LifeRow(name, "replace", ESTIMATE, None, 200.0) for name in ("C1", "C2")]
        rows.append(LifeRow("C3", "replace", ESTIMATE, LIFE, 200.0))
        table = life_table(rows)
        assert [line.names for line in table.lines] == [("C1", "C2"), ("C3",)]
        assert table.lines[0].planned == ()
        assert "air near the part 48 °C (measured)" in table.lines[0].as_found[1]
        assert sum("would narrow it: ripple current" in note for note in table.notes) == 1
        assert all(1 <= number <= len(table.notes) for line in table.lines for number in line.notes)


class TestCan:
    SECTIONS = tuple(renamed(C7_REFORM, "C7", section) for section in "ab")

    def test_sections_share_a_number_and_keep_their_fields(self, plan: Plan) -> None:
        work = board_of((C2_PRIMARY, *self.SECTIONS, renamed(C7_REFORM, "C9")))
        both = replace(plan, judgements=(*self.SECTIONS, C2_PRIMARY))
        assert [step.number for step in steps(both, work)] == [1, 2, 2, 3]
        can = cards(both, work)[1]
        assert (can.place, can.sections) == ("C7", ("a", "b"))
        page = work_order_page(both, work, "d")
        assert page.count('<article class="step"') == 3
        for section in self.SECTIONS:
            for field in step_fields(section):
                assert page.count(f'data-key="{section.key}" data-field="{field.id}"') == 1

    def test_what_holds_for_every_section_is_said_once(self, plan: Plan) -> None:
        both = replace(plan, judgements=self.SECTIONS)
        page = work_order_page(both, board_of(self.SECTIONS), "d")
        assert page.count("One can holds sections a, b: it comes out and goes in once.") == 1

    def test_sections_that_are_treated_differently_stay_apart(self, plan: Plan) -> None:
        other = replace(C2_PRIMARY, position=replace(C2_PRIMARY.position, key=self.SECTIONS[1].key))
        assert [step.number for step in steps(plan, board_of((self.SECTIONS[0], other)))] == [1, 2]
