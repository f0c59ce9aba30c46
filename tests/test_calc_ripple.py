"""`recap calc ripple` as a user meets it."""

import pytest

from recap.formulas.rectifier import rectified
from recap.formulas.rectifier_diode import emission_voltage
from tests.calc_command import answered, refused, run

FIELDS = [
    "dc_v", "ripple_vpp", "ripple_current_a", "peak_capacitor_current_a", "peak_diode_current_a",
    "ripple_frequency_hz", "conduction_angle_deg", "harmonics_a",
]  # fmt: skip


RUSH = ["inrush_peak_a", "inrush_i2t_a2s", "inrush_i2t_ratio", "hold_up_s"]


def words(line: str) -> list[str]:
    return line.split()


BRIDGE = words(
    "--supply bridge --mains 50Hz --secondary 9V --capacitance 4700uF --source-resistance "
    "0.3ohm --esr 40mohm --diode-drop 0.85V --diode-resistance 60mohm"
)
BUCK = words("--supply buck --switching 100kHz --duty 0.42 --output 5V --load 3A --capacitance 1000uF --esr 30mohm")
FLYBACK = words("--supply flyback --switching 100kHz --output 12V --load 2A --capacitance 470uF --esr 40mohm")


def test_the_command_says_what_the_formula_says() -> None:
    document = answered("ripple", *BRIDGE, "--load", "1A")
    assert list(document["result"]) == [*FIELDS, *RUSH, "lines", "sources", "cautions"]
    assert document["problems"] == []
    state = rectified(
        "bridge", 9.0, 50.0, 4700e-6, load_current_a=1.0, source_resistance_ohm=0.3, esr_ohm=0.04, diode_drop_v=0.85,
        diode_slope_ohm=0.06, largest_emission_v=emission_voltage(1.6, 300.0),
    )  # fmt: skip
    for name in FIELDS[:-1]:
        assert document["result"][name] == pytest.approx(float(getattr(state, name)))
    assert document["result"]["harmonics_a"] == pytest.approx(state.harmonics_a.tolist())
    assert document["result"]["ripple_frequency_hz"] == pytest.approx(100.0)


def test_three_ways_to_give_the_same_load() -> None:
    current = answered("ripple", *BRIDGE, "--load", "1A")["result"]
    ohm = answered("ripple", *BRIDGE, "--load-resistance", f"{current['dc_v']}ohm")["result"]
    watts = answered("ripple", *BRIDGE, "--load-power", f"{current['dc_v']}W")["result"]
    assert ohm["ripple_current_a"] == pytest.approx(current["ripple_current_a"], rel=0.02)
    assert watts["ripple_current_a"] == pytest.approx(current["ripple_current_a"], rel=0.02)
    assert ohm["ripple_vpp"] < current["ripple_vpp"] < watts["ripple_vpp"]


@pytest.mark.parametrize(
    ("supply", "mains", "hertz"),
    [("bridge", "60Hz", 120), ("centre-tap", "50Hz", 100), ("half-wave", "60Hz", 60), ("doubler", "50Hz", 50)],
)
def test_the_frequency_is_that_of_the_capacitors_current(supply: str, mains: str, hertz: float) -> None:
    result = answered(
        *f"ripple --supply {supply} --mains {mains} --secondary 12V --capacitance 4700uF --load 0.5A "
        "--source-resistance 0.4 --esr 0.04".split()
    )["result"]
    assert result["ripple_frequency_hz"] == pytest.approx(hertz)
    assert sum(each**2 for each in result["harmonics_a"]) <= result["ripple_current_a"] ** 2


def test_a_doubler_is_two_capacitors_of_the_given_value() -> None:
    text = run(
        *words(
            "ripple --supply doubler --mains 60Hz --secondary 115V --capacitance 470uF "
            "--load-power 150W --source-resistance 1 --esr 0.2"
        )
    ).output
    assert "2 × 470 µF in series" in text
    assert "capacitor (each)" in text
    assert "120 Hz" in text


