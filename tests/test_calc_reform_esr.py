"""Reforming plans and ESR verdicts."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recap.bench.reform import History, reform_plan
from recap.calculators.esr import esr
from recap.formulas.esr import dissipation_factor, esr_ohm, limit_at_rating
from recap.formulas.leakage import leakage_limit_a, root_leakage_limit_a
from recap.ruledata import table
from tests.calc_command import answered, refused, run


def test_unused_dated_stock_agrees_with_a_plan_worked_by_hand() -> None:
    # 0.01·100·450 + 3 = 453 µA; twice that is under 5 mA; 450 V/5 mA = 90 kΩ, next 100 kΩ; 2.0 W shorted, so 5 W.
    document = answered("reform", "--capacitance", "100uF", "--voltage", "450V", "--stored", "5", "--history", "unused")
    result = document["result"]
    assert document["problems"] == []
    assert result["accept_leakage_a"] == pytest.approx(453e-6)
    assert result["current_limit_a"] == 0.005
    assert result["resistor_ohm"] == 100e3
    assert result["shorted_power_w"] == pytest.approx(2.025)
    assert result["resistor_rating_w"] == 5
    assert [step["voltage_v"] for step in result["steps"]] == [0, 225, 337.5, 450]
    assert {each["source"] for each in result["published"]} == {"eia-815", "chemi-con-faq"}


def test_a_used_part_starts_at_nothing_with_a_milliampere() -> None:
    result = answered("reform", "--capacitance", "100uF", "--voltage", "450V")["result"]
    assert result["treated_as"] == "used"
    assert result["current_limit_a"] == 0.001
    assert (result["resistor_ohm"], result["resistor_rating_w"]) == (470e3, 2)
    assert result["steps"][0]["voltage_v"] == 0
    assert result["published"] == []


def test_a_large_used_part_may_take_five_milliampere_and_no_more() -> None:
    assert reform_plan(10e-3, 100.0, 10, History.USED).current_limit_a == 0.005
    assert reform_plan(10e-3, 100.0, 10, History.UNUSED).current_limit_a == pytest.approx(2 * 10.003e-3)


def test_unused_stock_without_a_date_counts_as_used() -> None:
    arguments = ("reform", "--capacitance", "100uF", "--voltage", "63V", "--history", "unused")
    document = answered(*arguments)
    assert document["result"]["treated_as"] == "used"
    assert [each["code"] for each in document["problems"]] == ["undated-stock"]
    assert "never tantalum" in run(*arguments).output


def test_the_published_resistor_follows_the_voltage() -> None:
    def resistors(voltage: float) -> list[float]:
        return [each.resistance_ohm for each in reform_plan(1e-4, voltage, 4, History.UNUSED).published]

    assert resistors(100.0) == [100, 1000]
    assert resistors(160.0) == [1000, 1000]


@pytest.mark.parametrize(("years", "steps"), [(1, 1), (2, 1), (3, 1), (3.1, 3), (30, 3)])
def test_longer_storage_takes_more_steps(years: float, steps: int) -> None:
    assert len(reform_plan(1e-4, 400.0, years, History.UNUSED).steps) == 1 + steps


@settings(max_examples=60, deadline=None)
@given(
    st.floats(1e-6, 0.05),
    st.floats(6.3, 500),
    st.one_of(st.none(), st.floats(0, 50)),
    st.sampled_from(list(History)),
)
def test_even_a_shorted_part_stays_within_limit_and_rating(
    c: float, v: float, years: float | None, history: History
) -> None:
    plan = reform_plan(c, v, years, history)
    assert v / plan.resistance_ohm <= plan.current_limit_a * 1.0001
    assert (plan.body is None) == (2 * v**2 / plan.resistance_ohm > 200)
    assert plan.body is None or plan.body.rating_w >= 2 * v**2 / plan.resistance_ohm * 0.9999
    voltages = [step.voltage_v for step in plan.steps]
    assert voltages == sorted(voltages)
    assert voltages[-1] == pytest.approx(v)
    assert all(step.minutes * 60 >= 5 * plan.resistance_ohm * c * 0.9999 for step in plan.steps[1:])
    if plan.history is History.USED:
        assert plan.current_limit_a in (0.001, 0.005)


def test_a_huge_part_asks_for_more_than_one_resistor() -> None:
    arguments = ("reform", "--capacitance", "47000uF", "--voltage", "350V", "--stored", "4", "--history", "unused")
    document = answered(*arguments)
    assert document["result"]["resistor_rating_w"] is None
    assert [each["code"] for each in document["problems"]] == ["resistor-too-small"]
    assert "several sharing the power" in run(*arguments).output


def test_reform_refuses() -> None:
    assert "cannot be" in refused("reform", "--capacitance", "1uF", "--voltage", "63V", "--stored", "-1")
    assert "is not one of" in refused("reform", "--capacitance", "1uF", "--voltage", "63V", "--history", "new")


def test_leakage_limits_have_their_floor_and_their_root() -> None:
    assert leakage_limit_a(1e-6, 16.0, 0.01, floor_a=3e-6) == 3e-6
    assert leakage_limit_a(100e-6, 16.0, 0.01, floor_a=3e-6) == pytest.approx(16e-6)
    assert leakage_limit_a(100e-6, 160.0, 0.06, offset_a=10e-6) == pytest.approx(970e-6)
    assert root_leakage_limit_a(4e-6, 25.0, 3e-6) == pytest.approx(30e-6)


def test_ceiling_comes_from_tan_delta_at_120_hz() -> None:
    # 0.16/(2π·120 Hz·100 µF), worked by hand
    result = answered("esr", "--capacitance", "100uF", "--rated-voltage", "16V")["result"]
    assert result["ceiling_ohm"] == pytest.approx(2.1, abs=0.05)
    assert result["frequency_hz"] == 120
    assert result["verdict"] is None
    low, high = result["low_frequency_range_ohm"]
    assert low <= result["ceiling_ohm"] <= high
    assert [each["impedance_ratio"] for each in result["cold"]] == [2, 4]


def test_large_values_get_their_addition() -> None:
    ceiling = answered("esr", "--capacitance", "4700uF", "--rated-voltage", "16V")["result"]["ceiling_ohm"]
    assert ceiling == pytest.approx((0.16 + 0.02 * 3.7) / (2 * math.pi * 120 * 4700e-6))


def test_at_100_khz_there_is_no_ceiling_and_the_text_says_why() -> None:
    arguments = ("esr", "--capacitance", "100uF", "--rated-voltage", "16V", "--frequency", "100kHz")
    result = answered(*arguments)["result"]
    assert result["ceiling_ohm"] is None
    assert result["frequency_hz"] == 100e3
    assert result["low_frequency_ceiling_ohm"] == pytest.approx(2.12, abs=0.005)
    assert "No data sheet gives a ceiling from tan δ at 100 kHz" in run(*arguments).output


# 100 µF 16 V: ceiling 2.12 Ω at 120 Hz, guide 0.71 Ω at 100 kHz.
@pytest.mark.parametrize(
    ("frequency", "reading", "verdict"),
    [("120Hz", "2.1ohm", "good at 120 Hz"), ("120Hz", "2.2ohm", "doubtful at 120 Hz"),
     ("120Hz", "4.3ohm", "bad at 120 Hz"), ("100Hz", "2.5ohm", "good at 100 Hz"),
     ("1kHz", "2.2ohm", "bad at 1 kHz"), ("1kHz", "1ohm", "cannot-compare at 1 kHz"),
     ("100kHz", "0.5ohm", "cannot-compare at 100 kHz"), ("100kHz", "1.5ohm", "doubtful at 100 kHz"),
     ("100kHz", "2.2ohm", "bad at 100 kHz"), ("50Hz", "2ohm", "cannot-compare at 50 Hz"),
     (None, "1ohm", "cannot-compare without the instrument's frequency"),
     (None, "3ohm", "doubtful at 120 Hz, bad above"), (None, "5ohm", "bad at 120 Hz and above")],
)  # fmt: skip
def test_verdict_names_the_instruments_frequency(frequency: str | None, reading: str, verdict: str) -> None:
    assert esr("100uF", "16V", frequency, reading).result["verdict"] == verdict


def test_outside_the_data_sheet_is_said() -> None:
    assert answered("esr", "--capacitance", "100uF", "--rated-voltage", "500V")["problems"]
    assert not answered("esr", "--capacitance", "100uF", "--rated-voltage", "450V")["problems"]


@settings(max_examples=50, deadline=None)
@given(st.floats(0.01, 1), st.floats(1e-7, 0.1), st.floats(50, 1000))
def test_loss_and_resistance_are_two_faces_of_one_thing(tan: float, c: float, f: float) -> None:
    assert dissipation_factor(esr_ohm(tan, c, f), c, f) == pytest.approx(tan)


def test_a_ceiling_between_two_rows_is_no_stricter_than_either() -> None:
    ratings, limits = (100.0, 160.0), (0.08, 0.16)
    assert limit_at_rating(125.0, ratings, limits) == 0.16
    assert limit_at_rating(100.0, ratings, limits) == 0.08
    with pytest.raises(ValueError, match="200 V lies outside the table"):
        limit_at_rating(200.0, ratings, limits)


def test_every_tan_delta_series_rises_in_voltage_so_that_it_can_be_looked_up() -> None:
    rows = table("tan_delta")
    for series in {row["series"] for row in rows}:
        ratings = [float(row["rated_voltage_v"]) for row in rows if row["series"] == series]
        assert ratings == sorted(set(ratings)), series
