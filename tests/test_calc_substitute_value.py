"""Today's values for an old one: preferred values against an independent library, windows, ratings."""

import eseries
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recap.calculators.substitute_value import ROLES, substitute_value
from recap.formulas.preferred import (
    balancing_resistor_ohm,
    best_sum_pair,
    in_parallel_f,
    in_series_f,
    nearest_preferred,
    next_down_preferred,
    next_rating,
    next_up_preferred,
)
from recap.formulas.voltage import peak_voltage_v, surge_voltage_v, unloaded_winding_peak_v, worst_rail_v
from recap.model import Role, SupplyKind
from recap.ruledata import table
from recap.rules.reference import common_ratings, role_window, significands
from tests.calc_command import answered, refused, run

LIBRARY = {"E3": eseries.E3, "E6": eseries.E6, "E12": eseries.E12, "E24": eseries.E24}
SERIES = st.sampled_from(sorted(LIBRARY))
# three figures, so that no value lies within rounding of a preferred one without being it
VALUES = st.builds(lambda figures, decade: float(f"{figures}e{decade}"), st.integers(100, 999), st.integers(-5, 4))


@settings(max_examples=150, deadline=None)
@given(VALUES, SERIES)
def test_next_up_and_down_agree_with_the_library(value: float, series: str) -> None:
    mine = significands(series)
    assert next_up_preferred(value, mine) == pytest.approx(
        eseries.find_greater_than_or_equal(LIBRARY[series], value), rel=1e-9
    )
    down = next_down_preferred(value, mine)
    assert down <= value * (1 + 1e-9)
    assert not [each for each in eseries.erange(LIBRARY[series], down, value) if each > down * 1.0001]


@settings(max_examples=100, deadline=None)
@given(VALUES, SERIES)
def test_nearest_is_no_farther_than_the_librarys(value: float, series: str) -> None:
    theirs = eseries.find_nearest(LIBRARY[series], value)
    assert abs(nearest_preferred(value, significands(series)) - value) <= abs(theirs - value) * (1 + 1e-9) + 1e-12


@settings(max_examples=60, deadline=None)
@given(SERIES, st.integers(0, 23), st.integers(-12, 6))
def test_a_preferred_value_stays_itself(series: str, index: int, decade: int) -> None:
    mine = significands(series)
    value = float(f"{mine[index % len(mine)]}e{decade}")
    for choose in (nearest_preferred, next_up_preferred, next_down_preferred):
        assert choose(value, mine) == value


@settings(max_examples=100)
@given(st.floats(0.1, 700))
def test_the_next_rating_is_the_smallest_that_suffices(volts: float) -> None:
    ladder = [float(row["rated_voltage_v"]) for row in table("rated_voltages")]
    found = next_rating(volts, ladder)
    sufficient = [each for each in ladder if each >= volts]
    assert found == (min(sufficient) if sufficient else None)


# Old values and their change to E12 nearest, E12 next up, E6 next up, worked by hand in per cent.
VINTAGE = [
    (2, -10, 10, 10),
    (4, -3, 18, 18),
    (5, -6, 12, 36),
    (12, 0, 0, 25),
    (16, -6, 12, 38),
    (20, -10, 10, 10),
    (30, -10, 10, 10),
    (32, 3, 3, 3),
    (40, -3, 18, 18),
    (50, -6, 12, 36),
    (60, -7, 13, 13),
    (80, 2, 2, 25),
    (100, 0, 0, 0),
    (160, -6, 12, 38),
    (200, -10, 10, 10),
    (400, -3, 18, 18),
    (500, -6, 12, 36),
    (1000, 0, 0, 0),
    (2000, -10, 10, 10),
    (2500, 8, 8, 32),
]


@pytest.mark.parametrize(("old", "nearest", "up_e12", "up_e6"), VINTAGE)
def test_vintage_values_change_as_worked_by_hand(old: float, nearest: float, up_e12: float, up_e6: float) -> None:
    e12, e6 = significands("E12"), significands("E6")
    found = (nearest_preferred(old, e12), next_up_preferred(old, e12), next_up_preferred(old, e6))
    assert [100 * (each / old - 1) for each in found] == pytest.approx([nearest, up_e12, up_e6], abs=0.8)
    offered = {option["capacitance_f"] for option in substitute_value(f"{old}uF").result["options"]}
    assert all(any(option == pytest.approx(each * 1e-6) for option in offered) for each in found)


@pytest.mark.parametrize(
    ("printed", "common"),
    [(3, 6.3), (12, 16), (15, 16), (20, 25), (40, 50), (64, 100), (70, 100), (85, 100), (125, 160), (150, 160),
     (175, 200), (275, 350), (300, 350), (325, 350), (375, 400), (450, 450), (475, 475), (525, 550), (600, 600)],
)  # fmt: skip
def test_an_old_rating_becomes_a_common_one_that_suffices(printed: float, common: float) -> None:
    options = substitute_value("10uF", f"{printed}V").result["options"]
    assert {each["rated_voltage_v"] for each in options if each["arrangement"] != "series"} == {common}


