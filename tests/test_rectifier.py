"""Rectifiers: against an independent integration, by their laws, and against recorded ratios."""

import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from recap.formulas import rectifier_steady_state
from recap.formulas.rectifier import (
    TOPOLOGIES,
    RectifierState,
    capacitor_from_source_current,
    rectified,
    sawtooth_ripple,
)
from recap.formulas.rectifier_diode import diode_curve, emission_voltage

EMISSION_V = float(emission_voltage(1.6, 300.0))


def integrated(
    volts: float, hertz: float, farads: float, ohm: float, esr: float, load: Callable[[float], float],
    drop: float, slope: float, amps: float, diodes: int, full_wave: bool,
) -> tuple[float, float, float]:  # fmt: skip
    """Return dc, p-p and capacitor rms by plain forward integration over many periods."""
    curve = diode_curve(amps, drop, slope, EMISSION_V)

    def branch(t: float, v: float) -> tuple[float, float, float]:
        e = np.sqrt(2) * volts * np.sin(2 * np.pi * hertz * t)
        e = abs(e) if full_wave else e

        def at(diode: float) -> tuple[float, float]:
            output = v + esr * (diode - load(v))
            for _ in range(4):  # the load follows the output; quick, as ESR times its conductance is small
                output = v + esr * (diode - load(output))
            return output, load(output)

        def excess(log_diode: float) -> float:
            diode = np.exp(log_diode)
            return float(e - ohm * diode - diodes * float(curve.voltage(diode)) - at(diode)[0])

        blocked = excess(-700.0) < 0
        diode = 0.0 if blocked else float(np.exp(brentq(excess, -700.0, np.log(3 * volts / ohm), xtol=1e-9)))
        output, taken = at(diode)
        return diode, taken, output

    def rate(t: float, v: np.ndarray) -> list[float]:
        diode, taken, _ = branch(t, float(v[0]))
        return [(diode - taken) / farads]

    period = 1 / hertz
    periods = 6
    marks = np.linspace((periods - 1) * period, periods * period, 401)
    start = [1.25 * volts - diodes * drop]
    found = solve_ivp(
        rate, (0, periods * period), start, "LSODA", t_eval=marks, rtol=1e-5, atol=1e-6, max_step=period / 60
    )
    points = [branch(t, v) for t, v in zip(found.t, found.y[0], strict=True)]
    current = np.array([diode - taken for diode, taken, _ in points])
    output = np.array([each[2] for each in points])
    return float(np.mean(output[:-1])), float(np.ptp(output)), float(np.std(current[:-1]))


@pytest.mark.parametrize(
    ("topology", "kind", "value"),
    [("bridge", "current", 1.0), ("half-wave", "resistance", 40.0), ("centre-tap", "power", 9.0)],
)
def test_agrees_with_an_independent_integration(topology: str, kind: str, value: float) -> None:
    values = {
        "source_rms_v": 9.0,
        "mains_frequency_hz": 50.0,
        "capacitance_f": 1e-3,
        "source_resistance_ohm": 0.5,
        "esr_ohm": 0.05,
    }
    loads: dict[str, Callable[[float], float]] = {
        "current": lambda v: value,
        "resistance": lambda v: v / value,
        "power": lambda v: value / max(v, 1.0),
    }
    names = {"current": "load_current_a", "resistance": "load_resistance_ohm", "power": "load_power_w"}
    state = rectified(
        topology,
        **values,
        **{names[kind]: value},
        diode_drop_v=0.8,
        diode_slope_ohm=0.05,
        largest_emission_v=EMISSION_V,
    )
    shape = TOPOLOGIES[topology]
    dc, vpp, rms = integrated(
        9.0,
        50.0,
        1e-3,
        0.5,
        0.05,
        loads[kind],
        0.8,
        0.05,
        float(state.load_current_a),
        shape.diodes_in_series,
        shape.full_wave,
    )
    assert float(state.dc_v) == pytest.approx(dc, rel=2e-3)
    assert float(state.ripple_vpp) == pytest.approx(vpp, rel=3e-3)
    assert float(state.ripple_current_a) == pytest.approx(rms, rel=5e-3)


