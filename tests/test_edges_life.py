"""Life: each form at its edges, the lines of invented models, duty; worked on paper."""

import math
from typing import Any

import numpy as np
import pytest

from recap.formulas import life, life_ripple, life_voltage
from recap.formulas.life_duty import estimate_life_on_duty
from recap.formulas.life_estimate import LifeConditions, LifePart, LifeRange, estimate_life
from recap.formulas.life_lines import LifeModels, life_models


def test_rules_at_their_own_temperature_and_one_step_off() -> None:
    """So many degrees cooler multiply by the factor, so many warmer divide by it; arrays go through."""
    air = np.array([105.0, 95.0, 115.0])
    assert life.ten_degree_rule(1000.0, 105.0, air) == pytest.approx([1000.0, 2000.0, 500.0])
    assert life.factor_rule(1000.0, 105.0, air, 3.0, 5.0) == pytest.approx([1000.0, 9000.0, 1000.0 / 9])
    assert life.twenty_degree_rule(1000.0, 105.0, air[:2] - 10) == pytest.approx([10**3.5, 10**4.0])
    assert life.manganese_dioxide_life(1000.0, 125.0, np.array([75.0, 25.0])) == pytest.approx([1e4, 1e5])
    assert life.case_temperature_life(1000.0, 105.0, np.array([115.0, 105.0])) == pytest.approx([1000.0, 2000.0])
    assert life.hot_spot_life(1000.0, 85.0, 5.0, np.array([90.0, 80.0])) == pytest.approx([1000.0, 2000.0])


def test_the_knee_joins_two_rules_without_a_jump() -> None:
    """105 °C class, 10 K above 85 °C and 20 K below: two doublings to 85 °C, then one to 65 °C."""
    found = life.kneed_rule(1000.0, 105.0, np.array([115.0, 105.0, 95.0, 85.0, 65.0]), 2.0, 10.0, 85.0, 20.0)
    assert found == pytest.approx([500.0, 1000.0, 2000.0, 4000.0, 8000.0])
    assert life.kneed_rule(1000.0, 100.0, 77.5, 2.0, 10.0, 85.0, 15.0) == pytest.approx(4000.0)
    # a part rated below the knee knows the slower rule alone
    assert life.kneed_rule(1000.0, 70.0, 50.0, 2.0, 10.0, 85.0, 20.0) == pytest.approx(2000.0)
    assert isinstance(life.kneed_rule(1000.0, 70.0, 50.0, 2.0, 10.0, 85.0, 20.0), float)


def test_arrhenius_and_its_inverse_by_boltzmanns_constant() -> None:
    """k is 1.380649e-23 J/K over 1.602176634e-19 C; 27 and 127 °C are 300.15 and 400.15 K."""
    slope = 0.7 / (1.380649e-23 / 1.602176634e-19)
    assert life.arrhenius(2.0, 126.85, 26.85, 0.7) == pytest.approx(2.0 * math.exp(slope * (1 / 300 - 1 / 400)))
    assert life.arrhenius(2.0, np.array([85.0]), 85.0, 0.7) == pytest.approx([2.0])
    for factor in (2.0, 5.0):
        energy = life.equivalent_energy_ev(factor, 105.0, 85.0)
        assert life.arrhenius(1.0, 105.0, 85.0, energy) == pytest.approx(factor)


def test_a_mix_is_the_harmonic_mean_weighted_by_hours() -> None:
    assert life.mixed_duty_life([1.0, 3.0], [100.0, 300.0]) == pytest.approx(4 / (1 / 100 + 3 / 300))
    assert life.mixed_duty_life([1, 1], [np.array([10.0, 20.0]), 20.0]) == pytest.approx([40 / 3, 20.0])
    with pytest.raises(ValueError, match="positive number"):
        life.mixed_duty_life([], [])
    with pytest.raises(ValueError, match="positive number"):
        life.mixed_duty_life([1.0, -1.0], [1.0, 1.0])
    with pytest.raises(ValueError, match=r"argument 2 is (shorter|longer)"):
        life.mixed_duty_life([1.0], [1.0, 2.0])


def test_one_ambient_ages_a_part_as_the_mix_does() -> None:
    assert life.equivalent_ambient_c([5.0, 1.0], [40.0, 40.0], 2.0, 10.0) == pytest.approx(40.0)
    mixed = life.mixed_duty_life([2.0, 1.0], [life.ten_degree_rule(1000.0, 105.0, each) for each in (40.0, 70.0)])
    same = life.equivalent_ambient_c([2.0, 1.0], [40.0, 70.0], 2.0, 10.0)
    assert life.ten_degree_rule(1000.0, 105.0, same) == pytest.approx(mixed)


