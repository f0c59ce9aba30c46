"""Rectifiers and switchers: laws, limits and figures worked on paper."""

import math
from typing import Any

import numpy as np
import pytest

from recap.formulas.rectifier import HARMONICS, TOPOLOGIES, RectifierState, capacitor_from_source_current, rectified
from recap.formulas.rectifier_diode import BOLTZMANN_OVER_CHARGE_V_PER_K, diode_curve, emission_voltage
from recap.formulas.switcher import FilterRipple, flyback_output, straight_line_ripple


def figures(ripple: FilterRipple) -> tuple[float, float, float]:
    return float(ripple.ripple_vpp), float(ripple.ripple_current_a), float(ripple.peak_capacitor_current_a)


def test_a_rectangle_of_current_on_paper() -> None:
    """3 A for a quarter of 4 s: the mean 0.75 A goes, 2.25 A and −0.75 A stay, 2.25 C are moved."""
    found = straight_line_ripple([(1.0, 3.0, 3.0), (3.0, 0.0, 0.0)], 1.0, 0.0)
    assert figures(found) == pytest.approx((2.25, math.sqrt((2.25**2 + 3 * 0.75**2) / 4), 2.25))
    with_esr = straight_line_ripple([(1.0, 3.0, 3.0), (3.0, 0.0, 0.0)], 1.0, 10.0)
    assert figures(with_esr)[0] == pytest.approx(30.0 + 2.25)  # after the charge still 22.5 + 2.25, before −7.5
    # Fourier: the nth harmonic of a pulse is 2·I/(nπ)·sin(nπ/4), here as rms
    order = np.arange(1, 7)
    amplitudes = 6 / (order * math.pi) * np.abs(np.sin(order * math.pi / 4))
    assert found.harmonics_a == pytest.approx(amplitudes / math.sqrt(2))


def test_the_order_of_the_segments_and_empty_ones_change_nothing() -> None:
    segments = [(1.0, -1.0, 2.0), (2.0, 2.0, 0.5), (1.5, 0.0, -1.0)]
    whole = straight_line_ripple(segments, 0.7, 0.3)
    turned = straight_line_ripple(segments[1:] + segments[:1], 0.7, 0.3)
    padded = straight_line_ripple([*segments[:1], (0.0, 2.0, 2.0), *segments[1:]], 0.7, 0.3)
    for other in (turned, padded):
        assert figures(other) == pytest.approx(figures(whole))
        assert other.harmonics_a == pytest.approx(whole.harmonics_a)


def test_half_a_cut_in_two_is_the_whole() -> None:
    one = straight_line_ripple([(2.0, -1.0, 1.0), (2.0, 1.0, -1.0)], 0.5, 0.2)
    cut = straight_line_ripple([(0.5, -1.0, -0.5), (1.5, -0.5, 1.0), (2.0, 1.0, -1.0)], 0.5, 0.2)
    assert figures(one) == pytest.approx(figures(cut))
    assert one.harmonics_a == pytest.approx(cut.harmonics_a)
    # a symmetric triangle of 1 A: 8/π² over the odd orders squared, none at the even ones
    odd = [8 / math.pi**2 / order**2 / math.sqrt(2) if order % 2 else 0.0 for order in range(1, 7)]
    assert one.harmonics_a == pytest.approx(odd, abs=1e-12)


def test_a_flyback_at_round_numbers() -> None:
    """Peak 4 A to 0 in a quarter of 4 s: mean 0.5 A; the last positive charge is moved when 0.5 A is passed."""
    found = flyback_output(4.0, 0.0, 0.25, 0.25, 1.0, 0.0)
    charge = 3.5 * (3.5 / 4) / 2
    assert figures(found) == pytest.approx((charge, math.sqrt(4 / 3 - 0.25), 3.5))


EMISSION_V = float(emission_voltage(1.6, 300.0))


def test_the_junctions_voltage_is_n_k_t_over_q() -> None:
    assert pytest.approx(8.617333262e-5, rel=1e-9) == BOLTZMANN_OVER_CHARGE_V_PER_K
    assert emission_voltage([1.0, 2.0], 300.0) == pytest.approx([0.025851999, 0.051703998], rel=1e-6)


def test_the_slope_goes_to_the_junction_first_and_to_the_bulk_then() -> None:
    """At 2 A a junction of 50 mV has a slope of 25 milliohm: 10 are all its own, 100 leave 75 for the bulk."""
    curve = diode_curve(2.0, 0.8, [0.01, 0.025, 0.1], 0.05)
    assert curve.emission_v == pytest.approx([0.02, 0.05, 0.05])
    assert curve.bulk_resistance_ohm == pytest.approx([0.0, 0.0, 0.075])
    assert curve.voltage(2.0) == pytest.approx([0.8] * 3)
    assert curve.voltage(2.0 * math.e) == pytest.approx([0.82, 0.85, 0.85 + 0.15 * (math.e - 1)])
    assert diode_curve(1.0, 0.8, 0.0, 0.05).emission_v == pytest.approx(1e-5)
    assert diode_curve(1.0, 0.8, 0.0, 0.05).bulk_resistance_ohm == 0.0


def supply(topology: str, **changes: Any) -> RectifierState:
    values: dict[str, Any] = {
        "source_rms_v": 12.0, "mains_frequency_hz": 50.0, "capacitance_f": 2.2e-3, "load_current_a": 0.5,
        "source_resistance_ohm": 0.4, "esr_ohm": 0.05, "diode_drop_v": 0.8, "diode_slope_ohm": 0.08,
        "largest_emission_v": EMISSION_V,
    }  # fmt: skip
    return rectified(topology, **{**values, **changes})


