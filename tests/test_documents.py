"""What a plan turns into: plan.json, lists, workbooks, and how they reach the disk."""

from __future__ import annotations

import csv
import errno
import json
import os
from collections.abc import Iterator
from dataclasses import replace
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from openpyxl import load_workbook
from sample_plan import C2_PRIMARY, C5_STOP, C7_REFORM, LIFE, LOGIC, POWER, PROBLEMS, UNIT, hostile_plan, sample_plan

from recap.bench.filled import read_filled
from recap.model import Plan
from recap.outputs import naming, swapping, writing
from recap.outputs.csvs import safe, shopping_csv
from recap.outputs.documents import plan_document, write_documents
from recap.outputs.explanation import NoSuchPosition, explanation, find_position
from recap.outputs.plan_json import as_text, plan_digest
from recap.outputs.shopping import every_position, needs_you, not_checked, shopping_list
from recap.outputs.steps import step
from recap.outputs.summary import summary
from recap.outputs.writing import NotWritten
from recap.sources import data_folder

POWER_ORDER = f"work-orders/{UNIT} - {POWER}.xlsx"


@pytest.fixture(scope="module")
def plan() -> Plan:
    return sample_plan()


@pytest.fixture
def written(plan: Plan, tmp_path: Path) -> Iterator[Path]:
    write_documents(plan, PROBLEMS, tmp_path / "order")
    yield tmp_path / "order"
    left = [path.name for path in tmp_path.iterdir() if path.name.startswith(".")]
    assert left == [], "a folder of an unfinished run was left behind"


def by_key(document: dict, key: str) -> dict:
    return next(position for position in document["result"]["positions"] if position["key"] == key)


class TestPlanDocument:
    def test_follows_its_schema(self, plan: Plan) -> None:
        schema = json.loads((data_folder() / "schemas" / "plan.schema.json").read_text(encoding="utf-8"))
        Draft202012Validator.check_schema(schema)
        errors = list(Draft202012Validator(schema).iter_errors(plan_document(plan, PROBLEMS)))
        assert [error.message for error in errors] == []

    def test_the_same_plan_gives_the_same_bytes_whatever_the_order_of_rows(self, plan: Plan) -> None:
        turned = replace(plan, judgements=plan.judgements[::-1])
        assert as_text(plan_document(plan, PROBLEMS)) == as_text(plan_document(turned, PROBLEMS))

    def test_digest_follows_the_plan_and_not_the_problems(self, plan: Plan) -> None:
        assert plan_document(plan, PROBLEMS)["result"]["digest"] == plan_digest(plan)
        assert plan_digest(replace(plan, policy="other")) != plan_digest(plan)

    def test_requirement_carries_strength_frequency_and_the_reason_in_its_fixed_form(self, plan: Plan) -> None:
        position = by_key(plan_document(plan), f"{UNIT}/{POWER}/C2")
        esr = next(r for r in position["requirements"] if r["quantity"] == "esr_ohm")
        assert (esr["relation"], esr["value"], esr["frequency_hz"], esr["strength"]) == ("at_most", 0.08, 120.0, "must")
        marked = position["requirements"][0]
        assert marked["governing"]
        assert marked["reason"].startswith(
            "marked voltage 400 V (marked) → never below the marking → rated voltage at least 400 V → voltage-marked → "
        )

    def test_no_orientation_where_polarity_is_disputed(self, plan: Plan) -> None:
        position = by_key(plan_document(plan), f"{UNIT}/{POWER}/C5")
        assert position["decision"] == "stop"
        assert position["meant"] == "replace"
        assert position["orientation"] is None

    def test_a_number_that_is_not_finite_becomes_null(self, plan: Plan) -> None:
        endless = replace(C2_PRIMARY, life_planned=replace(LIFE, high_h=float("inf")))
        document = plan_document(replace(plan, judgements=(endless,)))
        assert document["result"]["positions"][0]["estimated_life_h"]["planned"]["high"] is None
        as_text(document)

    def test_every_position_and_left_out_row_is_there(self, plan: Plan) -> None:
        result = plan_document(plan)["result"]
        assert len(result["positions"]) == len(plan.judgements) == result["totals"]["positions"]
        assert sum(result["totals"]["decisions"].values()) == len(plan.judgements)
        assert [row["reason"] for row in result["left_out"]] == ["no designator"]


