"""Cans, loss, leakage, voltages and ripple of a part: identities, edges and sums on paper."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recap.formulas.can import can_surface_cm2, ripple_for_rise_a
from recap.formulas.esr import (
    cold_impedance_ohm,
    dissipation_factor,
    esr_ohm,
    impedance_ohm,
    limit_at_rating,
    with_large_value_term,
)
from recap.formulas.leakage import leakage_limit_a, root_leakage_limit_a
from recap.formulas.reform import series_resistor_ohm, stock_current_limit_a, used_current_limit_a
from recap.formulas.ripple_frequency import MultiplierSet, class_sets, ripple_at_rating
from recap.formulas.ripple_sharing import shared_ripple
from recap.formulas.voltage import (
    peak_of_sine,
    peak_voltage_v,
    rail_window_v,
    surge_voltage_v,
    unloaded_winding_peak_v,
    worst_rail_v,
)

farads = st.floats(1e-6, 0.02)
volts = st.floats(5.0, 450.0)
ohms = st.floats(0.01, 1e4)


def test_a_can_of_equal_height_and_width_has_the_surface_of_six_ends() -> None:
    """Side π·d·d and two ends π·d²/4 each: 1.5·π·d²."""
    assert can_surface_cm2(10.0, 10.0) == pytest.approx(1.5 * math.pi)
    assert can_surface_cm2(20.0, 20.0) == pytest.approx(6.0 * math.pi)


@settings(max_examples=30)
@given(st.floats(4.0, 40.0), st.floats(5.0, 120.0), st.floats(1.0, 20.0))
def test_a_can_is_its_side_and_two_ends(diameter: float, length: float, more: float) -> None:
    side = can_surface_cm2(diameter, length + more) - can_surface_cm2(diameter, length)
    assert side == pytest.approx(math.pi * diameter * more / 100)
    assert can_surface_cm2(diameter, 0.0) == pytest.approx(2 * math.pi * (diameter / 20) ** 2)


@settings(max_examples=30)
@given(st.floats(0.01, 5.0), st.floats(2.0, 200.0), st.floats(1.0, 20.0))
def test_a_can_sheds_what_its_esr_makes(esr: float, surface: float, rise: float) -> None:
    current = ripple_for_rise_a(esr, surface, rise, 2.3e-3, -0.2)
    assert current**2 * esr == pytest.approx(2.3e-3 * surface**0.8 * rise)


@settings(max_examples=30)
@given(st.floats(0.01, 0.5), farads, st.floats(50.0, 1e5))
def test_tan_delta_is_resistance_over_reactance(tan: float, farad: float, hertz: float) -> None:
    resistance = esr_ohm(tan, farad, hertz)
    assert dissipation_factor(resistance, farad, hertz) == pytest.approx(tan)
    # |Z|² = X²·(1 + tan²), and the reactance follows from a resistance without loss
    reactance = impedance_ohm(0.0, farad, hertz)
    assert resistance / reactance == pytest.approx(tan)
    assert impedance_ohm(resistance, farad, hertz) == pytest.approx(reactance * math.sqrt(1 + tan**2))


def test_reactance_at_a_round_angular_frequency() -> None:
    """At 1000 rad/s 1000 µF has a reactance of 1 ohm, and tan δ of 0.1 is 0.1 ohm."""
    hertz = 1000 / (2 * math.pi)
    assert impedance_ohm(0.0, 1e-3, hertz) == pytest.approx(1.0)
    assert esr_ohm(0.1, 1e-3, hertz) == pytest.approx(0.1)
    assert dissipation_factor(0.1, 1e-3, hertz) == pytest.approx(0.1)


def test_the_addition_for_large_values_starts_where_it_is_said_to() -> None:
    values = [220e-6, 1000e-6, 2000e-6, 3000e-6]
    assert with_large_value_term(0.1, values, 0.02, 1000.0) == pytest.approx([0.1, 0.1, 0.12, 0.14])
    assert with_large_value_term([0.1, 0.2], 43_000e-6, 0.01, 33_000.0) == pytest.approx([0.2, 0.3])


def test_the_cold_multiplies_the_impedance() -> None:
    assert cold_impedance_ohm([0.5, 2.0], [3.0, 10.0]) == pytest.approx([1.5, 20.0])


RATINGS, LIMITS = (10.0, 16.0, 25.0, 50.0), (0.20, 0.16, 0.18, 0.10)


@pytest.mark.parametrize(
    ("rated", "limit"),
    [(10.0, 0.20), (12.0, 0.20), (16.0, 0.16), (20.0, 0.18), (25.0, 0.18), (40.0, 0.18), (50.0, 0.10)],
)
def test_a_limit_between_two_rows_is_the_laxer(rated: float, limit: float) -> None:
    assert limit_at_rating(rated, RATINGS, LIMITS) == limit


@pytest.mark.parametrize("rated", [9.99, 50.01])
def test_a_limit_outside_the_table_is_refused(rated: float) -> None:
    with pytest.raises(ValueError, match=r"outside the table"):
        limit_at_rating(rated, RATINGS, LIMITS)
    with pytest.raises(ValueError, match=r"outside the table"):
        limit_at_rating(rated, (), ())


def test_leakage_limits_have_offset_floor_and_root() -> None:
    """100 µF at 50 V hold 5000 µC: 0.01 of that is 50 µA."""
    assert leakage_limit_a(100e-6, 50.0, 0.01) == pytest.approx(50e-6)
    assert leakage_limit_a(100e-6, 50.0, 0.01, 3e-6) == pytest.approx(53e-6)
    assert leakage_limit_a([1e-6, 100e-6], 50.0, 0.01, 0.0, 3e-6) == pytest.approx([3e-6, 50e-6])
    assert root_leakage_limit_a(100e-6, [1.0, 25.0, 100.0], 3e-6) == pytest.approx([30e-6, 150e-6, 300e-6], rel=1e-12)


def test_a_part_counts_as_small_up_to_the_limit_itself() -> None:
    """Twice 0.25 mA is 0.5 mA, twice 0.5 mA is 1 mA and still small, twice 0.75 mA is not."""
    found = used_current_limit_a([0.25e-3, 0.5e-3, 0.75e-3], 2.0, 1e-3, 5e-3)
    assert found.tolist() == [1e-3, 1e-3, 5e-3]
    assert stock_current_limit_a([1e-3, 2.5e-3, 4e-3], 2.0, 5e-3).tolist() == [5e-3, 5e-3, 8e-3]
    assert series_resistor_ohm([10.0, 450.0], 1e-2) == pytest.approx([1000.0, 45e3])


def test_voltages_that_a_capacitor_may_meet_on_paper() -> None:
    assert peak_voltage_v([10.0, -10.0], [3.0, 1.0]).tolist() == [11.5, 10.5]
    assert peak_of_sine(10.0) == pytest.approx(math.sqrt(200.0))
    assert unloaded_winding_peak_v(10.0) == pytest.approx(math.sqrt(200.0))
    # 10 V, a tenth more by the mains and a quarter more unloaded: 13.75 V rms; a doubler stacks two crests
    assert unloaded_winding_peak_v(10.0, 0.1, 0.25) == pytest.approx(math.sqrt(2) * 13.75)
    assert unloaded_winding_peak_v(10.0, 0.1, 0.25, 2.0) == pytest.approx(math.sqrt(2) * 27.5)
    assert worst_rail_v(12.0) == 12.0
    assert worst_rail_v([-20.0, 20.0], 0.05).tolist() == [21.0, 21.0]
    assert worst_rail_v(20.0, 0.05, 0.2, 0.1) == pytest.approx(20 * 1.05 * 1.2 * 1.1)
    assert [limit.tolist() for limit in rail_window_v([5.0, -12.0], [0.05, 0.1])] == [
        pytest.approx([4.75, -10.8]),
        pytest.approx([5.25, -13.2]),
    ]
    assert surge_voltage_v([100.0, 400.0], [1.15, 1.1]) == pytest.approx([115.0, 440.0])


def multipliers(series: str, style: str = "radial", over_v: float = 0.0, up_to_v: float = 100.0) -> MultiplierSet:
    return MultiplierSet(series, style, over_v, up_to_v, 100.0, True, "s", (100.0, 1000.0, 10000.0), (1.0, 1.2, 1.6))


def test_a_multiplier_lies_between_its_points_by_the_logarithm() -> None:
    one = multipliers("a")
    assert one.at(1000.0, 100.0) == 1.2
    assert one.at(math.sqrt(1e7), 100.0) == pytest.approx(1.4)
    assert one.at(1000.0, 10000.0) == pytest.approx(0.75)
    assert one.at(10.0, 100.0) == 1.0
    assert one.at(1e6, 1000.0) == pytest.approx(1.6 / 1.2)


def test_components_are_taken_to_the_rating_and_summed_as_squares() -> None:
    """1.2 A at 1 kHz heats as 1 A at 100 Hz, 3.2 A at 10 kHz as 2 A."""
    assert ripple_at_rating([(1.2, 1e3), (3.2, 1e4), (2.0, 100.0)], [multipliers("a")], 100.0) == pytest.approx(3.0)


def test_a_voltage_on_the_boundary_belongs_to_the_lower_range() -> None:
    low, high = multipliers("low", up_to_v=63.0), multipliers("high", over_v=63.0, up_to_v=200.0)
    for sets in ((low, high), (high, low)):
        assert class_sets(sets, "radial", 63.0, 100.0) == (low,)
        assert class_sets(sets, "radial", 63.1, 100.0) == (high,)
        assert class_sets(sets, "radial", 500.0, 100.0) == (high,)
        assert class_sets(sets, "axial", 200.0, 100.0) == (high,)
        assert set(class_sets(sets, "axial", None, 100.0)) == {low, high}


def test_inductance_turns_the_division_round_above_resonance() -> None:
    """Two equal parts, one with leads of 10 nH: at 100 kHz it carries less, below resonance of both a little more."""
    found = shared_ripple([1.0, 1.0], [1e3, 1e6], [1e-3, 1e-3], [0.0, 0.0], [1e-8, 0.0])
    omega = 2 * math.pi * np.array([1e3, 1e6])
    reactance = np.array([omega * 1e-8 - 1 / (omega * 1e-3), -1 / (omega * 1e-3)])
    assert found == pytest.approx(np.abs(reactance[::-1] / reactance.sum(axis=0)))
    assert found[0, 0] > found[1, 0]
    same = shared_ripple([3.0], [1e5], [1e-4, 1e-4, 1e-4], [0.1, 0.1, 0.1], 2e-8)
    assert same == pytest.approx(np.ones((3, 1)))


def test_resistances_share_as_resistors_do() -> None:
    found = shared_ripple([3.0], [1e9], [1.0, 1.0], [1.0, 2.0])
    assert found[:, 0] == pytest.approx([2.0, 1.0])
