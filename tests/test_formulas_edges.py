"""Edges, identities and balances of the small formulas: what must hold whatever the numbers are.

Figures here come from sums on paper, from conservation of energy and charge, or from a second way to the same
value; none is copied from the code.
"""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recap.formulas.can import can_surface_cm2, ripple_for_rise_a
from recap.formulas.discharge import (
    discharge_time_s,
    initial_power_w,
    pulse_rating_w,
    rebound_v,
    stored_energy_j,
    time_constant_s,
    voltage_after_v,
)
from recap.formulas.dummy_load import load_power_w, load_resistance_ohm, required_rating_w
from recap.formulas.esr import (
    cold_impedance_ohm,
    dissipation_factor,
    esr_ohm,
    impedance_ohm,
    limit_at_rating,
    with_large_value_term,
)
from recap.formulas.holdup import hold_up_capacitance_f, hold_up_time_s
from recap.formulas.inrush import inrush_change, inrush_i2t_a2s, inrush_peak_a
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


# Cans


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


# Discharge


@settings(max_examples=30)
@given(volts, farads, ohms)
def test_a_discharge_turns_all_stored_energy_into_heat(voltage: float, farad: float, ohm: float) -> None:
    """The power falls as e^(−2t/τ), so its integral is half the time constant times the first power."""
    heat = initial_power_w(voltage, ohm) * time_constant_s(farad, ohm) / 2
    assert heat == pytest.approx(stored_energy_j(farad, voltage))
    assert stored_energy_j(farad, -voltage) == stored_energy_j(farad, voltage)


@settings(max_examples=30)
@given(volts, st.floats(0.05, 1.0), st.floats(1e-3, 100.0))
def test_after_the_discharge_time_the_voltage_is_reached(voltage: float, share: float, tau: float) -> None:
    seconds = discharge_time_s(voltage, voltage * share, tau)
    assert seconds >= 0
    assert voltage_after_v(voltage, seconds, tau) == pytest.approx(voltage * share)


def test_five_time_constants_leave_less_than_a_percent() -> None:
    left = voltage_after_v([100.0, -100.0], np.array([5.0, 0.0]) * 2.0, 2.0)
    assert left == pytest.approx([100 / math.e**5, -100.0])
    assert discharge_time_s([50.0, 0.0, 50.0 * math.e], 50.0, 3.0) == pytest.approx([0.0, 0.0, 3.0])


def test_a_short_pulse_is_rated_by_its_height_and_a_long_one_by_what_is_left() -> None:
    """With τ = 2·t the power after t is still 1/e of the first: more than a fifth, less than a half."""
    assert pulse_rating_w(100.0, 2.0, 5.0, 1.0) == pytest.approx(100 / math.e)
    assert pulse_rating_w(100.0, 2.0, 2.0, 1.0) == pytest.approx(50.0)
    assert pulse_rating_w(100.0, [1e-3, 1e9], 5.0, 1.0) == pytest.approx([20.0, 100.0])
    assert pulse_rating_w(100.0, 4.0, 5.0, 6.0) == pytest.approx(20.0)


def test_what_comes_back_is_a_share_of_what_was_there() -> None:
    assert rebound_v([100.0, 20.0, 0.0], 0.1) == pytest.approx([10.0, 2.0, 0.0])


# Dummy loads


@settings(max_examples=30)
@given(volts, st.floats(0.01, 10.0), st.floats(1.0, 4.0))
def test_a_dummy_load_takes_voltage_times_current(rail: float, current: float, margin: float) -> None:
    for signed in (rail, -rail):
        power = load_power_w(signed, load_resistance_ohm(signed, current))
        assert power == pytest.approx(rail * current)
        assert required_rating_w(power, margin) == pytest.approx(margin * rail * current)


# Loss


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


# Leakage and reforming


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


# Hold-up and switch-on


@settings(max_examples=30)
@given(farads, st.floats(200.0, 400.0), st.floats(0.3, 0.9), st.floats(1.0, 500.0))
def test_hold_up_is_the_energy_between_two_voltages(farad: float, start: float, share: float, watts: float) -> None:
    end = share * start
    energy = stored_energy_j(farad, start) - stored_energy_j(farad, end)
    seconds = hold_up_time_s(farad, start, end, watts)
    assert seconds * watts == pytest.approx(energy)
    assert hold_up_capacitance_f(seconds, start, end, watts) == pytest.approx(farad)