class TestLists:
    def test_a_line_names_where_it_is_used_and_what_may_differ(self, plan: Plan) -> None:
        table = shopping_list(plan)
        row = dict(zip(table.headings, table.rows[2], strict=True))
        assert row["Line"] == "L03"
        assert (row["Buy"], row["of these spare"]) == (3, 1)
        assert row["Where used"] == f"{POWER}: C4, C5"
        assert "temperature higher" in str(row["May differ without asking"])
        assert row["What merging costs"] == "C4 asks for at most 22 mm height, C5 for 25 mm."

    def test_where_used_names_the_unit_once_there_are_several(self, plan: Plan) -> None:
        units = (*plan.inspection.units, replace(plan.inspection.units[0], name="Other"))
        several = replace(plan, inspection=replace(plan.inspection, units=units))
        assert f"{UNIT}, {POWER}: C2" in [row[18] for row in shopping_list(several).rows]

    def test_positions_that_need_the_user(self, plan: Plan) -> None:
        rows = needs_you(plan, PROBLEMS).rows
        assert [row[2] for row in rows] == ["C4", "C5", "x.xlsx:Capacitors!A9", "halden.xlsx:Capacitors!A20"]

    def test_what_could_not_be_checked_says_what_is_missing(self, plan: Plan) -> None:
        assert ("ripple-current", "ripple current, load", 1, f"{POWER}: C2") in not_checked(plan).rows

    def test_sections_of_one_can_say_that_it_comes_out_once(self, plan: Plan) -> None:
        other = replace(C7_REFORM, position=replace(C7_REFORM.position, key=C7_REFORM.key._replace(section="B")))
        assert not any("One can" in note for note in step(plan, C7_REFORM).notes)
        both = replace(plan, judgements=(*plan.judgements, other))
        assert step(both, C7_REFORM).notes[0].startswith("One can holds sections A, B:")

    def test_no_position_is_dropped(self, plan: Plan) -> None:
        assert len(every_position(plan).rows) == len(plan.judgements)


class TestText:
    @pytest.mark.parametrize("text", ["=1+1", "+cmd|' /C calc'!A0", "-x", "@SUM(A1)", "\t=1", " =1", "-1+2", "\r=1"])
    def test_csv_never_holds_a_formula(self, text: str) -> None:
        assert safe(text) == f"'{text}"

    @pytest.mark.parametrize("text", ["-5", "+3.3", "-0,5", "1e-6", "", "C1-C4"])
    def test_numbers_and_plain_text_stay(self, text: str) -> None:
        assert safe(text) == text

    def test_csv_reads_back(self, plan: Plan) -> None:
        rows = list(csv.DictReader(StringIO(shopping_csv(plan))))
        assert [row["Line"] for row in rows] == [line.id for line in plan.lines]
        assert rows[1]["Capacitance µF"] == "4700"

    def test_workbooks_hold_no_formula_and_no_link(self, tmp_path: Path) -> None:
        paths = write_documents(hostile_plan(), PROBLEMS, tmp_path / "order")
        books = [path for path in paths if path.suffix == ".xlsx"]
        assert books
        texts = []
        for path in books:
            for sheet in load_workbook(path):
                cells = [cell for row in sheet.iter_rows() for cell in row if cell.value is not None]
                assert all(cell.data_type != "f" and cell.hyperlink is None for cell in cells)
                texts += [cell.value for cell in cells if isinstance(cell.value, str)]
        assert any(text.startswith("=cmd") for text in texts), "the text itself must stay as it was written"

    def test_control_characters_do_not_stop_a_workbook(self, plan: Plan, tmp_path: Path) -> None:
        position = replace(C5_STOP.position, note="bell \x07 and half \ud800 a pair")
        work = replace(plan.work[0], steps=(replace(C2_PRIMARY, position=replace(position, key=C2_PRIMARY.key)),))
        write_documents(replace(plan, work=(work,)), (), tmp_path / "order")