def test_what_was_assumed_is_said() -> None:
    document = answered(*words("ripple --supply bridge --mains 50Hz --secondary 9V --capacitance 4700uF --load 1A"))
    assert [each["code"] for each in document["problems"]] == ["assumed-input"] * 4
    assert document["problems"][2]["message"].startswith("source resistance not given: 400 mΩ assumed")


def test_a_valve_rectifier_brings_its_drop() -> None:
    options = words("ripple --supply centre-tap --mains 50Hz --secondary 300V --capacitance 32uF --load 100mA --esr 2")
    options += ["--source-resistance", "250"]
    silicon, valve = answered(*options)["result"], answered(*options, "--rectifier", "gz34")["result"]
    assert 8 < silicon["dc_v"] - valve["dc_v"] < 25
    assert valve["ripple_current_a"] < silicon["ripple_current_a"]
    assert "no rectifier known here" in refused(*options, "--rectifier", "KT88")
    assert answered(*options, "--rectifier", "selenium")["result"]["dc_v"] < silicon["dc_v"]


def test_mains_and_stored_charge_are_warned_of() -> None:
    direct = run(
        *words(
            "ripple --supply bridge --mains 50Hz --secondary 230V --capacitance 220uF --load-power "
            "60W --source-resistance 2 --esr 0.3"
        )
    ).output
    assert "may be the mains itself" in direct
    assert "discharge through a resistor" in direct
    low = run("ripple", *BRIDGE, "--load", "1A").output
    assert "mains itself" not in low
    assert "discharge" not in low


def test_no_steady_state_is_told_with_its_reason() -> None:
    assert "empties 4,700 µF" in refused("ripple", *BRIDGE, "--load", "40A")
    assert "cannot deliver 300 W" in refused("ripple", *BRIDGE, "--load-power", "300W")


def test_buck() -> None:
    result = answered("ripple", *BUCK, "--inductor-ripple", "1A")["result"]
    assert result["dc_v"] == 5.0
    assert result["ripple_vpp"] == pytest.approx(0.03, rel=0.01)
    assert result["ripple_current_a"] == pytest.approx(1 / 12**0.5)
    assert result["peak_diode_current_a"] == pytest.approx(3.5)
    assert result["conduction_angle_deg"] is None
    assert len(result["harmonics_a"]) == 6


def test_a_half_bridge_ripples_at_twice_its_frequency() -> None:
    half = [each if each != "buck" else "half-bridge" for each in BUCK]
    result = answered("ripple", *half, "--inductor-ripple", "1A")["result"]
    assert result["ripple_frequency_hz"] == pytest.approx(200e3)
    beyond = [each if each != "0.42" else "0.6" for each in half]
    assert answered("ripple", *beyond, "--inductor-ripple", "1A")["problems"][0]["code"] == "duty-of-half-period"


def test_an_inductor_that_runs_dry_is_reported() -> None:
    assert answered("ripple", *BUCK, "--inductor-ripple", "7A")["problems"][0]["code"] == "inductor-runs-dry"


def test_a_flyback_is_completed_by_its_load() -> None:
    whole = answered("ripple", *FLYBACK, "--peak-current", "6A", "--valley-current", "2A", "--conduction", "0.5")
    assert whole["problems"] == []
    assert whole["result"]["ripple_current_a"] == pytest.approx((0.5 * (36 + 12 + 4) / 3 - 4) ** 0.5)
    for part in (["--valley-current", "2A"], ["--conduction", "0.5"], ["--duty", "50%"]):
        found = answered("ripple", *FLYBACK, "--peak-current", "6A", *part)["result"]
        assert [found[name] for name in FIELDS[:6]] == pytest.approx([whole["result"][name] for name in FIELDS[:6]])
        assert found["harmonics_a"] == pytest.approx(whole["result"]["harmonics_a"])
    discontinuous = answered("ripple", *FLYBACK, "--peak-current", "10A")["result"]  # conducts for 0.4 of the period
    assert discontinuous["ripple_current_a"] == pytest.approx((0.4 * 100 / 3 - 4) ** 0.5)


