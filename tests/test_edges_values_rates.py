"""Preferred values and failure rates at their edges, worked on paper."""

import math

import numpy as np
import pytest

from recap.formulas import preferred
from recap.formulas.failure_rate import (
    RateEquation,
    base_rate_217f,
    base_rate_notice_2,
    dormant_failure_rate,
    failure_rate,
    probability_of_failure,
    rate_equation,
)


def equation(**changes: float) -> RateEquation:
    """An invented equation with round constants."""
    values = {
        "base_per_1e6_h": 1.0, "stress_scale": 0.5, "stress_exponent": 3.0, "temperature_coefficient": 0.0,
        "temperature_exponent": 1.0, "reference_k": 0.0, "energy_ev": 0.0, "reference_c": 25.0,
        "capacitance_coefficient": 0.5, "capacitance_exponent": 0.5,
    }  # fmt: skip
    return RateEquation(edition="e", style="s", source="s", **{**values, **changes})


def test_base_rates_are_products_of_heat_and_strain() -> None:
    """Stress at scale doubles, at twice the scale 1 + 2³; heat is e to (T/Tr) with a coefficient of 1."""
    assert base_rate_217f(40.0, np.array([0.0, 0.5, 1.0]), 85.0, equation()) == pytest.approx([1.0, 2.0, 9.0])
    heated = equation(temperature_coefficient=1.0, temperature_exponent=2.0, base_per_1e6_h=3.0)
    assert base_rate_217f(27.0, 0.0, 127.0, heated) == pytest.approx(3 * math.exp((300 / 400) ** 2))
    fixed = equation(temperature_coefficient=1.0, reference_k=600.0)
    assert base_rate_217f(27.0, 0.0, 127.0, fixed) == pytest.approx(math.exp(0.5))
    cold = equation(energy_ev=0.35, base_per_1e6_h=2.0, stress_exponent=5.0)
    assert base_rate_notice_2(25.0, np.array([0.0, 0.5, 1.0]), cold) == pytest.approx([2.0, 4.0, 66.0])
    slope = 0.35 / (1.380649e-23 / 1.602176634e-19)
    assert base_rate_notice_2(127.0, 0.0, cold) == pytest.approx(2 * math.exp(slope * (1 / 298 - 1 / 400)))


def test_rates_multiply_and_size_goes_by_its_power() -> None:
    assert failure_rate(2.0, np.array([1e-6, 100e-6]), 3.0, 5.0, equation()) == pytest.approx([15.0, 150.0])
    found = dormant_failure_rate(2.0, 3.0, np.array([0.1, 0.5, 10.0]), 0.2, 0.5)
    assert found == pytest.approx([6.0, 6.0 * 1.1, 18.0])
    assert isinstance(dormant_failure_rate(2.0, 3.0, 10.0, 0.2, 0.5), float)


def test_the_odds_of_any_failure_are_one_less_those_of_none() -> None:
    """One part at 1e6/8760 per million hours fails once a year in the mean: 1 − 1/e in the first."""
    rate = 1e6 / 8760
    found = probability_of_failure(rate, 1, np.array([0.0, 1.0, 2.0]))
    assert found == pytest.approx([0.0, 1 - 1 / math.e, 1 - math.e**-2])
    assert probability_of_failure(rate, 2, 0.5) == pytest.approx(1 - 1 / math.e)
    assert probability_of_failure(1e-9, 1, 1.0) == pytest.approx(8.76e-12, rel=1e-9)


def test_an_empty_cell_is_a_constant_not_used() -> None:
    row = {"edition": "e", "style": "s", "source": "x"} | {
        name: "" for name in RateEquation.__slots__ if name not in ("edition", "style", "source")
    }
    found = rate_equation(row | {"energy_ev": "0.35"})
    assert (found.edition, found.energy_ev, found.reference_k) == ("e", 0.35, 0.0)


E6 = (1.0, 1.5, 2.2, 3.3, 4.7, 6.8)