class TestNames:
    def test_no_path_trick_survives(self, tmp_path: Path) -> None:
        paths = write_documents(hostile_plan(), (), tmp_path / "order")
        assert all(path.is_relative_to(tmp_path / "order") for path in paths)
        assert {path.parent.name for path in paths} == {"order", "work-orders", "life"}

    @pytest.mark.parametrize("name", ["", "...", "/", "CON", "com1.txt", "nul", "a" * 500, "µ" * 300, "a\x00b", "x. "])
    def test_names_suit_every_file_system(self, name: str) -> None:
        made = naming.safe_name(name)
        assert made
        assert len(made.encode()) <= 130
        assert not set(made) & set('/\\:*?"<>|\x00')
        assert made == made.strip(" .")
        assert made.split(".")[0].casefold() not in {"con", "nul", "com1"}

    def test_names_that_a_file_system_takes_for_the_same_are_numbered(self) -> None:
        assert naming.distinct(["PSU", "psu", "Psu", "CPU"]) == ["PSU", "psu (2)", "Psu (3)", "CPU"]

    def test_boards_with_the_same_safe_name_get_a_file_each(self, plan: Plan) -> None:
        work = (replace(plan.work[0], board="a/b"), replace(plan.work[1], board="a:b"))
        names = naming.document_names(replace(plan, work=work)).everything
        assert len(set(names)) == len(names) == 9, "one board of the two has an estimate and so a picture"


def fill(path: Path, field: str = "removed") -> None:
    book = load_workbook(path)
    sheet = book["Steps"]
    column = next(cell.column for cell in sheet[2] if cell.value == field)
    sheet.cell(4, column).value = "yes"
    book["Readings"].cell(5, 5).value = 0.31
    book.save(path)


class TestFilled:
    def test_an_empty_work_order_holds_nothing(self, written: Path, plan: Plan) -> None:
        filled = read_filled(written / POWER_ORDER)
        assert (filled.unit, filled.board, filled.plan) == (UNIT, POWER, plan_digest(plan))
        assert not filled.anything

    def test_entries_are_read_by_position_and_field(self, written: Path) -> None:
        fill(written / POWER_ORDER)
        filled = read_filled(written / POWER_ORDER)
        assert filled.positions == {
            f"{UNIT}/{POWER}/C1": {"removed": True},
            f"{UNIT}/{POWER}/C2": {"before_esr_ohm": 0.31},
        }

    def test_other_workbooks_are_refused(self, written: Path) -> None:
        with pytest.raises(writing.RecapError, match="is no work order"):
            read_filled(written / "shopping-list.xlsx")


