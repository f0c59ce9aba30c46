"""Ripple multipliers by class: which set stands in, and how a frequency is held against a rating."""

import pytest

from recap.formulas.ripple_frequency import class_sets, multiplier_sets, ripple_at_rating
from recap.ruledata import table

SETS = multiplier_sets(table("ripple_multipliers"))


def chosen(style: str, rated_v: float | None, rating_hz: float) -> list[tuple[str, float]]:
    return [(each.series, each.up_to_v) for each in class_sets(SETS, style, rated_v, rating_hz)]


def test_each_style_has_its_series() -> None:
    assert chosen("axial", 16.0, 120.0) == [("021", 16.0)]
    assert chosen("axial", 16.1, 120.0) == [("021", 40.0)]
    assert chosen("radial", 25.0, 100.0) == [("048", 25.0)]
    assert chosen("snap-in", 400.0, 120.0) == chosen("screw", 400.0, 120.0) == [("056", 450.0)]


def test_ratings_at_mains_frequency_and_at_100_khz_stay_apart() -> None:
    assert chosen("radial", 50.0, 100e3) == [("136 up to 12.5 mm", 50.0)]
    assert chosen("snap-in", 50.0, 100e3) == [("136 up to 12.5 mm", 50.0)]
    assert chosen("radial", 50.0, 1e3) == [("048", 100.0)]


def test_a_style_without_a_series_takes_the_radial_one_and_polymer_its_own() -> None:
    assert chosen("smd", 50.0, 120.0) == [("048", 100.0)]
    assert chosen("polymer", 6.3, 120.0) == chosen("polymer", 6.3, 100e3) == [("nsp", 100.0)]


def test_an_unknown_voltage_leaves_all_and_one_above_all_the_highest() -> None:
    assert chosen("axial", None, 120.0) == [("021", 16.0), ("021", 40.0), ("021", 100.0)]
    assert chosen("axial", 450.0, 120.0) == [("021", 100.0)]


def test_multipliers_are_relative_to_the_parts_own_rating() -> None:
    eyn = next(each for each in SETS if each.series == "eyn")
    assert eyn.at(120.0, 120.0) == 1.0
    assert eyn.at(50.0, 100.0) == pytest.approx(0.85 / 0.97)
    assert ripple_at_rating([(0.85, 50.0)], [eyn], 100.0) == pytest.approx(0.97)


def test_the_least_of_several_sets_is_taken() -> None:
    sets = class_sets(SETS, "axial", None, 100.0)
    assert ripple_at_rating([(1.2, 20e3)], sets, 100.0) == pytest.approx(1.0)
    assert ripple_at_rating([(0.85, 50.0)], sets, 100.0) == pytest.approx(1.0)
