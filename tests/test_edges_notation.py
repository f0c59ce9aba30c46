"""The grammar at its edges: points written as prefixes, damage by spreadsheets, numbers that a column refuses."""

from __future__ import annotations

import pytest

from recap.intake.notation import Certainty, read_cell, read_marking


def farads(text: str) -> list[float | None]:
    return [reading.capacitance_f for reading in read_marking(text).readings]


@pytest.mark.parametrize(
    ("text", "value"),
    # the letter stands for the decimal point, as IEC 60062 codes values of two and three figures
    [("4u7", 4.7e-6), ("33u2", 33.2e-6), ("10u5", 10.5e-6), ("332p", 332e-12), ("3n32", 3.32e-9), ("u33", 0.33e-6)],
)
def test_the_letter_is_the_point(text: str, value: float) -> None:
    assert farads(text) == [pytest.approx(value)]


def test_two_figures_after_two_are_volts() -> None:
    found = read_marking("47u25").best
    assert (found.capacitance_f, found.rated_voltage_v) == (pytest.approx(47e-6), 25)


@pytest.mark.parametrize("text", ["5.1", "7.77", "13.7"])
def test_a_bare_number_of_no_series_is_nothing_known(text: str) -> None:
    assert farads(text) == [None]


@pytest.mark.parametrize(("text", "value"), [("8", 8e-6), ("4.7", 4.7e-6), ("0.25", 0.25e-6)])
def test_a_bare_number_of_a_series_or_of_old_is_likely_in_microfarads(text: str, value: float) -> None:
    found = read_marking(text)
    assert found.readings[0].capacitance_f == pytest.approx(value)
    assert found.readings[0].certainty is not Certainty.CERTAIN


def test_control_characters_part_and_invisible_ones_do_not() -> None:
    for text in ("47u\x0716V", "47u\t16V", "47\u200bu 16V", "4\u00ad7u 16V"):
        found = read_marking(text).best
        assert (found.capacitance_f, found.rated_voltage_v) == (pytest.approx(47e-6), 16), repr(text)


@pytest.mark.parametrize("text", ["1.3.2024", "01.03.2024"])
def test_the_first_of_a_month_may_be_a_spoilt_value(text: str) -> None:
    found = read_marking(text)
    assert (found.best.capacitance_f, found.best.rated_voltage_v) == (pytest.approx(1e-6), 3)
    assert "date" in found.confused_with


@pytest.mark.parametrize("text", ["32.1.2024", "1.13.2024x", "0.5.2024", "15.0.2024"])
def test_no_day_of_any_month_is_no_spoilt_date(text: str) -> None:
    assert "spreadsheet damage" not in read_marking(text).notation


@pytest.mark.parametrize(
    ("expect", "text", "field", "value"),
    [
        ("temperature", "200", "temperature_c", 200),
        ("temperature", "10", "temperature_c", 10),
        ("voltage", "50000", "rated_voltage_v", 50_000),
        ("voltage", "6,3", "rated_voltage_v", 6.3),
        ("voltage", "450/525", "rated_voltage_v", 450),  # working and surge, as marked on old cans
        ("voltage", "100/135", "rated_voltage_v", 100),
        ("endurance", "100", "endurance_h", 100),
        ("endurance", "1000000", "endurance_h", 1e6),
        ("tolerance", "100", "tolerance_pct", (-100, 100)),
        ("tolerance", "20", "tolerance_pct", (-20, 20)),
        ("tolerance", "0.2", "tolerance_pct", (-20, 20)),  # 20 % as a spreadsheet keeps it
        ("tolerance", "1", "tolerance_pct", (-1, 1)),
        ("tolerance", "M", "tolerance_pct", (-20, 20)),  # IEC 60062
        ("quantity", "x 12", "quantity", 12),
        ("quantity", "3x", "quantity", 3),
    ],
)
def test_a_column_reads_bare_numbers_up_to_its_limits(expect: str, text: str, field: str, value: object) -> None:
    assert getattr(read_cell(text, expect=expect).best, field) == pytest.approx(value)


@pytest.mark.parametrize(
    ("expect", "text"),
    [
        ("temperature", "201"), ("voltage", "50001"), ("endurance", "99"), ("endurance", "1000001"),
        ("tolerance", "101"), ("temperature", "-5"), ("quantity", "1.5"),
    ],
)  # fmt: skip
def test_past_its_limits_a_column_reads_nothing_of_its_own(expect: str, text: str) -> None:
    found = read_cell(text, expect=expect)
    assert not found.readings
    assert found.refused


@pytest.mark.parametrize(("expect", "text"), [("tolerance", "101"), ("endurance", "99"), ("temperature", "201")])
def test_what_is_out_of_range_says_so(expect: str, text: str) -> None:
    assert read_cell(text, expect=expect).refused == f"{text} is out of range for {expect}"


@pytest.mark.parametrize("text", ["100/136", "400/200", "16/25"])
def test_two_ratings_far_apart_are_not_one(text: str) -> None:
    assert read_cell(text, expect="voltage").best.rated_voltage_v is None


def test_a_voltage_column_in_kilovolts() -> None:
    assert read_cell("1.5", expect="voltage", unit="kV").best.rated_voltage_v == 1500


@pytest.mark.parametrize("expect", ["temperature", "capacitance", "voltage", "tolerance", "diameter", "quantity"])
def test_a_minus_is_never_dropped(expect: str) -> None:
    found = read_cell("-99999", expect=expect)
    assert not found.readings
    assert found.refused


@pytest.mark.parametrize("text", ["1 000 000", "1 220 330", "22 000", "2 200"])
def test_groups_that_can_only_be_thousands(text: str) -> None:
    (value,) = farads(f"{text} uF")
    assert value == pytest.approx(float(text.replace(" ", "")) * 1e-6)
