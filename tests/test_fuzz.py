"""Anything at all, at every door: markings, headings, workbooks, lists and catalogues are read or refused in words.

The short profile runs with the other tests; `pytest tests/test_fuzz.py --hypothesis-profile=long` searches for hours.
"""

from __future__ import annotations

import csv
import datetime as dt
import io
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from inspection_files import rows_accounted, write_csv, write_sheets

from recap.intake import read_inspection
from recap.intake.cells import Sheet
from recap.intake.columns import SHEETS, columns
from recap.intake.grammar.columns import FIELDS
from recap.intake.headings import find_headings
from recap.intake.notation import LONGEST, format_marking, read_cell, read_marking
from recap.intake.quantities import COLUMN_UNITS, NotReadError, read_quantity
from recap.parts.numerals import decimal_mark
from recap.parts.reading import read_catalogues
from recap.parts.text import read_part_text
from recap.problem_codes import problem_codes
from recap.problems import RecapError
from recap.ruledata import table

in_one_folder = settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])

PIECES = (
    "4u7", "47", "0.1", "2,2", "1e3", "E0", "470", "104K", "1O4", "6.3", "16V", "450WV", "25 VDC", "µF", "uF",
    "mfd", "nF", "pF", "MF", "F", "±20%", "-10/+50%", "M", "105°C", "-40...85C", "2000h", "10x16", "Ø8", "LS 5",
    "mm", '1/2"', "C1", "C1-C4", "C12A", "C7/C8", "2x", "x3", "50+50", "8214", "84-12", "2024-10-25", "10/16", "?",
    "-", "+", "/", "(", ")", "@", "100kHz", "1,000", "1.000,5", "NP", "BP", "X2", "Y1", "axial", "tantalum", "n/c",
    "or", "½", "٣", "１", "\u200b", "\ufffd", "Â", "µ", "Ω", "°", "'", '"', "=", "nan", "inf", "9" * 40,
)  # fmt: skip
MARKINGS = (
    st.lists(st.sampled_from(PIECES), max_size=8).flatmap(
        lambda parts: st.lists(st.sampled_from(("", " ", "/", ",")), min_size=len(parts), max_size=len(parts)).map(
            lambda marks: "".join(part + mark for part, mark in zip(parts, marks, strict=True))
        )
    )
    | st.text(max_size=20)
    | st.text(st.sampled_from("0123456789.,-+/xXuUnpFVvC°µ %RKM()= eE'\""), max_size=14)
)


def assert_usable(facts: dict[str, Any]) -> None:
    """Fail where a reading holds a number that no part can have."""
    for name, value in facts.items():
        for each in value if isinstance(value, tuple) else (value,):
            if isinstance(each, float):
                assert math.isfinite(each), f"{name} {each}"
            if name in ("capacitance_f", "sections_f", "rated_voltage_v", "diameter_mm", "length_mm"):
                assert each > 0, f"{name} {each}"
            if name == "quantity":
                assert each >= 0


class TestMarkings:
    @given(MARKINGS, st.sampled_from([None, *FIELDS]), st.sampled_from(["", "uF", "nF", "µF", "V", "mm", "in", "h"]))
    def test_any_text_is_read_or_refused(self, text: str, expect: str | None, unit: str) -> None:
        marking = read_marking(text, expect, unit)
        assert len(marking.readings) <= 3 or not marking.certain
        assert marking.readings or marking.refused
        assert not (marking.readings and marking.refused)
        for reading in marking.readings:
            assert_usable(reading.facts)
            assert reading.because or reading.certainty == "certain"

    @given(MARKINGS)
    def test_what_is_certain_is_certain_when_written_out(self, text: str) -> None:
        marking = read_marking(text)
        if marking.certain and marking.best is not None and len(written := format_marking(marking.best)) <= LONGEST:
            again = read_marking(written)
            assert again.best is not None
            assert again.best.facts == marking.best.facts

    @given(st.floats() | st.integers() | st.booleans() | st.none() | st.datetimes() | st.dates())
    @example(float("nan"))
    @example(1e308)
    def test_any_cell_is_read_or_refused(self, value: object) -> None:
        for expect in FIELDS:
            for reading in read_cell(value, expect).readings:
                assert_usable(reading.facts)

    @given(MARKINGS, st.sampled_from(sorted(COLUMN_UNITS)))
    @example("E0", "V")
    def test_a_quantity_is_finite_or_none(self, text: str, unit: str) -> None:
        try:
            value = read_quantity(text, unit, unit)
        except NotReadError:
            return
        assert math.isfinite(value)


