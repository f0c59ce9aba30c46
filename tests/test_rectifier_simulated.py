"""Rectifiers against circuit simulations, whose results and netlists are kept beside."""

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from recap.formulas.rectifier import TOPOLOGIES, RectifierState, rectified
from recap.formulas.rectifier_diode import emission_voltage

EMISSION_V = float(emission_voltage(1.6, 300.0))
SIMULATED = json.loads((Path(__file__).parent / "simulated" / "rectifiers.json").read_text(encoding="utf-8"))
FIGURES = ("dc_v", "ripple_vpp", "ripple_current_a", "peak_capacitor_current_a", "peak_diode_current_a")
Solved = dict[str, tuple[dict[str, Any], RectifierState, int]]


@pytest.fixture(scope="module")
def solved() -> Solved:
    """Every simulated case with the state that holds it, told no more of the diode than drop and slope."""
    found = {}
    for topology in TOPOLOGIES:
        cases = [case for case in SIMULATED["cases"] if case["topology"] == topology]
        loads = {
            kind: np.array([case["load_value"] if case["load"] == kind else absent for case in cases])
            for kind, absent in (("current", 0.0), ("resistance", np.inf), ("power", 0.0))
        }
        names = (
            "source_rms_v", "mains_frequency_hz", "capacitance_f", "source_resistance_ohm", "esr_ohm", "diode_drop_v",
            "diode_slope_ohm",
        )  # fmt: skip
        state = rectified(
            topology,
            **{name: np.array([case[name] for case in cases]) for name in names},
            load_current_a=loads["current"],
            load_resistance_ohm=loads["resistance"],
            load_power_w=loads["power"],
            largest_emission_v=EMISSION_V,
        )
        found.update({case["name"]: (case, state, number) for number, case in enumerate(cases)})
    return found


@pytest.mark.parametrize("name", [case["name"] for case in SIMULATED["cases"]])
def test_within_three_percent_of_the_simulation(solved: Solved, name: str) -> None:
    case, state, number = solved[name]
    errors = {each: float(getattr(state, each)[number]) / case["measured"][each] - 1 for each in FIGURES}
    assert abs(errors["dc_v"]) < 0.01, errors
    assert abs(errors["ripple_vpp"]) < 0.015, errors  # asked: 0.03
    assert abs(errors["ripple_current_a"]) < 0.015, errors  # asked: 0.03
    assert abs(errors["peak_capacitor_current_a"]) < 0.04, errors
    assert abs(errors["peak_diode_current_a"]) < 0.04, errors
    pulses = 2 if case["topology"] in ("bridge", "centre-tap") else 1
    simulated = [case["measured"][f"harmonic_{order * pulses}_a"] for order in range(1, 7)]
    assert state.harmonics_a[number] == pytest.approx(simulated, abs=0.02 * case["measured"]["ripple_current_a"])


def test_the_simulations_span_the_supplies_that_matter_and_had_settled() -> None:
    cases = SIMULATED["cases"]
    assert SIMULATED["simulated_with"].startswith("ngspice-")
    assert len(cases) >= 60
    assert {case["name"].split(",")[0] for case in cases} == {"5 V logic", "12 V", "15 V and more", "valve", "off-line"}
    assert {case["load"] for case in cases} == {"current", "resistance", "power"}
    assert max(case["drift"] for case in cases) < 2e-4


def test_a_flat_drop_is_what_costs_accuracy_at_low_voltage(solved: Solved) -> None:
    case, _, _ = solved["5 V logic, bridge 1"]
    given = {
        name: case[name]
        for name in (
            "source_rms_v",
            "mains_frequency_hz",
            "capacitance_f",
            "source_resistance_ohm",
            "esr_ohm",
            "diode_drop_v",
        )
    }
    flat = rectified("bridge", **given, load_current_a=case["load_value"], largest_emission_v=EMISSION_V)
    assert float(flat.ripple_current_a) / case["measured"]["ripple_current_a"] - 1 > 0.02
