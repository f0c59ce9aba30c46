"""Circuit simulations of rectifiers for comparison: writes netlists, runs ngspice, keeps what the last period shows.

Run `python -m tests.rectifier_netlists` where ngspice is installed to renew tests/simulated/rectifiers.json; the
test suite only reads that file. The diodes are the simulator's own exponential junctions with a series
resistance; drop and slope at the load current, which is all that the project's solver is told, follow from their
three model parameters.
"""

from __future__ import annotations

import json
import math
import random
import subprocess
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np

RESULTS = Path(__file__).parent / "simulated" / "rectifiers.json"
THERMAL_VOLTAGE_V = 0.0258649  # of the simulator at its 27 °C
# Invented parameters in the range of real diodes: saturation current, emission coefficient, series resistance.
DIODES = {
    "soft 1 A silicon": (14e-9, 1.98, 34e-3),
    "1 A silicon": (7e-9, 1.8, 42e-3),
    "3 A silicon": (40e-9, 1.75, 12e-3),
    "bridge 6 A silicon": (5e-9, 1.6, 8e-3),
    "hard silicon": (1e-13, 1.1, 20e-3),
    "Schottky 3 A": (2e-6, 1.05, 25e-3),
    "junction only": (1e-14, 1.0, 0.0),
    "resistive high voltage": (1e-8, 2.0, 60.0),
}
# (name, V rms, load current range A, diodes)
SUPPLIES = (
    ("5 V logic", (7.0, 9.0), (0.3, 5.0), ("soft 1 A silicon", "3 A silicon", "bridge 6 A silicon", "Schottky 3 A")),
    ("12 V", (10.0, 15.0), (0.1, 3.0), ("1 A silicon", "3 A silicon", "hard silicon", "junction only")),
    ("15 V and more", (15.0, 40.0), (0.05, 4.0), ("soft 1 A silicon", "1 A silicon", "bridge 6 A silicon")),
    ("valve", (180.0, 350.0), (0.03, 0.3), ("soft 1 A silicon", "resistive high voltage")),
    ("off-line", (115.0, 240.0), (0.1, 2.0), ("1 A silicon", "3 A silicon", "bridge 6 A silicon")),
)
TOPOLOGIES = ("bridge", "centre-tap", "half-wave", "doubler")
STEPS_PER_PERIOD = 4000


def cases(count_of_each: int = 4, seed: int = 20) -> list[dict[str, Any]]:
    """Return made-up supplies of every kind and shape; the seed makes them the same each time."""
    pick = random.Random(seed)
    found = []
    for name, volts, amps, diodes in SUPPLIES:
        for topology in TOPOLOGIES:
            for number in range(count_of_each):
                frequency = pick.choice((50.0, 60.0))
                rms = pick.uniform(*volts)
                current = math.exp(pick.uniform(*(math.log(each) for each in amps)))
                full = 1 if topology == "half-wave" else 2
                ripple = pick.uniform(0.03, 0.25) * rms  # by the rule I/(nfC)
                capacitance = current / (full * frequency * ripple)
                regulation = pick.uniform(0.02, 0.12) if name != "off-line" else pick.uniform(0.005, 0.03)
                if topology == "doubler":
                    capacitance *= 2
                found.append(
                    {
                        "name": f"{name}, {topology} {number + 1}",
                        "topology": topology,
                        "mains_frequency_hz": frequency,
                        "source_rms_v": round(rms, 2),
                        "source_resistance_ohm": float(f"{regulation * rms / (1.8 * current):.3g}"),
                        "capacitance_f": float(f"{capacitance:.3g}"),
                        "esr_ohm": float(f"{pick.uniform(0.03, 0.25) / (2 * math.pi * 100 * capacitance):.3g}"),
                        "load": ("current", "resistance", "current", "power")[number % 4],
                        "load_current_a": float(f"{current:.4g}"),
                        "diode": pick.choice(diodes),
                    }
                )
    return found