HEADINGS = st.sampled_from(
    [name for row in table("columns") for name in (row["heading"], *row["synonyms"].split(";")) if name]
) | st.sampled_from(["", " ", "Shelf", "Value (nF)", "Dia [in]", "Cap, µF", "Volts/V", "=A1", "C1", "Ref Ref"])
ENTRIES = (
    MARKINGS
    | HEADINGS
    | st.sampled_from(["", "PSU", "(example)", "reservoir", "leaked", "plus at A", "total", "+5V 1,2 A; -12V"])
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.booleans()
    | st.datetimes(dt.datetime(1900, 3, 1), dt.datetime(2100, 1, 1))
)


def grid(cells: st.SearchStrategy[Any], width: int = 7, height: int = 9) -> st.SearchStrategy[list[list[Any]]]:
    """Return tables whose first row is mostly headings."""
    rows = st.lists(st.lists(cells, max_size=width), max_size=height)
    return st.tuples(st.lists(HEADINGS, min_size=1, max_size=width), rows).map(lambda pair: [pair[0], *pair[1]])


def read_or_refused(read: Callable[[], Any], words: str) -> Any:
    """Return what was read, or None where that was refused with these words; anything else that is raised fails."""
    try:
        return read()
    except RecapError as error:
        refused = str(error)
    assert refused
    assert words in refused
    return None


def assert_read(path: Path) -> None:
    """Fail where a file is neither read, every row accounted for, nor refused in words."""
    read = read_or_refused(lambda: read_inspection([path]), str(path))
    if read is None:
        return
    inspection, problems = read
    assert rows_accounted(inspection)
    assert all(problem.code in problem_codes() and problem.location.file for problem in problems)
    keys = [position.key for position in inspection.positions]
    assert len(set(keys)) == len(keys)
    for position in inspection.positions:
        for value in (position.capacitance_f, position.rated_voltage_v, position.body.diameter_mm):
            assert value is None or 0 < value < 1e6
        assert position.key.designator
        assert position.key.board


class TestInspections:
    @given(grid(ENTRIES.map(str)), st.sampled_from(SHEETS))
    def test_headings(self, rows: list[list[Any]], kind: str) -> None:
        layout, problems = find_headings(Sheet("list.csv", "", rows), kind, {})
        assert all(problem.location.cell for problem in problems)
        if layout is not None:
            fields = [column.field for column in layout.known.values()]
            assert len(set(fields)) == len(fields)
            assert not set(layout.known) & set(layout.unknown)

    @in_one_folder
    @given(grid(ENTRIES.map(str)), st.sampled_from(",;\t|"), st.sampled_from(["utf-8", "utf-16", "cp1252"]))
    def test_lists(self, tmp_path: Path, rows: list[list[str]], mark: str, encoding: str) -> None:
        stream = io.StringIO()
        csv.writer(stream, delimiter=mark, lineterminator="\n").writerows(rows)
        (tmp_path / "list.csv").write_bytes(stream.getvalue().encode(encoding, "replace"))
        assert_read(tmp_path / "list.csv")

    @in_one_folder
    @given(st.text(st.sampled_from("C1;,\t\n\r\"' µ=|\0x"), max_size=60), st.binary(max_size=30), st.integers(0, 60))
    def test_lists_of_any_bytes(self, tmp_path: Path, text: str, noise: bytes, place: int) -> None:
        data = ("Ref;Value\n" + text).encode()
        (tmp_path / "list.csv").write_bytes(data[:place] + noise + data[place:])
        assert_read(tmp_path / "list.csv")

    @in_one_folder
    @given(
        st.dictionaries(st.sampled_from([*SHEETS, "Sheet1", "Lists", "A & <b>"]), grid(ENTRIES), min_size=1), st.data()
    )
    def test_workbooks(self, tmp_path: Path, sheets: dict[str, list[list[Any]]], data: st.DataObject) -> None:
        for rows in sheets.values():
            rows[1:] = [[_for_openpyxl(value) for value in row] for row in rows[1:]]
        path = write_sheets(tmp_path / "list.xlsx", sheets)
        assert_read(path)
        whole = bytearray(path.read_bytes())
        for _ in range(data.draw(st.integers(1, 3))):
            whole[data.draw(st.integers(0, len(whole) - 1))] ^= data.draw(st.integers(1, 255))
        path.write_bytes(whole[: data.draw(st.integers(0, len(whole)))] if data.draw(st.booleans()) else whole)
        assert_read(path)

    @in_one_folder
    @given(data=st.data())
    def test_forms(self, tmp_path: Path, data: st.DataObject) -> None:
        sheets = {}
        for name in SHEETS:
            known = [column.heading for column in columns(name)]
            chosen = data.draw(st.lists(st.sampled_from(known), min_size=1, max_size=8, unique=True))
            rows = data.draw(st.lists(st.lists(ENTRIES.map(_for_openpyxl), max_size=8), max_size=5))
            sheets[name] = (
                [[item, *row[:2]] for item, row in zip(chosen, rows, strict=False)]
                if name == "Unit"
                else [chosen, *rows]
            )
        assert_read(write_sheets(tmp_path / "list.xlsx", sheets))