supplies = st.fixed_dictionaries(
    {
        "topology": st.sampled_from(sorted(TOPOLOGIES)),
        "volts": st.floats(6.0, 350.0),
        "amps": st.floats(0.01, 3.0),
        "ripple": st.floats(0.02, 0.25),
        "regulation": st.floats(0.005, 0.1),
        "loss": st.floats(0.0, 0.3),
    }
)


def build(given_: dict[str, Any], **changed: float) -> RectifierState:
    volts, amps = given_["volts"], given_["amps"]
    farads = amps / (50 * given_["ripple"] * volts)
    values = {
        "source_rms_v": volts,
        "mains_frequency_hz": 50.0,
        "capacitance_f": farads,
        "load_current_a": amps,
        "source_resistance_ohm": given_["regulation"] * volts / (1.8 * amps),
        "esr_ohm": given_["loss"] / (2 * np.pi * 100 * farads),
        "diode_drop_v": 0.8,
        "diode_slope_ohm": 0.05 / amps,
        "largest_emission_v": EMISSION_V,
    }
    return rectified(given_["topology"], **{**values, **changed})


@settings(max_examples=6, deadline=None)
@given(supplies)
def test_laws_that_every_rectifier_keeps(given_: dict[str, Any]) -> None:
    state = build(given_)
    assert state.holds
    power = float(np.sum(state.harmonics_a**2))
    assert power <= float(state.ripple_current_a) ** 2 * (1 + 1e-6)  # Parseval
    assert float(state.peak_diode_current_a) == pytest.approx(
        float(state.peak_capacitor_current_a) + given_["amps"], rel=1e-3
    )
    stack = 2 if given_["topology"] == "doubler" else 1
    assert float(state.highest_v) < stack * np.sqrt(2) * given_["volts"]
    assert 0 < float(state.conduction_angle_deg) < 180
    if given_["topology"] in ("bridge", "centre-tap"):
        farads = given_["amps"] / (50 * given_["ripple"] * given_["volts"])
        if given_["loss"] < 0.05:
            assert float(state.ripple_vpp) < float(sawtooth_ripple(given_["amps"], 100.0, farads)) * 1.02


@settings(max_examples=3, deadline=None)
@given(supplies)
def test_more_source_resistance_means_less_ripple_current_and_less_dc(given_: dict[str, Any]) -> None:
    more = build({**given_, "regulation": 1.5 * given_["regulation"]})
    less = build(given_)
    assert float(more.ripple_current_a) < float(less.ripple_current_a)
    assert float(more.dc_v) < float(less.dc_v)


@settings(max_examples=3, deadline=None)
@given(supplies, st.floats(1.5, 20.0))
def test_scaling_voltage_and_current_together_scales_the_answer(given_: dict[str, Any], factor: float) -> None:
    """Impedances as they were, drops and emission scaled too: a linear change of units."""
    here = build(given_)
    there = build(
        given_,
        source_rms_v=given_["volts"] * factor,
        load_current_a=given_["amps"] * factor,
        diode_drop_v=0.8 * factor,
        largest_emission_v=EMISSION_V * factor,
    )
    assert float(there.ripple_current_a) == pytest.approx(factor * float(here.ripple_current_a), rel=1e-3)
    assert float(there.ripple_vpp) == pytest.approx(factor * float(here.ripple_vpp), rel=1e-3)


def test_charge_balances_in_the_mean() -> None:
    """What the diode brings is what the load takes: no dc is left in the capacitor."""
    from recap.formulas.rectifier_steady_state import Circuit, steady_state

    one = np.ones(1)
    circuit = Circuit(
        stack=1, span_rad=np.pi, diodes_in_series=2, peak_v=12.7 * one, angular_frequency=314.159 * one,
        source_resistance_ohm=0.3 * one, drop_v=0.8 * one, slope_ohm=0.05 * one, largest_emission_v=EMISSION_V * one,
        capacitance_f=4.7e-3 * one, esr_ohm=0.03 * one, load_current_a=one, load_conductance_s=0 * one,
        load_power_w=0 * one,
    )  # fmt: skip
    found, holds = steady_state(circuit)
    assert holds.all()
    assert np.trapezoid(found.diode_a, found.time_s, axis=0) == pytest.approx(
        found.mean_load_a * found.time_s[-1], rel=1e-3
    )