def netlist(case: dict[str, Any], output: Path, load_value: float, start_v: float, periods: int) -> str:
    """Return a netlist that writes time, output voltage, capacitor, diode and load current of the last two periods."""
    saturation, emission, series = DIODES[case["diode"]]
    f, peak = case["mains_frequency_hz"], case["source_rms_v"] * math.sqrt(2)
    rs, c, esr = case["source_resistance_ohm"], case["capacitance_f"], max(case["esr_ohm"], 1e-6)
    shape = {
        "bridge": f"V1 a b SIN(0 {peak} {f})\nRs a a1 {rs}\nVd a1 d1 0\nD1 d1 out d\nD2 b out d\nD3 0 a1 d\nD4 0 b d\n",
        "centre-tap": f"V1 a 0 SIN(0 {peak} {f})\nV2 0 b SIN(0 {peak} {f})\n"
        f"R1 a a1 {rs}\nR2 b b1 {rs}\nVd a1 d1 0\nD1 d1 out d\nD2 b1 out d\n",
        "half-wave": f"V1 a 0 SIN(0 {peak} {f})\nRs a a1 {rs}\nVd a1 d1 0\nD1 d1 out d\n",
        "doubler": f"V1 a m SIN(0 {peak} {f})\nRs a a1 {rs}\nVd a1 d1 0\nD1 d1 out d\nD2 0 a1 d\n",
    }[case["topology"]]
    reservoir = f"Vc out c1 0\nResr c1 c2 {esr}\nC1 c2 0 {c} ic={start_v}\n"
    if case["topology"] == "doubler":
        reservoir = (
            f"Vc out c1 0\nResr c1 c2 {esr}\nC1 c2 m {c} ic={start_v / 2}\n"
            f"Resr2 m c4 {esr}\nC2 c4 0 {c} ic={start_v / 2}\n"
        )
    load = {
        "current": f"Iload lo 0 {load_value}",
        "resistance": f"Rload lo 0 {load_value}",
        "power": f"Bload lo 0 I={load_value}/max(v(lo),{peak / 20})",
    }[case["load"]]
    floating = "m" if case["topology"] == "doubler" else "b"
    period = 1 / f
    step = period / STEPS_PER_PERIOD
    return (
        f"* {case['name']}\n{shape}{reservoir}Vl out lo 0\nRfloating {floating} 0 1e7\n{load}\n"
        f".model d D(IS={saturation} N={emission} RS={series} CJO=50p)\n"
        f".options reltol=1e-5 method=gear\n.tran {step} {periods * period} {(periods - 2) * period} {step} uic\n"
        f".control\nrun\nset wr_singlescale\nset numdgt=10\n"
        f"wrdata {output} v(out) i(vc) i(vd) i(vl)\nquit\n.endc\n.end\n"
    )


def simulate(case: dict[str, Any]) -> dict[str, Any]:
    """Run one case and return it with what was measured."""
    stack = 2 if case["topology"] == "doubler" else 1
    guess_v = stack * 1.15 * case["source_rms_v"]
    load_value = {
        "current": case["load_current_a"],
        "resistance": float(f"{guess_v / case['load_current_a']:.4g}"),
        "power": float(f"{guess_v * case['load_current_a']:.4g}"),
    }[case["load"]]
    with tempfile.TemporaryDirectory() as folder:
        start_v = guess_v
        for periods in (60, 200, 600):
            output = Path(folder) / "out.txt"
            circuit = Path(folder) / "case.cir"
            circuit.write_text(netlist(case, output, load_value, start_v, periods))
            subprocess.run(["ngspice", "-b", str(circuit)], check=True, capture_output=True)
            columns = np.loadtxt(output)
            measured, drift = measure(columns, case["mains_frequency_hz"])
            if drift < 2e-4:
                break
            start_v = columns[-1, 1]
    mean_load_a = measured["load_current_a"]
    saturation, emission, series = DIODES[case["diode"]]
    thermal = emission * THERMAL_VOLTAGE_V
    return {
        **case,
        "load_value": load_value,
        "diode_drop_v": round(thermal * math.log1p(mean_load_a / saturation) + series * mean_load_a, 5),
        "diode_slope_ohm": float(f"{thermal / mean_load_a + series:.5g}"),
        "drift": float(f"{drift:.2g}"),
        "measured": {name: float(f"{value:.6g}") for name, value in measured.items()},
    }


def measure(columns: np.ndarray, frequency: float) -> tuple[dict[str, float], float]:
    """Return the figures of the last period and how far the period before differed in rms capacitor current."""
    end, period = columns[-1, 0], 1 / frequency

    def over(first: float, last: float) -> dict[str, float]:
        time = np.linspace(first, last, 8 * STEPS_PER_PERIOD + 1)
        v, ic, diode, load = (np.interp(time, columns[:, 0], columns[:, k]) for k in (1, 2, 3, 4))

        def mean(values: np.ndarray) -> float:
            return float(np.trapezoid(values, time) / period)

        def harmonic(order: int) -> float:
            turns = np.exp(-2j * np.pi * order * frequency * time)
            return float(math.sqrt(2) * abs(np.trapezoid(ic * turns, time)) / period)

        alternating = ic - mean(ic)
        return {
            "dc_v": mean(v),
            "ripple_vpp": float(np.ptp(v)),
            "ripple_current_a": math.sqrt(mean(alternating**2)),
            "peak_capacitor_current_a": float(np.abs(alternating).max()),
            "peak_diode_current_a": float(diode.max()),
            "load_current_a": mean(load),
            **{f"harmonic_{n}_a": harmonic(n) for n in range(1, 13)},
        }

    last, before = over(end - period, end), over(end - 2 * period, end - period)
    return last, abs(before["dc_v"] / last["dc_v"] - 1) + abs(before["ripple_current_a"] / last["ripple_current_a"] - 1)


def version() -> str:
    """Return the simulator's name and version."""
    text = subprocess.run(["ngspice", "--version"], check=True, capture_output=True, text=True).stdout
    return next(word for word in text.split() if word.startswith("ngspice-"))


def main() -> None:
    """Simulate every case and keep the results."""
    with ThreadPoolExecutor(2) as pool:
        results = list(pool.map(simulate, cases()))
    RESULTS.parent.mkdir(exist_ok=True)
    head = {"simulated_with": version(), "netlists": "tests/rectifier_netlists.py", "diodes": DIODES}
    lines = ",\n".join(json.dumps(each) for each in results)
    RESULTS.write_text(json.dumps(head)[:-1] + f', "cases": [\n{lines}\n]}}\n', encoding="utf-8")


if __name__ == "__main__":
    main()