def _for_openpyxl(value: Any) -> Any:
    """Return what a workbook can hold."""
    return "".join(char for char in value if char.isprintable()) if isinstance(value, str) else value


CATALOGUE_HEADINGS = st.sampled_from(
    [name for row in table("catalogue_columns") for name in (row["heading"], *row["synonyms"].split(";")) if name]
    + ["", "Price 10", "1,000+", "Qty 1", "Ripple mA 120Hz", "ESR (Ω) @ 120 Hz", "Z max 100 kHz", "Shelf", "Price EUR"]
)


class TestCatalogues:
    @pytest.fixture(autouse=True)
    def own_cache(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))

    @in_one_folder
    @given(st.lists(CATALOGUE_HEADINGS, min_size=1, max_size=8), st.lists(st.lists(MARKINGS, max_size=8), max_size=8))
    @pytest.mark.parametrize("ending", ["csv", "xlsx"])
    def test_any_table(self, tmp_path: Path, ending: str, headings: list[str], rows: list[list[str]]) -> None:
        path = tmp_path / f"parts.{ending}"
        if ending == "xlsx":
            write_sheets(path, {"Parts": [headings, *([_for_openpyxl(cell) for cell in row] for row in rows)]})
        else:
            stream = io.StringIO()
            csv.writer(stream, lineterminator="\n").writerows([headings, *rows])
            write_csv(path, stream.getvalue().encode("utf-8", "replace").decode())
        _assert_catalogue(path)

    @in_one_folder
    @given(st.binary(max_size=200))
    def test_any_bytes(self, tmp_path: Path, data: bytes) -> None:
        path = tmp_path / "parts.csv"
        path.write_bytes(b"MPN,Capacitance,Volts\n" + data)
        _assert_catalogue(path)

    @given(MARKINGS)
    def test_any_part_in_words(self, text: str) -> None:
        read = read_or_refused(lambda: read_part_text(text), "")
        if read is None:
            return
        part, problems = read
        assert all(problem.code in problem_codes() for problem in problems)
        assert part.capacitance_f is None or 0 < part.capacitance_f < 1e4

    @given(st.lists(MARKINGS, max_size=5))
    def test_decimal_marks(self, texts: list[str]) -> None:
        assert decimal_mark(texts) in (None, ".", ",")


def _assert_catalogue(path: Path) -> None:
    read = read_or_refused(lambda: read_catalogues([path]), str(path))
    if read is None:
        return
    catalogue, problems = read
    assert all(problem.code in problem_codes() and problem.location.file for problem in problems)
    for number in range(len(catalogue)):
        part = catalogue.part(number)
        for value in (part.capacitance_f, part.rated_voltage_v, part.diameter_mm):
            assert value is None or (math.isfinite(value) and value > 0)
