"""The handbook's cross-check of a unit, held to sums on paper from the printed factors of Notice 2."""

import math
from dataclasses import replace
from pathlib import Path

import pytest

from recap.intake import read_inspection
from recap.planning import plan

EXAMPLE = Path(__file__).parent.parent / "examples" / "inspection.xlsx"
HEAD = "Board,Designator,Capacitance,Volts,Kind,Mounting,Condition,Volts in use,Decision override"


def checked(tmp_path, *rows, head=HEAD):
    path = tmp_path / "list.csv"
    path.write_text("\n".join([head, *rows]) + "\n", encoding="utf-8")
    return plan(read_inspection([path], {})[0], present_year=2026).random_failures


def test_one_part_on_paper(tmp_path):
    # MIL-HDBK-217F Notice 2, sec. 10.1, printed factors: 40 °C 1.9, 1000 µF 4.9, stress 0.5 1.4; commercial 10, GB 1.
    # The room of 25 °C and the assumed rise of 15 K give 40 °C.
    (found,) = checked(tmp_path, "A,C1,1000 µF,20 V,wet aluminium,radial,sound,10,keep")
    assert found.parts == 1
    assert found.rates_per_1e6_h[0] == pytest.approx(0.00012 * 1.9 * 4.9 * 1.4 * 10, rel=0.03)


def test_rates_of_parts_add_up(tmp_path):
    row = "A,C{},1000 µF,20 V,wet aluminium,radial,sound,10,keep"
    (one,), (three,) = checked(tmp_path, row.format(1)), checked(tmp_path, *(row.format(n) for n in (1, 2, 3)))
    assert three.rates_per_1e6_h == pytest.approx([3 * rate for rate in one.rates_per_1e6_h])
    assert three.dormant_rate_per_1e6_h == pytest.approx(3 * one.dormant_rate_per_1e6_h)


@pytest.mark.parametrize(
    "row", ["A,C1,1000 µF,20 V,film,radial,sound,10,keep", "A,C1,,20 V,wet aluminium,radial,sound,10,keep"]
)
def test_other_kinds_and_gaps_are_not_counted(tmp_path, row):
    assert checked(tmp_path, row) == ()


def test_more_stress_fails_more_often(tmp_path):
    row = "A,C1,1000 µF,20 V,wet aluminium,radial,sound,{},keep"
    (low,), (high,) = checked(tmp_path, row.format(8)), checked(tmp_path, row.format(16))
    assert all(a < b for a, b in zip(low.rates_per_1e6_h, high.rates_per_1e6_h, strict=True))


def test_the_editions_disagree_as_their_users_know():
    (found,) = plan(read_inspection([EXAMPLE], {})[0], present_year=2026).random_failures
    newer, older = found.rates_per_1e6_h
    assert older > 4 * newer
    assert 0 < min(found.probability_in_use) < max(found.probability_in_use) < 1


def test_a_switched_off_part_fails_at_the_dormant_rate_for_the_rest_of_the_year(tmp_path):
    # RADC-TR-85-91 sec. 5.2.7: 0.0064 per million hours, 5.3 for commercial quality, no cycling.
    row = "A,C{},1000 µF,20 V,wet aluminium,radial,sound,10,keep"
    (found,) = checked(tmp_path, row.format(1), row.format(2))
    assert found.dormant_rate_per_1e6_h == pytest.approx(2 * 0.0064 * 5.3)
    on, off = 200 * found.years, (8760 - 200) * found.years
    for chance, rate in zip(found.probability_in_use, found.rates_per_1e6_h, strict=True):
        assert chance == pytest.approx(1 - math.exp(-rate * 1e-6 * on), rel=1e-3)
    assert found.probability_switched_off == pytest.approx(1 - math.exp(-0.06784e-6 * off), rel=1e-3)


def test_what_is_always_on_is_never_dormant(tmp_path):
    (tmp_path / "list.csv").write_text(f"{HEAD}\nA,C1,1000 µF,20 V,wet aluminium,radial,sound,10,keep\n", "utf-8")
    inspection, _ = read_inspection([tmp_path / "list.csv"], {})
    always = tuple(replace(unit, use_h_per_year=8760.0) for unit in inspection.units)
    (found,) = plan(replace(inspection, units=always), present_year=2026).random_failures
    assert found.probability_switched_off == 0
    chance = 1 - math.exp(-found.rates_per_1e6_h[0] * 1e-6 * 8760 * found.years)
    assert found.probability_in_use[0] == pytest.approx(chance, rel=1e-3)


def test_an_unknown_category_counts_as_the_coolest(tmp_path):
    head, row = HEAD + ",Temperature", "A,C1,1000 µF,20 V,wet aluminium,radial,sound,10,keep,{}"
    (unknown,), (cool,), (warm,) = (checked(tmp_path, row.format(mark), head=head) for mark in ("", "85 °C", "105 °C"))
    assert unknown.rates_per_1e6_h == cool.rates_per_1e6_h
    assert warm.rates_per_1e6_h[1] < cool.rates_per_1e6_h[1]


def test_each_unit_counts_its_own_parts(tmp_path):
    row = "{},A,C{},1000 µF,20 V,wet aluminium,radial,sound,10,keep"
    rows = [row.format("Invented B", 1), row.format("Invented A", 2), row.format("Invented C", 3)]
    assert [each.parts for each in checked(tmp_path, *rows, head="Unit," + HEAD)] == [1, 1, 1]
