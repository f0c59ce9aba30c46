"""How wide low to high is, and what of the published figures it encloses."""

import csv
from pathlib import Path

import numpy as np
import pytest

from recap.calculators.life import models
from recap.formulas.life_estimate import LifeConditions, LifeEstimate, LifePart, estimate_life
from recap.formulas.life_voltage import linear_voltage_factor, voltage_factor

TABLES = Path(__file__).parent / "published" / "tables"


def published_cells(name: str) -> np.ndarray:
    """Ambient, ripple over rated and life multiplier of each published cell."""
    with (TABLES / f"{name}.csv").open(encoding="utf-8", newline="") as stream:
        rows = [[float(cell) for cell in row.values()] for row in csv.DictReader(stream)]
    return np.array(rows)


@pytest.mark.parametrize(("name", "rated_c", "cells"), [("vishay-eyn", 85.0, 102), ("vishay-eyc", 105.0, 28)])
def test_encloses_the_cells_of_published_life_tables(name: str, rated_c: float, cells: int) -> None:
    ambient, ripple, multiplier = published_cells(name).T
    part = LifePart(1000.0, rated_c, 1.0, style="snap-in", endurance_basis="useful-life")
    found = estimate_life(part, LifeConditions(ambient, ripple), models()).uncapped_h
    enclosed = (found.low <= 1000.0 * multiplier) & (1000.0 * multiplier <= found.high)
    assert len(enclosed) == cells
    assert enclosed.mean() >= 0.95


def leaded(rated_c: float, basis: str, ripple: np.ndarray) -> LifeEstimate:
    ambient = np.linspace(45.0, 85.0, 41)[:, None]
    part = LifePart(2000.0, rated_c, 1.0, style="axial", endurance_basis=basis)
    return estimate_life(part, LifeConditions(ambient, ripple[None, :]), models())


@pytest.mark.parametrize("rated_c", [85.0, 95.0, 105.0, 125.0])
@pytest.mark.parametrize("basis", ["endurance", "useful-life", "dc-only"])
def test_leaded_parts_within_their_rating_stay_under_four_to_one(rated_c: float, basis: str) -> None:
    ripple = np.append(np.linspace(0.0, 1.0, 21), np.nan)
    found = leaded(rated_c, basis, ripple).uncapped_h
    assert (found.high / found.low).max() < 4.0


@pytest.mark.parametrize("rated_c", [85.0, 105.0])
def test_leaded_parts_stay_under_four_to_one_up_to_1_4_times_rated_ripple(rated_c: float) -> None:
    found = leaded(rated_c, "endurance", np.array([1.2, 1.4])).uncapped_h
    assert (found.high / found.low).max() < 4.0


def test_the_energies_of_large_cans_do_not_reach_leaded_parts() -> None:
    def energies(style: str) -> set[float]:
        found = estimate_life(LifePart(2000.0, 105.0, style=style), LifeConditions(60.0), models())
        return {model.line.energy_ev for model in found.models if model.line.form == "hot-spot"}

    assert energies("radial") == energies("axial") == energies("smd") == {0.68, 0.83}
    assert energies("snap-in") == energies("screw") == {0.68, 0.94, 1.02}


def test_voltage_counts_for_large_cans_only() -> None:
    def high(style: str, voltage_v: float) -> float:
        part = LifePart(2000.0, 85.0, rated_voltage_v=100.0, style=style)
        return float(estimate_life(part, LifeConditions(60.0, voltage_v=voltage_v), models()).uncapped_h.high)

    assert high("radial", 50.0) == high("radial", 100.0)
    assert high("snap-in", 80.0) == pytest.approx(high("snap-in", 100.0) * 0.8**-2.5)
    assert high("screw", 30.0) == high("screw", 60.0)


def test_the_energy_of_the_long_life_table_is_for_its_class_only() -> None:
    def energies(rated_c: float) -> set[float]:
        found = estimate_life(LifePart(2000.0, rated_c, style="snap-in"), LifeConditions(60.0), models())
        return {model.line.energy_ev for model in found.models}

    assert 1.02 in energies(100.0)
    assert 1.02 in energies(105.0)
    assert 1.02 not in energies(99.0)
    assert not {0.94, 1.02} & energies(106.0)


def test_no_voltage_model_shortens_life_above_the_rating() -> None:
    assert voltage_factor(1.3, 2.5, 0.6) == voltage_factor(1.0, 2.5, 0.6) == 1.0
    assert linear_voltage_factor(1.0) == pytest.approx(1.0)


@pytest.mark.parametrize("rated_c", [125.0, 135.0])
def test_above_the_105_class_the_rule_is_the_upper_line(rated_c: float) -> None:
    part = LifePart(2000.0, rated_c, 1.0)
    found = estimate_life(part, LifeConditions(60.0, 1.0), models()).uncapped_h
    assert found.high == found.nominal == 2000.0 * 2 ** ((rated_c - 60.0) / 10.0)


def test_a_hybrid_part_behaves_like_a_wet_one() -> None:
    conditions = LifeConditions(70.0, 0.7)
    wet, hybrid = (
        estimate_life(LifePart(4000.0, 105.0, 1.0, family=family), conditions, models()) for family in ("wet", "hybrid")
    )
    assert wet.uncapped_h == hybrid.uncapped_h
