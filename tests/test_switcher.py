"""Switchers, sharing between capacitors, hold-up and switch-on: against brute force and printed formulas."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recap.formulas.holdup import hold_up_capacitance_f, hold_up_time_s
from recap.formulas.inrush import inrush_change, inrush_i2t_a2s, inrush_peak_a
from recap.formulas.ripple_sharing import shared_ripple
from recap.formulas.switcher import flyback_output, flyback_peak_a, inductor_output, straight_line_ripple

shares = st.floats(0.05, 0.95)
esrs = st.floats(0.0, 0.3)
values = st.floats(1e-6, 3e-3)


def brute(segments: list[tuple[float, float, float]], farads: float, esr: float) -> tuple[float, float]:
    """Return p-p and rms from many small steps."""
    time, current = [], []
    now = 0.0
    for duration, first, last in segments:
        steps = np.linspace(0, 1, 20001)
        time.append(now + duration * steps)
        current.append(first + (last - first) * steps)
        now += duration
    t, i = np.concatenate(time), np.concatenate(current)
    i = i - np.trapezoid(i, t) / now
    charge = np.concatenate([[0.0], np.cumsum(np.diff(t) * (i[1:] + i[:-1]) / 2)])
    return float(np.ptp(esr * i + charge / farads)), float(np.sqrt(np.trapezoid(i * i, t) / now))


@settings(max_examples=25, deadline=None)
@given(shares, st.floats(0.1, 5.0), values, esrs)
def test_inductor_output_is_exact(duty: float, ripple_a: float, farads: float, esr: float) -> None:
    found = inductor_output(ripple_a, 100e3, duty, farads, esr)
    segments = [(duty * 1e-5, -ripple_a / 2, ripple_a / 2), ((1 - duty) * 1e-5, ripple_a / 2, -ripple_a / 2)]
    vpp, rms = brute(segments, farads, esr)
    assert float(found.ripple_vpp) == pytest.approx(vpp, rel=1e-4)
    assert float(found.ripple_current_a) == pytest.approx(rms, rel=1e-4)
    assert float(found.ripple_current_a) == pytest.approx(ripple_a / math.sqrt(12))
    # Makers print the sum of both shares as the bound (Microchip, eq. 8-5; TI SNVA406C); each share alone is less.
    esr_share, capacitive_share = ripple_a * esr, ripple_a / (8 * 100e3 * farads)
    top = float(found.ripple_vpp)
    assert max(esr_share, capacitive_share) * (1 - 1e-9) <= top <= (esr_share + capacitive_share) * (1 + 1e-9)


@settings(max_examples=25, deadline=None)
@given(shares, st.floats(0.5, 10.0), st.floats(0.0, 1.0), values, esrs)
def test_flyback_output_is_exact(share: float, peak: float, depth: float, farads: float, esr: float) -> None:
    valley = peak * depth
    found = flyback_output(peak, valley, share, 100e3, farads, esr)
    vpp, rms = brute([(share * 1e-5, peak, valley), ((1 - share) * 1e-5, 0.0, 0.0)], farads, esr)
    assert float(found.ripple_vpp) == pytest.approx(vpp, rel=1e-3)
    assert float(found.ripple_current_a) == pytest.approx(rms, rel=1e-3)
    secondary = share * (peak**2 + peak * valley + valley**2) / 3
    load = share * (peak + valley) / 2
    assert float(found.ripple_current_a) == pytest.approx(math.sqrt(secondary - load**2), rel=1e-6)  # AN-16, p. 22


@settings(max_examples=15, deadline=None)
@given(shares, st.floats(0.5, 10.0), st.floats(0.0, 0.9))
def test_harmonics_are_those_of_the_waveform(share: float, peak: float, depth: float) -> None:
    found = flyback_output(peak, depth * peak, share, 1.0, 1.0, 0.0)
    grid = (np.arange(200000) + 0.5) / 200000
    wave = np.where(grid < share, peak + (depth * peak - peak) * grid / share, 0.0)
    spectrum = math.sqrt(2) * np.abs(np.fft.rfft(wave))[1:7] / len(grid)
    assert found.harmonics_a == pytest.approx(spectrum, abs=1e-4 * peak)
    assert np.sum(found.harmonics_a**2) <= float(found.ripple_current_a) ** 2 * (1 + 1e-9)


@settings(max_examples=15, deadline=None)
@given(shares, st.floats(0.5, 10.0), st.floats(0.0, 1.0))
def test_the_peak_of_a_flyback_lies_between_its_two_bounds(share: float, peak: float, depth: float) -> None:
    ripple = float(flyback_output(peak, depth * peak, share, 1.0, 1.0, 0.0).ripple_current_a)
    least, greatest = flyback_peak_a(ripple, peak * (1 + depth) / 2 * share)
    assert least * (1 - 1e-9) <= peak <= greatest * (1 + 1e-9)


def test_esr_rules_a_large_capacitor() -> None:
    """Worked example of the evidence: 2 A, 50 mohm, 1000 µF, 40 kHz: 100 mV and 6 mV, which do not simply add."""
    found = inductor_output(2.0, 40e3, 0.5, 1000e-6, 0.05)
    assert float(found.ripple_vpp) == pytest.approx(0.1, rel=0.01)


def test_arrays_of_cases_equal_single_ones() -> None:
    farads, esr = np.array([10e-6, 1000e-6]), np.array([0.0, 0.05])
    both = flyback_output(6.0, 2.0, 0.5, 100e3, farads, esr)
    for number in range(2):
        one = flyback_output(6.0, 2.0, 0.5, 100e3, farads[number], esr[number])
        assert float(both.ripple_vpp[number]) == float(one.ripple_vpp)
        assert both.harmonics_a[number] == pytest.approx(one.harmonics_a)
    assert both.harmonics_a.shape == (2, 6)


def test_the_mean_of_the_current_is_taken_off() -> None:
    with_dc = straight_line_ripple([(1e-6, 5.0, 6.0), (1e-6, 6.0, 5.0)], 1e-5, 0.01)
    without = straight_line_ripple([(1e-6, -0.5, 0.5), (1e-6, 0.5, -0.5)], 1e-5, 0.01)
    assert float(with_dc.ripple_vpp) == pytest.approx(float(without.ripple_vpp))
    assert float(with_dc.peak_capacitor_current_a) == pytest.approx(0.5)


def test_capacitors_share_by_impedance_at_each_frequency() -> None:
    """A large lossy part takes the mains' ripple, a small low-ESR one the switching ripple."""
    found = shared_ripple([1.0, 1.0], [100.0, 100e3], [1000e-6, 100e-6], [0.2, 0.02])
    assert found[0, 0] > 0.85
    assert found[1, 1] > 0.85
    by_hand = [1 / (esr - 1j / (2 * math.pi * 100 * farads)) for farads, esr in ((1000e-6, 0.2), (100e-6, 0.02))]
    assert found[:, 0] == pytest.approx([abs(each / sum(by_hand)) for each in by_hand])