def test_years_end_at_the_calendar_limit_and_rest_alone_never_wears() -> None:
    assert life.years_in_use(87600.0, 8760.0) == 10.0
    assert life.years_in_use(8760.0, 876.0, np.array([5.0, 15.0])) == pytest.approx([5.0, 10.0])
    assert life.years_in_use(1000.0, 0.0, 15.0) == 15.0
    assert math.isinf(life.years_in_use(1000.0, 0.0))
    assert life.HOURS_PER_YEAR == 24 * 365


def test_ripple_forms_at_rated_at_none_and_beyond() -> None:
    """R2, 5 K rated, divisor 10: none gives √2, 15 K the other base to the −1; direct voltage only starts at nought."""
    rises = np.array([0.0, 5.0, 15.0])
    assert life_ripple.ripple_factor(rises, 5.0, 2.0, 4.0, 10.0) == pytest.approx([2**0.5, 1.0, 0.25])
    assert life_ripple.ripple_factor(rises, 5.0, 2.0, 4.0, 10.0, 0.0) == pytest.approx([1.0, 2**-0.5, 2**-0.5 / 4])
    # R4 at 8 K rated: 8/(10 − 2) = 1; at 4 K 4/9; held from 4 K on 8 K is 8/9
    assert life_ripple.ripple_factor_by_rise(8.0, 4.0, 20.0) == pytest.approx(2 ** (4 / 9 - 1))
    assert life_ripple.ripple_factor_by_rise(4.0, 8.0, 20.0) == pytest.approx(2 ** (1 - 4 / 9))
    assert life_ripple.ripple_factor_by_rise(np.array([8.0]), 8.0, 4.0) == pytest.approx([1.0])
    assert life_ripple.ripple_factor_by_rise(8.0, 4.0, 4.0) == pytest.approx(2 ** (4 / 9 - 8 / 9))
    with pytest.raises(ValueError, match="singular"):
        life_ripple.ripple_factor_by_rise(8.0, 4.0, 41.0)


def test_heat_of_ripple_by_ohms_law() -> None:
    assert life_ripple.core_rise(5.0, np.array([0.0, 0.5, 3.0])) == pytest.approx([0.0, 1.25, 45.0])
    assert life_ripple.core_rise_from_loss([3.0, 1.0], [0.1, 0.2], 10.0) == pytest.approx((0.9 + 0.2) * 10)
    assert life_ripple.core_rise_from_loss([], [], 10.0) == 0.0
    with pytest.raises(ValueError, match="argument 2"):
        life_ripple.core_rise_from_loss([1.0, 2.0], [0.1], 10.0)
    assert life_ripple.ambient_from_case(np.array([60.0]), 12.0, 1.5) == pytest.approx([52.0])


def test_a_can_takes_the_ratio_of_the_widest_row_that_is_no_wider() -> None:
    rows = ([0.0, 10.0, 16.0], [1.0, 1.1, 1.2])
    found = [life_ripple.core_to_case_ratio(each, *rows) for each in (5.0, 9.99, 10.0, 15.0, 16.0, 40.0)]
    assert found == [1.0, 1.0, 1.1, 1.1, 1.2, 1.2]


def test_components_of_ripple_add_as_squares() -> None:
    assert life_ripple.equivalent_ripple([2.0, 3.0, 6.0], [1.0, 1.0, 1.0]) == pytest.approx(7.0)
    assert life_ripple.equivalent_ripple([np.array([2.0, 0.0]), 3.0], [0.5, 1.0]) == pytest.approx([5.0, 3.0])
    assert life_ripple.equivalent_ripple([], []) == 0.0
    with pytest.raises(ValueError, match="argument 2"):
        life_ripple.equivalent_ripple([1.0], [1.0, 1.0])
    table = ([100.0, 10000.0], [1.0, 1.4])
    found = life_ripple.frequency_multiplier(np.array([10.0, 100.0, 1000.0, 10000.0, 1e6]), *table)
    assert found == pytest.approx([1.0, 1.0, 1.2, 1.4, 1.4])


def test_voltage_gains_nothing_below_the_floor_nor_above_the_rating() -> None:
    found = life_voltage.voltage_factor(np.array([0.25, 0.5, 0.75, 1.0, 1.5]), 2.0, 0.5)
    assert found == pytest.approx([4.0, 4.0, 16 / 9, 1.0, 1.0])
    assert life_voltage.linear_voltage_factor(np.array([1.0, 0.0])) == pytest.approx([1.0, 4.3])