@settings(max_examples=60, deadline=None)
@given(st.floats(0.5, 30000), st.floats(3, 600), st.sampled_from(ROLES))
def test_every_option_lies_in_its_roles_window_and_never_below_the_rating(uf: float, v: float, role: str) -> None:
    window = role_window(Role(role))
    for option in substitute_value(f"{uf:.6f}uF", f"{v:.4f}V", role).result["options"]:
        assert -100 * window.down - 0.01 <= option["change_pct"] <= 100 * window.up + 0.01
        made = in_series_f if option["arrangement"] == "series" else in_parallel_f
        assert option["capacitance_f"] == pytest.approx(made(*option["parts_f"]))
        if option["rated_voltage_v"] is not None:
            stacked = 2 if option["arrangement"] == "series" else 1
            assert option["rated_voltage_v"] * stacked >= v * 0.9999


def test_reservoirs_prefer_next_up_and_timing_the_nearest() -> None:
    def first(role: str) -> float:
        return answered("substitute-value", "--capacitance", "50uF", "--role", role)["result"]["options"][0][
            "capacitance_f"
        ]

    assert first("reservoir") == pytest.approx(56e-6)
    assert first("timing") == pytest.approx(47e-6)


def test_two_in_parallel_hit_what_one_misses() -> None:
    options = answered("substitute-value", "--capacitance", "32uF", "--voltage", "350V")["result"]["options"]
    exact = next(each for each in options if each["parts_f"] == [22e-6, 10e-6])
    assert exact["change_pct"] == pytest.approx(0)
    assert exact["arrangement"] == "parallel"


def test_above_the_common_ratings_two_in_series_share_the_voltage() -> None:
    options = answered("substitute-value", "--capacitance", "50uF", "--voltage", "600V")["result"]["options"]
    pair = next(each for each in options if each["arrangement"] == "series")
    assert pair["parts_f"] == [100e-6, 100e-6]
    assert pair["rated_voltage_v"] == 350
    assert pair["balancing_resistor_ohm"] == pytest.approx(286e3, rel=0.01)  # (2·350 − 600)/350 µA by hand


def test_mains_safety_gets_no_electrolytic() -> None:
    document = answered("substitute-value", "--capacitance", "0.1uF", "--voltage", "275V", "--role", "mains safety")
    assert "mains-safety" in [each["code"] for each in document["problems"]]
    assert [each["capacitance_f"] for each in document["result"]["options"]] == [1e-7]
    assert document["result"]["options"][0]["rated_voltage_v"] is None
    odd = answered("substitute-value", "--capacitance", "0.11uF", "--role", "mains safety")
    assert odd["result"]["options"] == []
    assert "no-substitute" in [each["code"] for each in odd["problems"]]


def test_renamed_and_missing_ratings_are_explained() -> None:
    assert "64 V is sold as 63 V today" in run("substitute-value", "--capacitance", "10uF", "--voltage", "64V").output
    problems = answered("substitute-value", "--capacitance", "10uF", "--voltage", "700V")["problems"]
    assert [each["code"] for each in problems] == ["no-such-rating"]


def test_series_names_the_most_common_one() -> None:
    options = answered("substitute-value", "--capacitance", "50uF")["result"]["options"]
    named = {each["parts_f"][0]: each["series"] for each in options if each["arrangement"] == "single"}
    assert named == {47e-6: "E3", 100e-6: "E3", 68e-6: "E6", 56e-6: "E12"}


def test_substitute_value_refuses() -> None:
    assert "write it with its unit" in refused("substitute-value", "--capacitance", "50")
    assert "is not one of" in refused("substitute-value", "--capacitance", "50uF", "--role", "hat")


@settings(max_examples=40)
@given(st.floats(1, 1000))
def test_the_best_pair_is_the_best_of_all_pairs(value: float) -> None:
    e6 = significands("E6")
    larger, smaller = best_sum_pair(value, e6, 0.1)
    values = [each for each in eseries.erange(eseries.E6, value / 100, value * 10) if each >= value * 0.1]
    best = min(abs(a + b - value) for a in values for b in values)
    assert larger >= smaller >= value * 0.1 * 0.999
    assert abs(larger + smaller - value) == pytest.approx(best, abs=1e-6 * value)


def test_balancing_needs_parts_that_stand_the_bus() -> None:
    with pytest.raises(ValueError, match="do not exceed 700 V"):
        balancing_resistor_ohm(350.0, 700.0, 1e-3)


def test_voltages_a_capacitor_may_meet() -> None:
    assert peak_voltage_v(-300.0, 20.0) == 310
    assert unloaded_winding_peak_v(10.0, 0.1, 0.1, 2) == pytest.approx(2 * 1.41421 * 12.1, rel=1e-5)
    assert worst_rail_v(-12.0, tolerance=0.05) == pytest.approx(12.6)
    for row in table("surge_ratios"):
        assert surge_voltage_v(100.0, float(row["ratio"])) > 100


def test_every_supply_kind_and_role_has_a_row() -> None:
    assert {row["supply"] for row in table("supply_voltages")} == {str(kind) for kind in SupplyKind}
    assert {row["role"] for row in table("role_windows")} == set(ROLES)
    assert max(common_ratings()) == 450
