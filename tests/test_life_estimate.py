"""The life function: nominal figures, arrays, clamps, duty, and what must always hold."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from recap.calculators.life import models
from recap.formulas import life, life_ripple
from recap.formulas.life_duty import estimate_life_on_duty
from recap.formulas.life_estimate import (
    LifeConditions,
    LifePart,
    LifeRange,
    estimate_life,
)
from recap.formulas.life_lines import life_models
from recap.ruledata import table

STYLES = st.sampled_from(["radial", "axial", "smd", "snap-in", "screw"])
BASES = st.sampled_from(["endurance", "useful-life", "dc-only"])
FAMILIES = st.sampled_from(["wet", "polymer", "hybrid", "manganese-dioxide"])
AIR_C = st.floats(0.0, 120.0)
RIPPLE = st.floats(0.0, 8.0)
RATED_C = st.sampled_from([70.0, 85.0, 95.0, 105.0, 125.0])


def parts() -> st.SearchStrategy[LifePart]:
    fixed = {"endurance_h": st.floats(500.0, 20000.0), "rated_temperature_c": RATED_C}
    rated = {"rated_ripple_current_a": st.just(1.0), "rated_voltage_v": st.just(100.0)}
    return st.builds(LifePart, **fixed, **rated, family=FAMILIES, style=STYLES, endurance_basis=BASES)


def no_longer(worse: LifeRange, better: LifeRange) -> bool:
    return all(
        bool(np.all(getattr(worse, end) <= getattr(better, end) * (1 + 1e-12))) for end in ("low", "nominal", "high")
    )


@settings(max_examples=80, deadline=None)
@given(parts(), AIR_C, AIR_C, RIPPLE, RIPPLE, st.floats(1.0, 120.0), st.floats(1.0, 120.0))
def test_more_stress_never_lengthens_life(part, air, other_air, ripple, other_ripple, volt, other_volt) -> None:
    harder = LifeConditions(max(air, other_air), max(ripple, other_ripple), max(volt, other_volt))
    easier = LifeConditions(min(air, other_air), min(ripple, other_ripple), min(volt, other_volt))
    hard, easy = estimate_life(part, harder, models()), estimate_life(part, easier, models())
    assert no_longer(hard.uncapped_h, easy.uncapped_h)
    assert no_longer(hard.estimated_life_h, easy.estimated_life_h)


@settings(max_examples=80, deadline=None)
@given(parts(), AIR_C, st.one_of(RIPPLE, st.just(float("nan"))))
def test_low_nominal_high_are_in_order_and_below_the_ceiling(part, air, ripple) -> None:
    found = estimate_life(part, LifeConditions(air, ripple), models())
    for lives in (found.uncapped_h, found.estimated_life_h):
        assert 0 < lives.low <= lives.nominal <= lives.high
    assert found.estimated_life_h.high <= found.ceiling_h
    assert float(found.uncapped_h.high) == max(float(model.life_h) for model in found.models)


@settings(max_examples=50, deadline=None)
@given(st.floats(0.0, 60.0), st.floats(1.0, 12.0))
def test_base_four_with_divisor_ten_is_base_two_with_divisor_five(rise, rated_rise) -> None:
    four = life_ripple.ripple_factor(rise, rated_rise, 4.0, 4.0, 10.0)
    two = life_ripple.ripple_factor(rise, rated_rise, 2.0, 2.0, 5.0)
    assert four == pytest.approx(two, rel=1e-12)


def test_base_two_with_twice_the_rise_and_divisor_is_the_same() -> None:
    wide = life_ripple.ripple_factor(10.0 * 0.25, 10.0, 2.0, 2.0, 10.0)
    assert wide == pytest.approx(life_ripple.ripple_factor(5.0 * 0.25, 5.0, 2.0, 2.0, 5.0))


def test_arrays_give_what_single_values_give() -> None:
    rng = np.random.default_rng(7)
    air, ripple = rng.uniform(30, 95, (6, 1)), rng.uniform(0, 2, (6, 1))
    styles = np.array(["radial", "snap-in", "axial", "screw", "smd"])
    families = np.array(["wet", "wet", "hybrid", "wet", "polymer"])
    rated = np.array([85.0, 105.0, 105.0, 85.0, 125.0])
    part = LifePart(np.full(5, 3000.0), rated, np.full(5, 0.8), family=families, style=styles)
    together = estimate_life(part, LifeConditions(air, ripple), models(), keep_models=False)
    assert together.models == ()
    assert together.uncapped_h.low.shape == (6, 5)
    for row in range(6):
        for column in range(5):
            one = LifePart(3000.0, rated[column], 0.8, family=str(families[column]), style=str(styles[column]))
            alone = estimate_life(one, LifeConditions(float(air[row, 0]), float(ripple[row, 0])), models())
            for end in ("low", "nominal", "high"):
                there = getattr(together.uncapped_h, end)[row, column]
                assert there == pytest.approx(float(getattr(alone.uncapped_h, end)))
            assert {n: bool(m[row, column]) for n, m in broadcast(together.outside).items()} == {
                n: bool(m) for n, m in alone.outside.items()
            }


def broadcast(masks):
    return {name: np.broadcast_to(mask, (6, 5)) for name, mask in masks.items()}


@pytest.mark.parametrize("basis", ["endurance", "useful-life", "dc-only"])
def test_without_a_ripple_the_nominal_is_the_plain_rule(basis: str) -> None:
    wet = estimate_life(LifePart(2000.0, 105.0, endurance_basis=basis), LifeConditions(65.0), models())
    assert wet.uncapped_h.nominal == life.ten_degree_rule(2000.0, 105.0, 65.0)
    polymer = LifePart(2000.0, 105.0, family="polymer", endurance_basis=basis)
    found = estimate_life(polymer, LifeConditions(85.0), models()).uncapped_h.nominal
    assert found == life.twenty_degree_rule(2000.0, 105.0, 85.0) == 20000.0


def test_the_basis_decides_what_rated_ripple_costs() -> None:
    def nominal(basis: str, ripple: float) -> float:
        part = LifePart(1000.0, 105.0, 1.0, endurance_basis=basis)
        return float(estimate_life(part, LifeConditions(85.0, ripple), models()).uncapped_h.nominal)

    assert nominal("endurance", 1.0) == nominal("useful-life", 1.0) == nominal("dc-only", 0.0) == 4000.0
    assert nominal("endurance", 0.0) == pytest.approx(4000.0 * 2**0.5)
    assert nominal("dc-only", 1.0) == pytest.approx(4000.0 * 2**-0.5)


def test_every_clamp_says_when_it_acts() -> None:
    part = LifePart(10000.0, 105.0, 1.0, 100.0, style="snap-in")
    busy = estimate_life(part, LifeConditions(25.0, 2.5, 30.0), models())
    assert {name for name, acted in busy.clamps.items() if acted} == {
        "floor-ambient", "ceiling", "voltage-floor", "divisor-hold",
    }  # fmt: skip
    quiet = estimate_life(LifePart(1000.0, 85.0, 1.0, 100.0), LifeConditions(70.0, 1.0, 30.0), models())
    assert not any(quiet.clamps.values())
    assert busy.uncapped_h == estimate_life(part, LifeConditions(40.0, 2.5, 60.0), models()).uncapped_h
    assert busy.core_temperature_c == 25.0 + 5.0 * 2.5**2


def test_no_clamp_acts_at_its_very_edge() -> None:
    part = LifePart(2000.0, 100.0, 1.0, 100.0, style="screw")
    edge = estimate_life(part, LifeConditions(40.0, 2.0, 60.0), models())
    assert not any(edge.clamps[name] for name in ("floor-ambient", "voltage-floor", "divisor-hold"))
    solid = LifePart(131400.0, 125.0, family="manganese-dioxide")
    full = estimate_life(solid, LifeConditions(125.0), models())
    assert full.uncapped_h.high == full.ceiling_h
    assert not full.clamps["ceiling"]


def test_a_family_without_the_form_by_rise_never_reports_its_hold() -> None:
    polymer = LifePart(1000.0, 105.0, 1.0, family="polymer")
    assert not estimate_life(polymer, LifeConditions(60.0, 3.0), models()).clamps["divisor-hold"]


@pytest.mark.parametrize("keep", [True, False])
def test_clamps_do_not_depend_on_what_is_kept(keep: bool) -> None:
    part = LifePart(10000.0, 105.0, 1.0, 100.0, style="snap-in")
    found = estimate_life(part, LifeConditions(25.0, 2.5, 30.0), models(), keep_models=keep)
    assert all(found.clamps.values())


def test_outside_the_range_is_flagged_not_silent() -> None:
    part = LifePart(1000.0, 85.0, 1.0, 16.0)
    found = estimate_life(part, LifeConditions(90.0, 1.1, 17.0), models())
    assert all(found.outside.values())
    assert found.uncapped_h.nominal < 1000.0
    within = estimate_life(part, LifeConditions(85.0, 1.0, 16.0), models())
    assert not any(within.outside.values())


def test_an_unknown_family_is_refused() -> None:
    with pytest.raises(ValueError, match="no life model for family tantalum"):
        estimate_life(LifePart(1000.0, 85.0, family="tantalum"), LifeConditions(60.0), models())


def test_duty_adds_life_fractions() -> None:
    part = LifePart(1000.0, 105.0)
    duty = [(8.0, LifeConditions(45.0)), (16.0, LifeConditions(65.0))]
    found = estimate_life_on_duty(part, duty, models())
    alone = [estimate_life(part, conditions, models()).uncapped_h for _, conditions in duty]
    assert found.uncapped_h.nominal == pytest.approx(24 / (8 / 64000 + 16 / 16000))
    assert found.uncapped_h.low == pytest.approx(24 / (8 / alone[0].low + 16 / alone[1].low))
    assert found.uncapped_h.nominal < np.mean([alone[0].nominal, alone[1].nominal])
    same = estimate_life_on_duty(part, [(3.0, LifeConditions(60.0)), (9.0, LifeConditions(60.0))], models())
    assert same.uncapped_h.nominal == pytest.approx(life.ten_degree_rule(1000.0, 105.0, 60.0))


def test_a_duty_keeps_what_acted_in_any_of_its_stages() -> None:
    part = LifePart(1000.0, 105.0, 1.0, 100.0, style="snap-in")
    duty = [(1.0, LifeConditions(30.0, 2.5, 50.0)), (3.0, LifeConditions(70.0, 0.5, 101.0))]
    found = estimate_life_on_duty(part, duty, models())
    assert {name for name, acted in found.clamps.items() if acted} == {
        "floor-ambient", "voltage-floor", "divisor-hold",
    }  # fmt: skip
    assert {name for name, there in found.outside.items() if there} == {"above-rated-ripple", "above-rated-voltage"}
    assert found.core_temperature_c == pytest.approx((1 * (30 + 31.25) + 3 * (70 + 1.25)) / 4)
    lines = [estimate_life(part, conditions, models()).models for _, conditions in duty]
    for mixed, first, second in zip(found.models, *lines, strict=True):
        assert mixed.line is first.line is second.line
        assert mixed.life_h == pytest.approx(4 / (1 / first.life_h + 3 / second.life_h))


def test_a_duty_says_when_only_the_mix_stays_below_the_ceiling() -> None:
    part = LifePart(2000.0, 105.0)
    duty = [(1.0, LifeConditions(41.0)), (23.0, LifeConditions(85.0))]
    found = estimate_life_on_duty(part, duty, models())
    assert not found.clamps["ceiling"]
    assert estimate_life_on_duty(part, duty[:1], models()).clamps["ceiling"]


def test_a_duty_without_time_is_refused() -> None:
    with pytest.raises(ValueError, match="positive number of hours"):
        estimate_life_on_duty(LifePart(1000.0, 105.0), [(0.0, LifeConditions(45.0))], models())


def test_the_form_by_rise_is_as_published_below_the_hold_and_falls_on_above() -> None:
    published = {0.0: 1.486, 0.5: 1.359, 0.8: 1.168, 1.0: 1.0, 1.2: 0.809, 1.4: 0.604, 1.8: 0.225, 2.0: 0.093}
    found = [life_ripple.ripple_factor_by_rise(5.0 * ratio**2, 5.0, 20.0) for ratio in published]
    assert found == pytest.approx(list(published.values()), abs=5e-4)  # computed for the evidence from R4
    rises = np.linspace(0.0, 80.0, 161)
    assert (np.diff(life_ripple.ripple_factor_by_rise(rises, 5.0, 20.0)) < 0).all()
    assert (np.diff(life_ripple.ripple_factor_by_rise(5.0, rises, 20.0)) > 0).all()


def test_the_form_by_rise_refuses_its_singularity() -> None:
    with pytest.raises(ValueError, match="singular"):
        life_ripple.ripple_factor_by_rise(5.0, 5.0, 40.0)
    assert life_ripple.ripple_factor_by_rise(39.0, 5.0, 39.9) < 1e-40


def test_stages_of_less_than_an_hour_count() -> None:
    assert life.mixed_duty_life([0.5, 0.25], [1000.0, 1000.0]) == 1000.0


def test_a_stage_without_any_life_leaves_none() -> None:
    assert life.mixed_duty_life([1.0, 23.0], [0.0, 1000.0]) == 0.0


def test_every_row_of_the_models_names_a_known_source_and_form() -> None:
    row = dict(table("life_models")[0])
    with pytest.raises(ValueError, match="unknown form guess"):
        life_models([row | {"form": "guess"}], table("life_limits"))
    assert sum(line.nominal for line in models().lines) == 4