@settings(max_examples=20, deadline=None)
@given(values, esrs, st.integers(1, 5))
def test_equal_capacitors_share_equally_and_none_is_lost(farads: float, esr: float, count: int) -> None:
    found = shared_ripple([2.0, 1.0], [100.0, 200.0], [farads] * count, [esr] * count)
    assert found == pytest.approx(np.array([[2.0 / count, 1.0 / count]] * count))


@settings(max_examples=20, deadline=None)
@given(st.lists(values, min_size=2, max_size=4), st.lists(esrs, min_size=4, max_size=4))
def test_shares_never_add_up_to_less_than_the_whole(farads: list[float], esr: list[float]) -> None:
    found = shared_ripple([1.0], [100.0], farads, esr[: len(farads)])
    assert found.sum() >= 1 - 1e-9


def test_esr_may_depend_on_frequency() -> None:
    found = shared_ripple([1.0, 1.0], [100.0, 1e5], [1e-3, 1e-3], [[0.2, 0.05], [0.2, 0.02]])
    assert found[0, 0] == pytest.approx(found[1, 0])
    assert found[0, 1] < found[1, 1]


def test_hold_up_with_esr_agrees_with_small_steps() -> None:
    farads, start, end, watts, esr = 100e-6, 300.0, 200.0, 100.0, 20.0
    voltage, spent, step = start, 0.0, 1e-6
    while True:
        terminal = (voltage + math.sqrt(voltage**2 - 4 * esr * watts)) / 2
        if terminal <= end:
            break
        voltage -= watts / terminal * step / farads
        spent += step
    assert float(hold_up_time_s(farads, start, end, watts, esr)) == pytest.approx(spent, rel=1e-3)


@settings(max_examples=20, deadline=None)
@given(st.floats(0.005, 0.1), st.floats(250, 400), st.floats(100, 240), st.floats(5, 500))
def test_hold_up_time_and_capacitance_are_inverse(seconds: float, start: float, end: float, watts: float) -> None:
    farads = hold_up_capacitance_f(seconds, start, end, watts)
    assert float(hold_up_time_s(farads, start, end, watts)) == pytest.approx(seconds)
    assert float(hold_up_time_s(farads, start, end, watts, 1.0)) < seconds


def test_hold_up_where_there_is_nothing_to_give() -> None:
    assert hold_up_time_s(1e-4, [200.0, 150.0], 200.0, 50.0).tolist() == [0.0, 0.0]
    assert math.isinf(float(hold_up_capacitance_f(0.02, 200.0, 200.0, 50.0)))
    assert float(hold_up_time_s(1e-4, 100.0, 50.0, 1000.0, 10.0)) == 0.0


@pytest.mark.parametrize(("farads", "i2t"), [(100e-6, 1.06), (220e-6, 2.3), (470e-6, 5.0)])
def test_switch_on_stress_of_the_recorded_time_step_sums(farads: float, i2t: float) -> None:
    assert float(inrush_i2t_a2s(farads, 325.0, 5.0)) == pytest.approx(i2t, rel=0.02)
    assert float(inrush_peak_a(325.0, 5.0)) == 65.0


def test_a_larger_reservoir_raises_i2t_in_proportion_and_a_lower_esr_raises_both() -> None:
    assert float(inrush_change(100e-6, 150e-6, 5.0).i2t) == pytest.approx(1.5)
    assert float(inrush_change(100e-6, 150e-6, 5.0).peak) == 1.0
    better = inrush_change(100e-6, 100e-6, 1.0, original_esr_ohm=1.0, new_esr_ohm=0.25)
    assert float(better.peak) == pytest.approx(1.6)
    assert float(better.i2t) == pytest.approx(1.6)