def test_the_rule_of_thumb_overstates_by_what_the_evidence_says() -> None:
    """Time-step sums recorded as evidence: the real ripple is 0.6 to 0.86 of I/(2fC)."""
    state = rectified(
        "bridge", 14.0, 50.0, np.array([2200e-6, 4700e-6, 10000e-6]), load_current_a=1.0, source_resistance_ohm=0.5,
        diode_drop_v=0.7, largest_emission_v=EMISSION_V,
    )  # fmt: skip
    ratio = sawtooth_ripple(1.0, 100.0, np.array([2200e-6, 4700e-6, 10000e-6])) / state.ripple_vpp
    assert np.all((ratio > 1.13) & (ratio < 1.54))


@pytest.mark.parametrize(
    ("volts", "ohm", "amps", "farads", "rms_ratio", "peak_ratio"),
    [
        (14.0, 0.5, 1.0, 4700e-6, 1.65, 4.8),  # diode peak over load, by the same time-step sums
        (14.0, 0.2, 1.0, 4700e-6, 2.0, 6.4),
        (230.0, 5.0, 0.25, 100e-6, 2.4, 8.8),
        (230.0, 2.0, 0.25, 100e-6, 2.75, 11.0),
    ],
)
def test_ratios_of_the_recorded_time_step_sums(
    volts: float, ohm: float, amps: float, farads: float, rms_ratio: float, peak_ratio: float
) -> None:
    state = rectified(
        "bridge", volts, 50.0, farads, load_current_a=amps, source_resistance_ohm=ohm, diode_drop_v=0.7,
        largest_emission_v=EMISSION_V,
    )  # fmt: skip
    assert float(state.ripple_current_a) / amps == pytest.approx(rms_ratio, rel=0.06)
    assert float(state.peak_capacitor_current_a) / amps + 1 == pytest.approx(peak_ratio + 0.5, abs=0.12 * peak_ratio)


def test_published_winding_current_gives_the_usual_capacitor_ratio() -> None:
    """Secondary 1.8 times the dc for a bridge, 1.2 a half for a centre tap, 2.6 for half wave: ATC-Frost's table."""
    found = capacitor_from_source_current([1.8, 2.6], 1.0)
    assert found == pytest.approx([1.5, 2.4], abs=0.01)
    assert capacitor_from_source_current(1.2, 1.0, share=2.0) == pytest.approx(1.37, abs=0.01)


def test_more_capacitance_changes_ripple_voltage_but_hardly_the_current() -> None:
    state = rectified(
        "bridge", 14.0, 50.0, np.array([2200e-6, 10000e-6]), load_current_a=1.0, source_resistance_ohm=0.5,
        diode_drop_v=0.7, diode_slope_ohm=0.04, largest_emission_v=EMISSION_V,
    )  # fmt: skip
    assert state.ripple_current_a[1] / state.ripple_current_a[0] == pytest.approx(1.0, abs=0.06)
    assert state.ripple_vpp[1] < state.ripple_vpp[0] / 3


def test_what_has_no_steady_state_is_left_out_and_the_rest_stands() -> None:
    state = rectified(
        "bridge", 12.0, 50.0, 4.7e-3, load_power_w=[10.0, 500.0], source_resistance_ohm=0.5, esr_ohm=0.03,
        diode_drop_v=0.8, diode_slope_ohm=0.05, largest_emission_v=EMISSION_V,
    )  # fmt: skip
    assert state.holds.tolist() == [True, False]
    assert np.isnan(state.dc_v[1])
    assert np.isnan(state.harmonics_a[1]).all()
    assert float(state.dc_v[0] * state.load_current_a[0]) == pytest.approx(10.0, rel=0.01)
    emptied = rectified("half-wave", 9.0, 50.0, 100e-6, load_current_a=1.0, largest_emission_v=EMISSION_V)
    assert not emptied.holds