class TestWriting:
    def test_everything_named_is_there(self, written: Path) -> None:
        names = json.loads((written / "plan.json").read_text(encoding="utf-8"))["result"]["documents"]
        assert sorted(names) == sorted(str(p.relative_to(written)) for p in written.rglob("*") if p.is_file())

    def test_writing_again_replaces_what_nobody_filled_in(self, written: Path, plan: Plan) -> None:
        (written / "notes.txt").write_text("mine")
        (written / "photos").mkdir()
        (written / "photos" / "p1.jpg").write_bytes(b"jpg")
        write_documents(replace(plan, work=plan.work[:1]), PROBLEMS, written)
        assert (written / "notes.txt").read_text() == "mine"
        assert (written / "photos" / "p1.jpg").read_bytes() == b"jpg"
        assert not (written / f"work-orders/{UNIT} - {LOGIC}.xlsx").exists(), "a board that is gone keeps no order"

    def test_a_filled_work_order_is_never_overwritten(self, written: Path, plan: Plan) -> None:
        fill(written / POWER_ORDER)
        before = (written / POWER_ORDER).read_bytes()
        with pytest.raises(NotWritten, match="already holds entries; give --replace"):
            write_documents(plan, PROBLEMS, written)
        assert (written / POWER_ORDER).read_bytes() == before

    def test_nor_is_that_of_a_board_that_is_gone(self, written: Path, plan: Plan) -> None:
        fill(written / POWER_ORDER)
        with pytest.raises(NotWritten, match=POWER):
            write_documents(replace(plan, work=plan.work[1:]), PROBLEMS, written)

    def test_replace_keeps_a_copy_and_says_where(self, written: Path, plan: Plan) -> None:
        for number in (1, 2):
            fill(written / POWER_ORDER)
            before = (written / POWER_ORDER).read_bytes()
            paths = write_documents(plan, PROBLEMS, written, replace=True)
            assert paths[-1] == written / "earlier" / f"{UNIT} - {POWER} {number}.xlsx"
            assert paths[-1].read_bytes() == before
            assert not read_filled(written / POWER_ORDER).anything
        assert f"a copy of what was replaced: {paths[-1]}" in "\n".join(summary(plan, (), paths))

    def test_one_that_cannot_be_read_counts_as_filled(self, written: Path, plan: Plan) -> None:
        (written / POWER_ORDER).write_bytes(b"half a file")
        with pytest.raises(NotWritten, match="--replace"):
            write_documents(plan, PROBLEMS, written)

    def test_one_that_is_open_is_left_alone(self, written: Path, plan: Plan) -> None:
        lock = (written / POWER_ORDER).with_name(f".~lock.{Path(POWER_ORDER).name}#")
        lock.write_text("somebody")
        with pytest.raises(NotWritten, match="is open in a spreadsheet program"):
            write_documents(plan, PROBLEMS, written, replace=True)

    @pytest.mark.parametrize(("number", "words"), [(errno.ENOSPC, "the disk is full"), (errno.EROFS, "read-only")])
    def test_a_failure_leaves_the_old_set(
        self, written: Path, plan: Plan, monkeypatch: pytest.MonkeyPatch, number: int, words: str
    ) -> None:
        before = {path: path.read_bytes() for path in written.rglob("*") if path.is_file()}

        def fail(handle: int) -> None:
            raise OSError(number, os.strerror(number))

        monkeypatch.setattr(writing.os, "fsync", fail)
        with pytest.raises(NotWritten, match=words):
            write_documents(replace(plan, policy="other"), PROBLEMS, written)
        assert {path: path.read_bytes() for path in written.rglob("*") if path.is_file()} == before

    def test_a_swap_that_fails_half_way_is_undone(
        self, written: Path, plan: Plan, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        rename, before = os.rename, (written / "plan.json").read_bytes()

        def fail(source: Path, target: Path) -> None:
            if ".new-" in str(source):
                raise OSError(errno.EACCES, "no")
            rename(source, target)

        monkeypatch.setattr(swapping, "exchange", lambda one, other: False)
        monkeypatch.setattr(swapping.os, "rename", fail)
        with pytest.raises(NotWritten, match="not permitted"):
            write_documents(replace(plan, policy="other"), PROBLEMS, written)
        assert (written / "plan.json").read_bytes() == before

    def test_a_system_that_cannot_exchange_folders_renames_them(
        self, written: Path, plan: Plan, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        (written / "notes.txt").write_text("mine")
        monkeypatch.setattr(swapping, "exchange", lambda one, other: False)
        write_documents(replace(plan, policy="other"), PROBLEMS, written)
        assert json.loads((written / "plan.json").read_text())["result"]["policy"]["name"] == "other"
        assert (written / "notes.txt").read_text() == "mine"

    def test_what_somebody_saves_meanwhile_is_not_lost(
        self, written: Path, plan: Plan, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        build = writing._build

        def save_in_between(*arguments: Any) -> list[str]:
            kept = build(*arguments)
            fill(written / POWER_ORDER)
            return kept

        monkeypatch.setattr(writing, "_build", save_in_between)
        with pytest.raises(NotWritten, match="was changed while the documents were made"):
            write_documents(plan, PROBLEMS, written)
        assert read_filled(written / POWER_ORDER).anything

    def test_a_run_cut_off_between_the_renamings_is_mended(self, written: Path, plan: Plan) -> None:
        fill(written / POWER_ORDER)
        written.rename(written.with_name(".order.old-0000"))
        with pytest.raises(NotWritten, match="already holds entries"):
            write_documents(plan, PROBLEMS, written)
        assert read_filled(written / POWER_ORDER).anything

    def test_a_folder_with_other_things_is_refused(self, plan: Plan, tmp_path: Path) -> None:
        (tmp_path / "thesis.odt").write_text("years of work")
        with pytest.raises(NotWritten, match="not empty and holds no earlier order"):
            write_documents(plan, PROBLEMS, tmp_path, replace=True)
        assert [path.name for path in tmp_path.iterdir()] == ["thesis.odt"]

    def test_links_are_not_followed(self, plan: Plan, tmp_path: Path) -> None:
        real = tmp_path / "real"
        real.mkdir()
        (tmp_path / "link").symlink_to(real)
        with pytest.raises(NotWritten, match="is a link"):
            write_documents(plan, PROBLEMS, tmp_path / "link")
        assert list(real.iterdir()) == []

    def test_a_link_inside_stays_a_link(self, written: Path, plan: Plan, tmp_path: Path) -> None:
        outside = tmp_path / "outside.txt"
        outside.write_text("untouched")
        (written / "shopping-list.csv").unlink()
        (written / "shopping-list.csv").symlink_to(outside)
        (written / "mine").symlink_to(outside)
        write_documents(plan, PROBLEMS, written)
        assert outside.read_text() == "untouched"
        assert (written / "mine").is_symlink()
        assert not (written / "shopping-list.csv").is_symlink()

    def test_a_file_in_the_way_is_refused(self, plan: Plan, tmp_path: Path) -> None:
        (tmp_path / "order").write_text("a file")
        with pytest.raises(NotWritten, match="is a file"):
            write_documents(plan, PROBLEMS, tmp_path / "order")


class TestWords:
    def test_summary_counts_and_names_what_stops(self, plan: Plan) -> None:
        text = "\n".join(summary(plan, PROBLEMS))
        assert "  replace     8" in text
        assert "Stop items, 2: settle these first" in text
        assert "Power supply/C5: Polarity: the silkscreen says plus nearer R14" in text
        assert "What needs you: 4 points, among them 0 errors and 1 warning about the input" in text

    def test_explanation_gives_the_governing_demand_first_and_the_gaps(self, plan: Plan) -> None:
        lines = explanation(plan, find_position(plan.judgements, "power supply/c2"))
        place = lines.index("  Rated voltage: at least 400 V; wished at least 406.2 V")
        assert lines[place + 1].startswith("    governs, must: marked voltage 400 V (marked) → ")
        assert any("our judgement" in line for line in lines[place + 3 : place + 6])
        assert "  ESR at 120 Hz: at most 80 mΩ" in lines
        assert "  ripple-current: ripple current, load not known" in lines
        assert "  64,000 h, between 20,000 and 131,000 h" in lines

    def test_explanation_goes_from_what_was_found_to_how_long_it_lasts(self, plan: Plan) -> None:
        lines = explanation(plan, find_position(plan.judgements, "power supply/c2"))
        heads = [line for line in lines[1:] if line and not line.startswith(" ")]
        assert [head.split(":")[0].split(" (")[0] for head in heads] == [
            "Found",
            "Decision",
            "What kind of part",
            "What the circuit asks",
            "Ask for",
            "Not assessed",
            "Which way round",
            "How long it lasts here, estimated",
            "How long it lasts here, estimated",
            "At the bench",
        ]

    def test_explanation_fits_its_width(self, plan: Plan) -> None:
        for judgement in plan.judgements:
            for width in (60, 100):
                assert max(map(len, explanation(plan, judgement, width))) <= width

    def test_explanation_of_a_stop_item_prints_no_orientation(self, plan: Plan) -> None:
        text = "\n".join(explanation(plan, C5_STOP))
        assert "not agreed" in text
        assert "Plus to" not in text

    @pytest.mark.parametrize("text", [f"{UNIT}/{POWER}/C7/A", f"{POWER}/C7/A", "C7/A", "C7", f"{POWER}/c7"])
    def test_a_position_is_found_by_any_of_its_names(self, plan: Plan, text: str) -> None:
        assert find_position(plan.judgements, text).key.section == "A"

    def test_a_designator_on_two_boards_asks(self, plan: Plan) -> None:
        with pytest.raises(NoSuchPosition, match=rf"{POWER}/C1, .*/{LOGIC}/C1"):
            find_position(plan.judgements, "C1")

    def test_an_unknown_position_says_what_is_near(self, plan: Plan) -> None:
        with pytest.raises(NoSuchPosition, match=f"there is {UNIT}".replace("(", r"\(").replace(")", r"\)")):
            find_position(plan.judgements, "Video/C2")
