"""The handbook's cross-check of a unit, held to sums on paper from the printed factors of Notice 2."""

from pathlib import Path

import pytest

from recap.intake import read_inspection
from recap.planning import plan

EXAMPLE = Path(__file__).parent.parent / "examples" / "inspection.xlsx"
HEAD = "Board,Designator,Capacitance,Volts,Kind,Mounting,Condition,Volts in use,Decision override"


def checked(tmp_path, *rows):
    path = tmp_path / "list.csv"
    path.write_text("\n".join([HEAD, *rows]) + "\n", encoding="utf-8")
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