def test_a_flyback_waveform_that_contradicts_its_load_is_reported() -> None:
    document = answered("ripple", *FLYBACK, "--peak-current", "6A", "--valley-current", "2A", "--conduction", "0.9")
    assert document["problems"][0]["code"] == "waveform-contradicts-load"
    assert "cannot reach" in refused("ripple", *FLYBACK, "--peak-current", "1A")


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        ([*BRIDGE], "give the load once"),
        ([*BRIDGE, "--load", "1A", "--load-power", "9W"], "give the load once"),
        ([*BRIDGE, "--load", "1A", "--duty", "0.4"], "--duty does not belong to a bridge supply"),
        ([*BRIDGE, "--load", "1V"], "not a quantity in ampere"),
        ([*BRIDGE, "--load", "1A", "--esr", "-1"], "must not be negative"),
        (["--supply", "bridge", "--load", "1A"], "--mains is needed"),
        ([*BUCK], "--inductor-ripple"),
        ([*BUCK, "--inductor-ripple", "1A", "--mains", "50Hz"], "--mains does not belong to a buck supply"),
        ([*BUCK, "--inductor-ripple", "1A", "--peak-current", "6A"], "--peak-current does not belong"),
        ([*FLYBACK], "--peak-current 6A"),
        ([*FLYBACK, "--peak-current", "6A", "--conduction", "1.4"], "between 0 and 1"),
        ([*FLYBACK, "--peak-current", "6A", "--valley-current", "7A"], "between zero and the peak"),
        (["--supply", "flyback", "--peak-current", "6A"], "--switching, --output, --load, --capacitance, --esr"),
    ],
)
def test_wrong_usage_is_refused_with_what_to_do(arguments: list[str], message: str) -> None:
    assert message in refused("ripple", *arguments)


class TestSwitchingOnAndGaps:
    def test_ohms_law_at_the_crest(self) -> None:
        result = answered("ripple", *BRIDGE, "--load", "1A")["result"]
        # 9 V x 1.4142 - 2 x 0.85 V = 11.028 V into 0.3 + 2 x 0.06 + 0.04 = 0.46 ohm
        assert result["inrush_peak_a"] == pytest.approx(11.028 / 0.46, rel=1e-3)
        # C V^2 / (2 R)
        assert result["inrush_i2t_a2s"] == pytest.approx(4700e-6 * 11.028**2 / (2 * 0.46), rel=1e-3)
        assert result["inrush_i2t_ratio"] is None
        assert result["hold_up_s"] is None

    def test_against_the_original_value(self) -> None:
        document = answered("ripple", *BRIDGE, "--load", "1A", "--original-capacitance", "3300uF")
        assert document["result"]["inrush_i2t_ratio"] == pytest.approx(4700 / 3300)
        assert any("against the original 3,300 µF" in line for line in document["result"]["lines"])

    def test_the_energy_between_two_voltages(self) -> None:
        options = words(
            "--supply bridge --mains 50Hz --secondary 230V --capacitance 100uF --load-power 40W "
            "--source-resistance 5ohm --esr 0ohm --diode-drop 1V --diode-resistance 0ohm --holds-to 200V"
        )
        result = answered("ripple", *options)["result"]
        # 1/2 C (V1^2 - V2^2) / P from the trough of the ripple
        trough = result["dc_v"] - result["ripple_vpp"] / 2
        assert result["hold_up_s"] == pytest.approx(0.5 * 100e-6 * (trough**2 - 200**2) / 40, rel=0.02)

    def test_a_voltage_above_the_rail_holds_for_no_time(self) -> None:
        assert answered("ripple", *BRIDGE, "--load", "1A", "--holds-to", "30V")["result"]["hold_up_s"] == 0

    def test_a_switcher_has_neither(self) -> None:
        assert "does not belong" in refused("ripple", *BUCK, "--inductor-ripple", "1A", "--holds-to", "3V")