ROW = {
    "id": "T0", "ripple_id": "R0", "voltage_id": "V0", "title": "a line", "families": "wet", "styles": "", "bases": "",
    "rated_from_c": "", "rated_to_c": "", "nominal": "yes", "form": "rule", "factor": "2", "degrees": "10",
    "knee_c": "", "degrees_below_knee": "", "energy_ev": "", "rated_rise_k": "5", "ripple_form": "", "ripple_base": "",
    "ripple_base_over": "", "ripple_divisor": "", "unused_ripple": "credited", "ripple_if_unknown": "",
    "voltage_exponent": "", "source": "s", "ripple_source": "r", "voltage_source": "s",
}  # fmt: skip
BOUNDS = {
    "ceiling_h": 2.0**17, "floor_ambient_c": 40.0, "voltage_ratio_floor": 0.5, "divisor_hold_k": 20.0,
    "core_rise_rated_k": 5.0, "calendar_limit_years": 15.0,
}  # fmt: skip


def invented(*changes: dict[str, str]) -> LifeModels:
    """Models of invented lines, each the plain ten-degree rule but for what is changed."""
    limits = [{"name": name, "value": str(value)} for name, value in BOUNDS.items()]
    return life_models([ROW | {"id": f"T{n}"} | change for n, change in enumerate(changes)], limits)


def hours(part: LifePart, conditions: LifeConditions, models: LifeModels) -> LifeRange:
    return estimate_life(part, conditions, models).uncapped_h


def test_a_row_becomes_a_line() -> None:
    models = invented({}, {"nominal": "", "styles": "axial screw", "rated_to_c": "85", "voltage_exponent": "2"})
    plain, bound = models.lines
    assert (plain.families, plain.styles, plain.bases) == ({"wet"}, set(), set())
    assert (plain.rated_from_c, plain.rated_to_c, plain.voltage_exponent) == (None, None, None)
    assert (plain.nominal, plain.ripple_form, plain.energy_ev) == (True, "none", 0.0)
    assert (plain.credits_unused_ripple, plain.assumes_rated_ripple) == (True, False)
    assert plain.sources == ("s", "r")
    assert (bound.nominal, bound.styles, bound.rated_to_c, bound.voltage_exponent) == (False, {"axial", "screw"}, 85, 2)
    assert (models.ceiling_h, models.calendar_limit_years) == (2.0**17, 15.0)


@pytest.mark.parametrize("change", [{"form": "guess"}, {"ripple_form": "guess"}])
def test_an_unknown_form_is_refused(change: dict[str, str]) -> None:
    with pytest.raises(ValueError, match="unknown form"):
        invented(change)


def test_a_line_applies_from_and_to_its_ratings_inclusive() -> None:
    models = invented({"degrees": "5"}, {"nominal": "", "rated_from_c": "85", "rated_to_c": "105"})
    part = LifePart(1000.0, np.array([84.9, 85.0, 105.0, 105.1]))
    found = hours(part, LifeConditions(part.rated_temperature_c - 10.0), models)
    assert found.nominal == pytest.approx([4000.0] * 4)
    assert found.low == pytest.approx([4000.0, 2000.0, 2000.0, 4000.0])
    for rated, low in zip((84.9, 85.0, 105.0, 105.1), found.low, strict=True):
        assert hours(LifePart(1000.0, rated), LifeConditions(rated - 10.0), models).low == pytest.approx(low)


def test_a_line_is_bound_to_its_styles_families_and_bases() -> None:
    models = invented(
        {"families": "wet hybrid"},
        {"nominal": "", "degrees": "5", "styles": "screw"},
        {"nominal": "", "degrees": "20", "bases": "dc-only"},
    )
    conditions = LifeConditions(85.0)

    def ends(**given: Any) -> tuple[float, float]:
        found = hours(LifePart(1000.0, 105.0, **given), conditions, models)
        return float(found.low), float(found.high)

    assert ends() == (4000.0, 4000.0)
    assert ends(style="screw") == (4000.0, 16000.0)
    assert ends(endurance_basis="dc-only") == (2000.0, 4000.0)
    assert ends(style="screw", endurance_basis="dc-only") == (2000.0, 16000.0)
    assert ends(family="hybrid", style="screw") == (4000.0, 4000.0)
    for family in ("polymer", np.array(["wet", "polymer"])):
        with pytest.raises(ValueError, match="no life model"):
            hours(LifePart(1000.0, np.array([105.0, 105.0]), family=family), conditions, models)


def test_a_family_with_lines_but_no_nominal_one_is_refused() -> None:
    with pytest.raises(ValueError, match="no life model"):
        hours(LifePart(1000.0, 105.0), LifeConditions(85.0), invented({"nominal": ""}))


