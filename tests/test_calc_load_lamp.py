"""Dummy loads and series lamps: sums worked apart from the code, and what must always hold."""

import itertools

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from recap.calculators.lamp import read_lamp
from recap.calculators.load import load
from recap.formulas.lamp import (
    FilamentLamp,
    lamp_current_a,
    with_constant_power_load,
    with_resistive_load,
)
from recap.units import NotAQuantity
from tests.calc_command import answered, refused, run


# Worked by hand: R = V/I, P = V·I, then twice the power and the next rating sold.
@pytest.mark.parametrize(
    ("rail", "current", "resistance", "power", "rating"),
    [("5V", "1A", 5, 5, 10), ("12V", "0.4A", 30, 4.8, 10), ("12V", "1A", 12, 12, 25), ("-12V", "400mA", 30, 4.8, 10)],
)
def test_load_agrees_with_sums_worked_by_hand(
    rail: str, current: str, resistance: float, power: float, rating: float
) -> None:
    result = answered("load", "--rail", rail, "--current", current)["result"]
    assert result["resistance_ohm"] == pytest.approx(resistance)
    assert result["power_w"] == pytest.approx(power)
    assert result["rating_w"] == rating
    assert result["minimum"] is None


def test_full_load_never_draws_more_and_minimum_load_never_less() -> None:
    result = answered("load", "--rail", "5V", "--current", "1A", "--minimum", "0.3A")["result"]
    assert result["preferred_ohm"] == 5.1
    assert result["preferred_current_a"] < 1
    assert result["minimum"]["preferred_ohm"] == 16
    assert result["minimum"]["preferred_current_a"] > 0.3
    assert result["minimum"]["power_w"] == pytest.approx(25 / 16), "the preferred resistor runs hotter"


@settings(max_examples=40, deadline=None)
@given(st.floats(1, 400), st.floats(0.01, 2))
def test_a_load_resistor_runs_at_half_its_rating_or_less(rail: float, current: float) -> None:
    result = load(f"{rail}V", f"{current}A").result
    assert result["preferred_current_a"] <= current * 1.0001
    assert result["rating_w"] is None or result["rating_w"] >= 2 * result["power_w"] * 0.9999
    assert result["power_w"] >= rail * result["preferred_current_a"] * 0.9999


def test_load_refuses_and_warns() -> None:
    assert "above the load" in refused("load", "--rail", "5V", "--current", "1A", "--minimum", "2A")
    assert "differ from zero" in refused("load", "--rail", "0V", "--current", "1A")
    problems = answered("load", "--rail", "5V", "--current", "40A")["problems"]
    assert [each["code"] for each in problems] == ["resistor-too-small"]
    assert "hot enough to burn" in run("load", "--rail", "5V", "--current", "1A").output


# Worked independently for 230 V from I = I0·(V/V0)^0.55: per cent of the mains at a resistive load.
@pytest.mark.parametrize(
    ("lamp", "load", "percent"),
    [("40W 230V", "10W", 93), ("40W 230V", "30W", 69.5), ("40W 230V", "60W", 47),
     ("100W 230V", "10W", 98.5), ("100W 230V", "30W", 91), ("100W 230V", "60W", 76)],
)  # fmt: skip
def test_lamp_agrees_with_points_worked_independently(lamp: str, load: str, percent: float) -> None:
    result = answered("lamp", "--lamp", lamp, "--mains", "230V", "--load", load)["result"]
    assert 100 * result["load_voltage_v"] / 230 == pytest.approx(percent, abs=0.5)
    assert result["load_power_w"] == pytest.approx(result["load_voltage_v"] * result["current_a"])


BULBS = st.builds(FilamentLamp, st.floats(15, 300), st.floats(100, 250), st.just(0.55), st.just(15.0))


@settings(max_examples=40, deadline=None)
@given(BULBS, st.floats(90, 260), st.floats(1, 500))
def test_every_operating_point_satisfies_lamp_and_load(bulb: FilamentLamp, mains: float, load: float) -> None:
    resistive = with_resistive_load(bulb, mains, load)
    through = lamp_current_a(bulb, mains - resistive.load_voltage_v)
    assert through == pytest.approx(resistive.load_voltage_v * load / mains**2, rel=1e-4)
    for point in with_constant_power_load(bulb, mains, load):
        through = float(lamp_current_a(bulb, mains - point.load_voltage_v))
        assert point.load_voltage_v * through == pytest.approx(load, rel=1e-4)


@settings(max_examples=25, deadline=None)
@given(BULBS, st.floats(90, 260), st.floats(1, 200))
def test_no_solution_is_missed(bulb: FilamentLamp, mains: float, load: float) -> None:
    steps = 4000
    offered = [mains * k / steps * float(lamp_current_a(bulb, mains * (1 - k / steps))) for k in range(steps + 1)]
    assume(abs(max(offered) / load - 1) > 1e-3)
    crossings = sum((a < load) != (b < load) for a, b in itertools.pairwise(offered))
    points = with_constant_power_load(bulb, mains, load)
    # a crossing nearer to either end than one step shows only in the analytic solution
    assert len(points) == crossings or (crossings < 2 == len(points))
    assert [point.stable for point in points] in ([], [True, False])


def test_constant_power_reports_every_solution_or_none() -> None:
    two = answered("lamp", "--lamp", "100W 230V", "--mains", "230V", "--load", "30W", "--load-kind", "constant-power")[
        "result"
    ]
    assert [each["stable"] for each in two["solutions"]] == [True, False]
    assert two["solutions"][0]["load_voltage_v"] > two["solutions"][1]["load_voltage_v"]
    arguments = ("lamp", "--lamp", "100W 230V", "--mains", "230V", "--load", "60W", "--load-kind", "constant-power")
    assert answered(*arguments)["result"]["solutions"] == []
    assert "No operating point" in run(*arguments).output


def test_a_short_draws_the_rated_current_and_a_cold_filament_limits() -> None:
    bulb = read_lamp("100W 230V")
    assert lamp_current_a(bulb, 230.0) == pytest.approx(0.435, abs=0.0005)
    tiny = 0.01
    assert lamp_current_a(bulb, tiny) == pytest.approx(tiny / bulb.cold_resistance_ohm)


def test_lamp_says_what_may_hurt() -> None:
    output = run("lamp", "--lamp", "60W 230V", "--mains", "230V", "--load", "30W").output
    assert "no isolation" in output
    assert "no dwelling" in output
    problems = answered("lamp", "--lamp", "100W 120V", "--mains", "230V", "--load", "30W")["problems"]
    assert [each["code"] for each in problems] == ["lamp-below-mains"]


@pytest.mark.parametrize("text", ["60W 230V", "230V 60W", "60 W / 230 V", "60W,230V", "0.06kW 230V"])
def test_reads_a_lamp_in_either_order(text: str) -> None:
    bulb = read_lamp(text)
    assert (bulb.rated_power_w, bulb.rated_voltage_v) == pytest.approx((60, 230))


@pytest.mark.parametrize("text", ["60W", "60 230", "60V 230V", "0W 230V"])
def test_refuses_half_a_lamp(text: str) -> None:
    with pytest.raises(NotAQuantity):
        read_lamp(text)