def test_three_decades_stand_round_a_value() -> None:
    assert preferred.series_around(0.02, (1.0, 5.0)) == (0.001, 0.005, 0.01, 0.05, 0.1, 0.5)
    assert preferred.series_around(10.0, (1.0,)) == (1.0, 10.0, 100.0)
    assert preferred.series_around(9.999999999999, (1.0,)) == (1.0, 10.0, 100.0)
    assert preferred.series_around(9.99, (1.0,)) == (0.1, 1.0, 10.0)
    for bad in (0.0, -1.0, math.nan):
        with pytest.raises(ValueError, match="above zero"):
            preferred.series_around(bad, E6)


def test_of_two_equally_near_the_lower_is_taken() -> None:
    assert preferred.nearest_preferred(1.5, (1.0, 2.0)) == 1.0
    assert preferred.nearest_preferred(1.51, (1.0, 2.0)) == 2.0
    assert preferred.nearest_preferred(8.4, E6) == 6.8
    assert preferred.nearest_preferred(8.5, E6) == 10.0


def test_a_hair_beside_a_preferred_value_is_that_value_and_more_is_not() -> None:
    for near in (4.7 * (1 + 1e-10), 4.7 * (1 - 1e-10)):
        assert preferred.next_up_preferred(near, E6) == preferred.next_down_preferred(near, E6) == 4.7
    assert preferred.next_up_preferred(4.7 * (1 + 1e-8), E6) == 6.8
    assert preferred.next_down_preferred(4.7 * (1 - 1e-8), E6) == 3.3
    assert preferred.next_up_preferred(6.9, E6) == 10.0
    assert preferred.next_down_preferred(1.4, E6) == 1.0
    assert preferred.next_down_preferred(0.99, E6) == 0.68


def test_the_ladder_of_ratings_need_not_be_sorted() -> None:
    ladder = (100.0, 25.0, 63.0, 50.0)
    assert [preferred.next_rating(each, ladder) for each in (20.0, 25.0, 25.0001, 63.0, 100.0)] == [25, 25, 50, 63, 100]
    assert preferred.next_rating(50.0 * (1 + 1e-10), ladder) == 50.0
    assert preferred.next_rating(50.0 * (1 + 2e-9), ladder) == 63.0
    assert preferred.next_rating(100.1, ladder) is None


def test_capacitors_and_resistors_combine() -> None:
    assert preferred.in_parallel_f(1.0, 2.0, 4.0) == 7.0
    assert preferred.in_series_f(2.0, 3.0, 6.0) == pytest.approx(1.0)
    assert preferred.in_parallel_f(*[0.1] * 10) == 1.0


def test_a_pair_hits_the_sum_and_its_smaller_half_is_worth_fitting() -> None:
    assert preferred.best_sum_pair(5.7, E6, 0.1) == (4.7, 1.0)
    assert preferred.best_sum_pair(2.0, E6, 0.1) == (1.0, 1.0)
    assert preferred.best_sum_pair(48.5, E6, 0.0) == (47.0, 1.5)
    assert preferred.best_sum_pair(48.5, E6, 0.3) == (33.0, 15.0)
    # 1.0 of 5.7 is just over a sixth: a share of 0.1755 no longer leaves it, one of exactly its size does
    assert preferred.best_sum_pair(5.7, E6, 1.0 / 5.7 * (1 + 1e-12)) == (4.7, 1.0)
    assert preferred.best_sum_pair(5.7, E6, 0.2) == (3.3, 2.2)


def test_equally_good_pairs_go_to_the_more_equal_halves() -> None:
    """4 is 2 + 2 as well as 3 + 1."""
    assert preferred.best_sum_pair(4.0, (1.0, 2.0, 3.0), 0.1) == (2.0, 2.0)


def test_balancing_resistors_on_paper() -> None:
    """Three of 200 V on 450 V spare 150 V; at 1 mA that is 150 kilohm."""
    assert preferred.balancing_resistor_ohm(200.0, 450.0, 1e-3, 3) == pytest.approx(150e3)
    assert preferred.balancing_resistor_ohm(200.0, 399.0, 1e-3) == pytest.approx(1000.0)
    for bus in (400.0, 401.0):
        with pytest.raises(ValueError, match="do not exceed"):
            preferred.balancing_resistor_ohm(200.0, bus, 1e-3)