@settings(max_examples=20)
@given(farads, st.floats(0.0, 0.2), st.floats(0.3, 0.9), st.floats(1.0, 500.0))
def test_with_esr_the_energy_is_shared_between_load_and_loss(
    farad: float, loss: float, share: float, watts: float
) -> None:
    """Capacitor: E(first) − E(last) = P·t + ∫i²·ESR dt, the last voltage being that behind the terminals at the end."""
    start = 300.0
    esr = loss * start**2 / (4 * watts)
    end = share * (start + math.sqrt(start**2 - 4 * esr * watts)) / 2
    seconds = float(hold_up_time_s(farad, start, end, watts, esr))
    behind = end + esr * watts / end
    given_up = stored_energy_j(farad, start) - stored_energy_j(farad, behind)
    first = (start + math.sqrt(start**2 - 4 * esr * watts)) / 2
    # i = P/v and dt = −C·d(v + ESR·P/v)/(P/v): the loss in closed form
    heat = esr * watts * farad * (math.log(first / end) + esr * watts * (first**-2 - end**-2) / 2)
    assert seconds * watts + heat == pytest.approx(float(given_up), rel=1e-6)


def test_hold_up_ends_at_the_most_power_an_esr_lets_through() -> None:
    """From 100 V through 10 ohm at most 250 W pass, at 50 V: at 40 V no converter could be fed."""
    found = hold_up_time_s(1e-3, 100.0, 40.0, [160.0, 249.0, 250.0, 251.0], 10.0)
    assert (np.diff(found) <= 0).all()
    assert (found > 0).tolist() == [True, True, False, False]
    # 90 W are the most at 30 V: a lower end changes nothing, and leaves half of the voltage in the ESR
    lower = hold_up_time_s(1e-3, 100.0, [30.0, 20.0, 1.0, 0.0], 90.0, 10.0)
    assert lower == pytest.approx([lower[0]] * 4)
    spent = stored_energy_j(1e-3, 100.0) - stored_energy_j(1e-3, 60.0)
    assert 0 < lower[0] * 90.0 < spent
    assert hold_up_time_s(1e-3, 100.0, [50.0, 50.1], 250.0, 10.0).tolist() == [0.0, 0.0]


def test_no_hold_up_capacitance_serves_a_rising_voltage() -> None:
    assert hold_up_capacitance_f(1.0, [10.0, 10.0], [10.0, 20.0], 1.0).tolist() == [math.inf, math.inf]
    assert hold_up_capacitance_f(1.0, 1.25, 1.0, 0.28125) == pytest.approx(1.0)


@settings(max_examples=30)
@given(farads, volts, ohms)
def test_charging_burns_in_the_resistance_what_the_reservoir_keeps(farad: float, peak: float, ohm: float) -> None:
    assert inrush_i2t_a2s(farad, peak, ohm) * ohm == pytest.approx(stored_energy_j(farad, peak))
    assert inrush_peak_a(peak, ohm) * ohm == pytest.approx(peak)


@settings(max_examples=30)
@given(farads, farads, ohms, st.floats(0.0, 2.0), st.floats(0.0, 2.0))
def test_a_change_at_switch_on_is_new_over_old(
    old: float, new: float, ohm: float, old_esr: float, new_esr: float
) -> None:
    change = inrush_change(old, new, ohm, old_esr, new_esr)
    assert change.peak == pytest.approx(inrush_peak_a(300.0, ohm + new_esr) / inrush_peak_a(300.0, ohm + old_esr))
    assert change.i2t == pytest.approx(
        inrush_i2t_a2s(new, 300.0, ohm + new_esr) / inrush_i2t_a2s(old, 300.0, ohm + old_esr)
    )
    plain = inrush_change(old, new, ohm)
    assert plain.peak == 1.0
    assert plain.i2t == pytest.approx(new / old)


# Voltages


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


# Ripple of several frequencies, and of several capacitors


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
