"""The grammar against published/notations.csv: strings collected from real lists, each with a careful human reading.

The corpus was put together from capacitor lists, repair notes and obvious variants of what stands in them; the
readings are a person's, not this program's. An empty column says nothing. `ambiguous` rows need asking, so none
of their readings may be certain; `must_refuse` rows are refused with a reason or read as AC.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from recap.intake.notation import Certainty, Marking, read_marking

CORPUS = Path(__file__).parent / "published" / "notations.csv"
with CORPUS.open(encoding="utf-8", newline="") as stream:
    ROWS = list(csv.DictReader(stream))
CLEAR = [row for row in ROWS if row["ambiguous"] == "false" and row["must_refuse"] == "false"]

SINGLE = {
    "expected_capacitance_f": "capacitance_f",
    "expected_voltage_v": "rated_voltage_v",
    "diameter_mm": "diameter_mm",
    "length_mm": "length_mm",
    "lead_spacing_mm": "lead_spacing_mm",
    "temperature_c": "temperature_c",
    "endurance_h": "endurance_h",
    "quantity": "quantity",
}


def _id(row: dict[str, str]) -> str:
    return f"{row['id']} {row['text']}"


def _expected(row: dict[str, str]) -> dict[str, object]:
    expected: dict[str, object] = {
        name: pytest.approx(float(row[column]), rel=1e-9, abs=1e-15) for column, name in SINGLE.items() if row[column]
    }
    if row["expected_sections_f"]:
        values = [float(text) for text in row["expected_sections_f"].split(";")]
        expected |= {"sections_f": pytest.approx(values, rel=1e-9, abs=1e-15), "capacitance_f": None}
    if row["ac"]:
        expected["ac"] = row["ac"] == "true"
    if row["tolerance_plus_pct"]:
        low, high = float(row["tolerance_minus_pct"]), float(row["tolerance_plus_pct"])
        expected["tolerance_pct"] = pytest.approx((low, high))
    return expected


def _said(marking: Marking, name: str) -> object:
    return getattr(marking.best, name) if marking.best else None


@pytest.mark.parametrize("row", ROWS, ids=_id)
def test_every_expected_column_is_read(row: dict[str, str]) -> None:
    marking = read_marking(row["text"])
    assert {name: _said(marking, name) for name in _expected(row)} == _expected(row)
    assert len(marking.readings) <= 3
    assert marking.text == row["text"]


@pytest.mark.parametrize("row", [row for row in ROWS if row["ambiguous"] == "true"], ids=_id)
def test_an_ambiguous_text_is_never_certain(row: dict[str, str]) -> None:
    marking = read_marking(row["text"])
    assert all(reading.certainty is not Certainty.CERTAIN for reading in marking.readings)
    assert all(reading.because for reading in marking.readings)


@pytest.mark.parametrize("row", [row for row in ROWS if row["must_refuse"] == "true"], ids=_id)
def test_what_must_be_refused_is_refused_or_ac(row: dict[str, str]) -> None:
    marking = read_marking(row["text"])
    assert marking.refused or all(reading.ac for reading in marking.readings)


@pytest.mark.parametrize("row", CLEAR, ids=_id)
def test_a_certain_reading_adds_nothing_of_its_own(row: dict[str, str]) -> None:
    marking = read_marking(row["text"])
    if marking.best and marking.best.certainty is Certainty.CERTAIN:
        assert set(marking.best.facts) - set(_expected(row)) <= {"designators", "date"}


def test_clear_texts_are_certain() -> None:
    unsure = [row["text"] for row in CLEAR if not read_marking(row["text"]).certain]
    assert len(unsure) <= 0.05 * len(CLEAR), unsure
