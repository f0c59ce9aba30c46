"""Discharge: sums worked out apart from the code, thresholds at their boundary, a resistor that survives."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recap.bench.constants import constant
from recap.bench.resistors import resistor_bodies, smallest_body
from recap.bench.stored_charge import body_for_discharge, suggested_resistor, thresholds
from recap.calculators.inputs import capacitance_f
from recap.formulas import discharge as formula
from recap.units import NotAQuantity
from tests.calc_command import answered, refused, run

# Worked by hand calculator from ½·C·V², V²/R and R·C·ln(V/V1), rounded as shown.
WORKED = [
    ("100uF", "325V", "2.2k", 5.3, 48, 0.37, 0.41, 0.77),
    ("470uF", "400V", "4.7k", 37.6, 34, 4.19, 4.59, 8.15),
    ("47uF", "450V", "10k", 4.8, 20, 0.95, 1.03, 1.79),
]


@pytest.mark.parametrize(("capacitance", "voltage", "resistor", "energy", "power", "to60", "to50", "to10"), WORKED)
def test_agrees_with_sums_worked_by_hand(
    capacitance: str, voltage: str, resistor: str, energy: float, power: float, to60: float, to50: float, to10: float
) -> None:
    result = answered(
        "discharge", "--capacitance", capacitance, "--voltage", voltage, "--resistor", resistor, "--to", "50V"
    )["result"]
    assert result["energy_j"] == pytest.approx(energy, abs=0.05)
    assert result["initial_power_w"] == pytest.approx(power, abs=0.5)
    assert result["time_s"] == pytest.approx(to50, abs=0.005)
    times = {each["to_v"]: each["time_s"] for each in result["times"]}
    assert times == pytest.approx({60: to60, 50: to50, 10: to10}, abs=0.005)


# The capacitance from which a stored energy is reached, worked by hand from C = 2E/V².
@pytest.mark.parametrize(
    ("threshold", "voltage", "least_uf"),
    [("lbl-shock", 100, 2000), ("lbl-shock", 325, 189.3), ("lbl-shock", 400, 125), ("lbl-shock", 450, 98.8),
     ("nfpa-70e-middle", 100, 200), ("nfpa-70e-middle", 325, 18.94), ("nfpa-70e-high", 450, 2.47),
     ("reflex", 450, 2.47), ("iec-60335-capacitance", 325, 0.1), ("iec-60950-charge", 451, 0.0998)],
)  # fmt: skip
def test_a_threshold_is_met_from_the_right_capacitance(threshold: str, voltage: float, least_uf: float) -> None:
    def met(microfarad: float) -> bool:
        return {each.id: each.met for each in thresholds(microfarad * 1e-6, voltage, 1e3)}[threshold]

    assert met(least_uf * 1.01)
    assert not met(least_uf * 0.99)


def test_thresholds_know_their_voltage_band() -> None:
    def met(voltage: float) -> set[str]:
        return {each.id for each in thresholds(1.0, voltage, 1e3) if each.met and each.kind == "hazard"}

    assert met(42.0) == {"lbl-burn", "nfpa-70e-low"}
    assert "lbl-shock" not in met(99.9)
    assert "lbl-shock" in met(100.0)
    assert "reflex" not in met(400.0)
    assert {"reflex", "nfpa-70e-high"} <= met(400.1)
    assert "iec-60335-charge" not in met(450.0)
    assert "iec-60335-charge" in met(450.1)


def test_a_limit_itself_counts_only_where_the_source_says_at_least() -> None:
    found = {each.id: each.met for each in thresholds(2000e-6, 100.0, 1e3)}
    assert found["lbl-shock"]
    assert not {each.id: each.met for each in thresholds(100e-9, 325.0, 1e3)}["iec-60335-capacitance"]


def test_discharge_demands_follow_the_resistor() -> None:
    def kept(capacitance: float, voltage: float, ohm: float) -> set[str]:
        return {each.id for each in thresholds(capacitance, voltage, ohm) if each.met and each.kind == "discharge"}

    five_s = 5 / (100e-6 * math.log(325 / 60))
    assert "iec-60204" in kept(100e-6, 325, five_s * 0.999)
    assert "iec-60204" not in kept(100e-6, 325, five_s * 1.001)
    assert "iec-60204" in kept(0.1e-6, 325, 1e9), "33 µC is exempt"
    assert "iec-60950-plug" in kept(1e-6, 325, 1e6)
    assert "iec-60950-plug" not in kept(1e-6, 325, 1.01e6)
    assert {"iec-60204", "nec-460-6"} <= kept(1.0, 50, 1e6), "already low enough"


CHARGES = (st.floats(1e-7, 0.1), st.floats(5, 600))


@settings(max_examples=60, deadline=None)
@given(*CHARGES)
def test_a_suggested_resistor_takes_the_pulse_and_is_quick_or_says_so(capacitance: float, voltage: float) -> None:
    found = suggested_resistor(capacitance, voltage)
    tau = capacitance * found.resistance_ohm
    power = voltage**2 / found.resistance_ohm
    assert power <= 5 * found.body.rating_w * 1.0001
    assert power * math.exp(-2 / tau) <= found.body.rating_w * 1.0001
    assert found.quick == (tau * math.log(max(voltage / 60, 1)) <= 10)
    assert found.quick or found.body == resistor_bodies()[-1]
    body = body_for_discharge(capacitance, voltage, found.resistance_ohm)
    assert body is not None
    assert body.rating_w <= found.body.rating_w


@settings(max_examples=50, deadline=None)
@given(*CHARGES, st.floats(10, 1e5))
def test_voltage_after_the_discharge_time_is_the_voltage_asked_for(c: float, v: float, r: float) -> None:
    tau = formula.time_constant_s(c, r)
    time = formula.discharge_time_s(v, v / 3, tau)
    assert formula.voltage_after_v(v, time, tau) == pytest.approx(v / 3)
    taken = formula.stored_energy_j(c, v) - formula.stored_energy_j(c, v / 3)
    assert 0 < taken < formula.stored_energy_j(c, v)


def test_suggests_a_resistor_when_none_is_given() -> None:
    result = answered("discharge", "--capacitance", "100 mfd", "--voltage", "325V")["result"]
    assert result["resistor_suggested"]
    assert result["to_v"] == 60
    assert result["resistor_ohm"] == 4700
    assert result["resistor_rating_w"] == 5
    assert result["rebound_v"] == pytest.approx([32.5, 48.75])


def test_says_when_no_resistor_is_quick_enough_or_big_enough() -> None:
    slow = answered("discharge", "--capacitance", "1F", "--voltage", "100V")
    assert [each["code"] for each in slow["problems"]] == ["slow-discharge"]
    burnt = answered("discharge", "--capacitance", "10000uF", "--voltage", "400V", "--resistor", "10ohm")
    assert [each["code"] for each in burnt["problems"]] == ["resistor-too-small"]
    assert burnt["result"]["resistor_rating_w"] is None


def test_never_calls_it_safe_and_says_to_measure_again() -> None:
    text = run("discharge", "--capacitance", "100uF", "--voltage", "325V").output
    assert "measure again" in text
    assert "Picture tubes" in text
    assert "REACHED      more than 1 J from 100 V" in text
    assert "is safe" not in text


def test_refuses_with_help() -> None:
    assert "write it with its unit" in refused("discharge", "--capacitance", "47", "--voltage", "325V")
    assert "perhaps 10,000 µF or 10 µF" in refused("discharge", "--capacitance", "10mF", "--voltage", "325V")
    assert "above zero" in refused("discharge", "--capacitance", "10uF", "--voltage", "0V")
    assert "not a quantity in ohm" in refused(
        "discharge", "--capacitance", "10uF", "--voltage", "5V", "--resistor", "5V"
    )


def test_a_minus_sign_on_the_voltage_is_no_obstacle() -> None:
    minus = answered("discharge", "--capacitance", "100uF", "--voltage", "-48V")["result"]
    assert minus == answered("discharge", "--capacitance", "100uF", "--voltage", "48V")["result"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [("47uF", 47e-6), ("47 µF", 47e-6), ("47 mfd", 47e-6), ("4u7", 4.7e-6), ("100n", 1e-7), ("0,47uF", 0.47e-6),
     ("2200u", 2.2e-3), ("1F", 1.0), ("1µ5F", 1.5e-6)],
)  # fmt: skip
def test_reads_capacitances_as_the_trade_writes_them(text: str, expected: float) -> None:
    assert capacitance_f(text) == pytest.approx(expected)


@pytest.mark.parametrize(
    "text", ["47", "104", "10mF", "10M", "-4uF", "0uF", "0F", "big", "5V", "2x100uF", "0.1uF 275VAC"]
)
def test_refuses_what_is_no_certain_capacitance(text: str) -> None:
    with pytest.raises(NotAQuantity):
        capacitance_f(text)


def test_resistor_bodies_stand_power_and_voltage() -> None:
    small = smallest_body(0.4, 450.0)
    assert small is not None
    assert small.rating_w == 2, "1 W film stands 350 V"
    assert smallest_body(1e4) is None
    assert constant("resistor_margin") == 2