@pytest.fixture(scope="module")
def supplies() -> dict[str, RectifierState]:
    """Each circuit with an ordinary reservoir and with a very large one."""
    return {topology: supply(topology, capacitance_f=np.array([2.2e-3, 0.05])) for topology in TOPOLOGIES}


def test_the_capacitors_frequency_and_harmonics_are_those_of_its_current(supplies: dict[str, RectifierState]) -> None:
    for topology, hertz in (("bridge", 100.0), ("centre-tap", 100.0), ("half-wave", 50.0), ("doubler", 50.0)):
        state = supplies[topology]
        assert state.ripple_frequency_hz == pytest.approx([hertz] * 2)
        assert state.harmonics_a.shape == (2, HARMONICS)
        power = np.sum(state.harmonics_a**2, axis=-1) / state.ripple_current_a**2
        assert ((power > 0.9) & (power < 1 + 1e-6)).all()  # the current is made of its harmonics, few of which are high
        assert state.load_current_a == pytest.approx([0.5] * 2)


def test_a_bridge_is_a_centre_tap_with_one_diode_more(supplies: dict[str, RectifierState]) -> None:
    bridge = supply("bridge", diode_drop_v=0.4, diode_slope_ohm=0.04, largest_emission_v=EMISSION_V / 2)
    for name in ("dc_v", "ripple_vpp", "ripple_current_a", "peak_diode_current_a", "conduction_angle_deg"):
        assert getattr(bridge, name) == pytest.approx(getattr(supplies["centre-tap"], name)[0], rel=1e-9)


def test_loads_of_each_kind_agree_when_they_take_the_same(supplies: dict[str, RectifierState]) -> None:
    """With little ripple a current, a resistance and a power that draw the same in the mean are alike."""
    current = supplies["bridge"]
    ohm = float(current.dc_v[1]) / 0.5
    others = supply(
        "bridge", capacitance_f=0.05, load_current_a=[0.0, 0.0, 0.2], load_resistance_ohm=[ohm, np.inf, ohm / 0.6],
        load_power_w=[0.0, 0.25 * ohm, 0.0],
    )  # fmt: skip
    assert others.load_current_a == pytest.approx([0.5] * 3, rel=1e-3)
    assert others.dc_v == pytest.approx([current.dc_v[1]] * 3, rel=1e-3)
    assert others.ripple_current_a == pytest.approx([current.ripple_current_a[1]] * 3, rel=1e-2)


def test_a_doubler_gives_twice_what_each_half_wave_gives(supplies: dict[str, RectifierState]) -> None:
    """With little ripple each half is a half-wave circuit of its own."""
    half, both = supplies["half-wave"], supplies["doubler"]
    assert both.dc_v[1] == pytest.approx(2 * half.dc_v[1], rel=2e-3)
    assert both.ripple_current_a[1] == pytest.approx(half.ripple_current_a[1], rel=1e-2)
    assert both.peak_diode_current_a[1] == pytest.approx(half.peak_diode_current_a[1], rel=1e-2)


def test_the_conduction_angle_is_that_of_the_mains_and_falls_with_a_stiffer_source() -> None:
    """Where the source just reaches the reservoir: cos of half the angle is about dc over crest (ideal diode)."""
    ideal = supply(
        "bridge", capacitance_f=0.2, source_resistance_ohm=np.array([0.05, 0.2, 0.8]), diode_drop_v=0.0,
        diode_slope_ohm=0.0, esr_ohm=0.0,
    )  # fmt: skip
    half = np.arccos(ideal.dc_v / (12.0 * math.sqrt(2)))
    assert ideal.conduction_angle_deg == pytest.approx(np.degrees(2 * half), rel=0.03)
    # the charge of one crest above the level is what the load takes: (E/R)·(sin h − h·cos h)·2 = I·π
    crest = 12.0 * math.sqrt(2) / np.array([0.05, 0.2, 0.8])
    assert 2 * crest * (np.sin(half) - half * np.cos(half)) == pytest.approx(0.5 * math.pi, rel=0.01)
    assert ideal.peak_diode_current_a == pytest.approx(crest * (1 - np.cos(half)), rel=0.01)
    assert ideal.peak_capacitor_current_a == pytest.approx(ideal.peak_diode_current_a - 0.5, rel=0.01)


def test_shapes_broadcast_and_keep_their_order() -> None:
    state = supply("bridge", source_rms_v=np.array([[9.0], [12.0]]), load_current_a=np.array([0.2, 0.4, 0.8]))
    assert state.dc_v.shape == (2, 3)
    assert state.harmonics_a.shape == (2, 3, HARMONICS)
    one = supply("bridge", source_rms_v=9.0, load_current_a=0.8)
    assert float(state.dc_v[0, 2]) == pytest.approx(float(one.dc_v), rel=1e-6)
    assert state.harmonics_a[0, 2] == pytest.approx(one.harmonics_a, rel=1e-4)


def test_a_winding_that_brings_less_than_the_load_takes_is_no_number() -> None:
    with np.errstate(invalid="ignore"):
        found = capacitor_from_source_current([1.25, 0.5, 1.0], [0.75, 1.0, 1.0])
    assert found[[0, 2]] == pytest.approx([1.0, 0.0])
    assert np.isnan(found[1])


def test_a_constant_current_is_not_drawn_from_below_nothing() -> None:
    """1 A through 12 ohm of ESR between the pulses asks for more than the 11.9 V of the crest less two drops."""
    state = supply("bridge", source_rms_v=9.0, capacitance_f=0.01, load_current_a=1.0, esr_ohm=np.array([5.0, 12.0]))
    assert state.holds.tolist() == [True, False]
    assert np.isnan(state.ripple_vpp[1])