def test_there_is_a_largest_constant_power() -> None:
    """Beyond some power there is no operating point; below it more power means less voltage."""
    watts = np.array([5.0, 15.0, 25.0, 60.0])
    state = rectified(
        "bridge", 12.0, 50.0, 0.1, load_power_w=watts, source_resistance_ohm=1.0, diode_drop_v=0.8,
        diode_slope_ohm=0.01, largest_emission_v=EMISSION_V,
    )  # fmt: skip
    assert state.holds[0]
    assert not state.holds[-1]
    assert np.all(np.diff(state.holds.astype(int)) <= 0)  # once lost, lost for every larger power
    assert np.all(np.diff(state.dc_v[state.holds]) < 0)


@pytest.mark.parametrize(("watts", "swings"), [(2000.0, 3), (165.0, 40)])
def test_a_power_that_a_doubler_cannot_give_is_given_up_soon(
    monkeypatch: pytest.MonkeyPatch, watts: float, swings: int
) -> None:
    """117 V behind 20 Ω gives a matched load 117²/80 = 171 W; more is refused unsolved, nearly as much soon."""
    taken = []
    one_swing = rectifier_steady_state._swing
    monkeypatch.setattr(rectifier_steady_state, "_swing", lambda *given: taken.append(1) or one_swing(*given))
    state = rectified(
        "doubler", 117.0, 60.0, 40e-6, load_power_w=watts, source_resistance_ohm=20.0, esr_ohm=2.0,
        diode_drop_v=0.9, diode_slope_ohm=0.1, largest_emission_v=EMISSION_V,
    )  # fmt: skip
    assert not state.holds
    assert len(taken) <= swings


def test_an_ideal_source_and_very_light_loads_are_solved() -> None:
    stiff = rectified("bridge", 9.0, 50.0, 4.7e-3, load_current_a=1.0, largest_emission_v=EMISSION_V)
    assert stiff.holds
    light = rectified(
        "bridge", 9.0, 50.0, 4.7e-3, load_current_a=1e-5, source_resistance_ohm=0.3, diode_drop_v=0.4,
        diode_slope_ohm=4000.0, largest_emission_v=EMISSION_V,
    )  # fmt: skip
    assert light.holds
    assert float(light.ripple_vpp) == pytest.approx(1e-5 / (100 * 4.7e-3), rel=0.4)


def test_a_thousand_cases_at_once_equal_one_at_a_time_and_are_quick() -> None:
    pick = np.random.default_rng(3)
    volts, amps = pick.uniform(6, 240, 1000), np.exp(pick.uniform(np.log(0.02), np.log(3), 1000))
    values = {
        "source_rms_v": volts,
        "mains_frequency_hz": np.full(1000, 50.0),
        "capacitance_f": amps / (100 * volts * pick.uniform(0.02, 0.25, 1000)),
        "load_current_a": amps,
        "source_resistance_ohm": pick.uniform(0.02, 0.1, 1000) * volts / 1.8 / amps,
        "diode_slope_ohm": 0.05 / amps,
    }
    start = time.perf_counter()
    state = rectified("bridge", **values, diode_drop_v=0.85, largest_emission_v=EMISSION_V)
    spent = time.perf_counter() - start
    assert state.holds.all()
    assert spent < 15  # about 1.2 s on an idle core; the bound only catches a change of kind
    for number in (0, 500, 999):
        single = rectified(
            "bridge",
            **{name: each[number] for name, each in values.items()},
            diode_drop_v=0.85,
            largest_emission_v=EMISSION_V,
        )
        assert float(single.ripple_current_a) == pytest.approx(float(state.ripple_current_a[number]), rel=1e-6)


def test_the_diode_curve_goes_through_its_point_with_its_slope() -> None:
    for slope in (0.01, 0.05, 2.0):
        curve = diode_curve(1.0, 0.8, slope, EMISSION_V)
        assert float(curve.voltage(1.0)) == pytest.approx(0.8)
        assert float(curve.voltage(1.001) - curve.voltage(0.999)) / 0.002 == pytest.approx(slope, rel=1e-3)