def test_an_unknown_ripple_counts_as_rated_or_as_none() -> None:
    """Base 2, rise 5 K, divisor 5 K: none doubles, rated leaves as is, twice rated costs three halvings."""
    base = {"ripple_form": "base", "ripple_base": "2", "ripple_base_over": "2", "ripple_divisor": "5"}
    models = invented(base | {"ripple_if_unknown": "rated"}, base | {"nominal": ""})
    part = LifePart(1000.0, 85.0, 1.0)
    unknown = hours(part, LifeConditions(85.0), models)
    assert (unknown.low, unknown.nominal, unknown.high) == (1000.0, 1000.0, 2000.0)
    found = hours(part, LifeConditions(85.0, np.array([0.0, 1.0, 2.0])), models)
    assert found.low == pytest.approx([2000.0, 1000.0, 125.0])
    uncredited = invented(base | {"unused_ripple": ""})
    found = hours(part, LifeConditions(85.0, np.array([0.0, 0.5, 1.0, 2.0])), uncredited)
    assert found.nominal == pytest.approx([1000.0, 1000.0, 1000.0, 125.0])
    # with direct voltage only, nought is the reference and rated ripple one halving
    dc = LifePart(1000.0, 85.0, 1.0, endurance_basis="dc-only")
    assert hours(dc, LifeConditions(85.0, np.array([0.0, 1.0])), models).nominal == pytest.approx([1000.0, 500.0])
    assert hours(dc, LifeConditions(85.0), models).low == 1000.0


def test_each_form_of_a_line_is_that_formula() -> None:
    part = LifePart(1000.0, 105.0, 2.0, 100.0)
    conditions = LifeConditions(75.0, 3.0, 70.0)
    square = (3.0 / 2.0) ** 2
    kneed = {"form": "kneed", "knee_c": "85", "degrees_below_knee": "15"}
    assert hours(part, conditions, invented(kneed)).nominal == pytest.approx(
        life.kneed_rule(1000.0, 105.0, 75.0, 2.0, 10.0, 85.0, 15.0)
    )
    hot = invented({"form": "hot-spot", "energy_ev": "0.7"})
    assert hours(part, conditions, hot).nominal == pytest.approx(
        life.arrhenius(1000.0, 110.0, 75.0 + 5.0 * square, 0.7)
    )
    rise = invented({"ripple_form": "rise"})
    assert hours(part, conditions, rise).nominal == pytest.approx(
        8000.0 * life_ripple.ripple_factor_by_rise(5.0 * square, 5.0, 20.0)
    )
    voltage = invented({"voltage_exponent": "3"})
    assert hours(part, conditions, voltage).nominal == pytest.approx(8000.0 / 0.7**3)
    assert hours(part, LifeConditions(75.0, 3.0), voltage).nominal == pytest.approx(8000.0)


def test_clamps_and_ranges_act_only_beyond_their_edge() -> None:
    models = invented({"ripple_form": "rise", "voltage_exponent": "2"})
    part = LifePart(1000.0, 105.0, 1.0, 100.0)
    air, ripple = np.array([39.0, 40.0, 105.0, 106.0]), np.array([1.0, 1.1, 2.0, 2.1])
    voltage = np.array([49.0, 50.0, 100.0, 101.0])
    found = estimate_life(part, LifeConditions(air, ripple, voltage), models)
    assert found.clamps["floor-ambient"].tolist() == [True, False, False, False]
    assert found.clamps["voltage-floor"].tolist() == [True, False, False, False]
    assert found.clamps["divisor-hold"].tolist() == [False, False, False, True]
    assert found.outside["above-rated-temperature"].tolist() == [False, False, False, True]
    assert found.outside["above-rated-ripple"].tolist() == [False, True, True, True]
    assert found.outside["above-rated-voltage"].tolist() == [False, False, False, True]
    assert found.core_temperature_c == pytest.approx([44.0, 40 + 5 * 1.21, 125.0, 106 + 5 * 4.41])
    plain = estimate_life(part, LifeConditions(air, ripple, voltage), invented({}))
    assert not plain.clamps["voltage-floor"].any()
    assert not plain.clamps["divisor-hold"].any()


def test_a_duty_at_the_ceiling_itself_is_not_cut_and_arrays_stay_apart() -> None:
    full = 2.0**17  # of which the life fractions add up without rounding
    part = LifePart(np.array([full, full + 1, full / 2]), 105.0, 1.0)
    ripples = ((1.0, [2.0, 0.0, 0.0]), (3.0, [0.0, 4.0, 0.0]))
    duty = [(stage_hours, LifeConditions(105.0, np.array(ripple))) for stage_hours, ripple in ripples]
    found = estimate_life_on_duty(part, duty, invented({}))
    assert found.clamps["ceiling"].tolist() == [False, True, False]
    assert found.estimated_life_h.high == pytest.approx([full, full, full / 2])
    assert found.outside["above-rated-ripple"].tolist() == [True, True, False]
    assert found.core_temperature_c == pytest.approx([105 + 5 * 4 / 4, 105 + 5 * 16 * 3 / 4, 105.0])
    held = estimate_life_on_duty(part, duty, invented({"ripple_form": "rise"}))
    assert held.clamps["divisor-hold"].tolist() == [False, True, False]
