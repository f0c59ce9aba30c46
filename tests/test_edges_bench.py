"""Discharge, dummy loads, reforming, hold-up, switch-on and lamps: conservation of energy and sums on paper."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

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
from recap.formulas.holdup import hold_up_capacitance_f, hold_up_time_s
from recap.formulas.inrush import inrush_change, inrush_i2t_a2s, inrush_peak_a
from recap.formulas.lamp import FilamentLamp, lamp_current_a, with_constant_power_load, with_resistive_load

farads = st.floats(1e-6, 0.02)
volts = st.floats(5.0, 450.0)
ohms = st.floats(0.01, 1e4)


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
    assert pulse_rating_w(100.0, 12.0, 5.0, 6.0) == pytest.approx(100 / math.e)


def test_what_comes_back_is_a_share_of_what_was_there() -> None:
    assert rebound_v([100.0, 20.0, 0.0], 0.1) == pytest.approx([10.0, 2.0, 0.0])


@settings(max_examples=30)
@given(volts, st.floats(0.01, 10.0), st.floats(1.0, 4.0))
def test_a_dummy_load_takes_voltage_times_current(rail: float, current: float, margin: float) -> None:
    for signed in (rail, -rail):
        power = load_power_w(signed, load_resistance_ohm(signed, current))
        assert power == pytest.approx(rail * current)
        assert required_rating_w(power, margin) == pytest.approx(margin * rail * current)


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


def square_root_lamp() -> FilamentLamp:
    """An invented lamp: 100 W at 100 V, 1 A·√(V/100 V), cold at a tenth of its hot 100 ohm."""
    return FilamentLamp(100.0, 100.0, 0.5, 10.0)


def test_a_lamp_on_paper() -> None:
    """At 25 V half the current; below 1 V the cold 10 ohm are the limit."""
    lamp = square_root_lamp()
    assert (lamp.rated_current_a, lamp.cold_resistance_ohm) == (1.0, 10.0)
    assert lamp_current_a(lamp, [100.0, 25.0, 1.0, 0.25, 0.0]) == pytest.approx([1.0, 0.5, 0.1, 0.025, 0.0])


def test_lamp_and_resistor_meet_where_it_was_worked_out() -> None:
    """On 100 V a lamp at 25 V passes 0.5 A, so 75 V lie at 150 ohm, which on the full mains takes 66.67 W."""
    point = with_resistive_load(square_root_lamp(), 100.0, 100.0**2 / 150.0)
    assert (point.load_voltage_v, point.current_a, point.load_power_w) == pytest.approx((75.0, 0.5, 37.5))
    assert point.stable


def test_lamp_and_constant_power_meet_twice_below_the_maximum() -> None:
    """(100 − v)·√(v/100) of the lamp's voltage v is greatest at a third, 200/3·√(1/3) = 38.49 W; 37.5 W at 25 V."""
    most = 200 / 3 * math.sqrt(1 / 3)
    stable, unstable = with_constant_power_load(square_root_lamp(), 100.0, 37.5)
    assert (stable.load_voltage_v, stable.current_a, stable.load_power_w) == pytest.approx((75.0, 0.5, 37.5))
    assert (stable.stable, unstable.stable) == (True, False)
    below = 100 - unstable.load_voltage_v
    assert unstable.load_voltage_v * math.sqrt(below / 100) == pytest.approx(37.5)
    assert unstable.load_voltage_v < 200 / 3 < stable.load_voltage_v
    assert with_constant_power_load(square_root_lamp(), 100.0, most * 1.0001) == ()
    near, _ = with_constant_power_load(square_root_lamp(), 100.0, most * (1 - 1e-9))
    assert near.load_voltage_v == pytest.approx(200 / 3, rel=1e-3)
