"""The verdict at its edges: figures on a demand and just past it, codes put together, catalogues cut at a window."""

from __future__ import annotations

import numpy as np
import pytest

from recap.model import Relation, Strength
from recap.model.check import PointVerdict, Verdict
from recap.parts.catalogue import Catalogue
from recap.parts.match import candidates, matching, nearest_misses, undominated
from recap.parts.place import places_of
from recap.parts.text import read_part
from recap.parts.verdict import ASK, FAILS, FITS, FITS_WITH_NOTE, NO, NOTE, OK, POINTS, VERDICTS, Tally
from tests.test_check import held, only, place, wants

AT_LEAST, AT_MOST, ONE_OF, EXACTLY = Relation.AT_LEAST, Relation.AT_MOST, Relation.ONE_OF, Relation.EXACTLY


def shelf(*texts):
    return Catalogue.of([read_part(text)[0] for text in texts])


def only_place(judgement):
    (found,) = places_of(judgement)
    return found


@pytest.mark.parametrize(
    ("worst", "asks", "verdict"),
    [
        (0, False, Verdict.FITS),
        (1, False, Verdict.FITS_WITH_NOTE),
        (2, False, Verdict.FITS_WITH_NOTE),
        (0, True, Verdict.ASK),
        (1, True, Verdict.ASK),
        (2, True, Verdict.ASK),
        (3, False, Verdict.NO),
        (3, True, Verdict.NO),
    ],
)
def test_a_failure_outweighs_a_question_and_a_question_a_note(worst, asks, verdict):
    tally = Tally(np.array([worst], np.int8), np.array([asks]))
    assert VERDICTS[tally.verdicts()[0]] is verdict


def test_the_codes_stand_for_what_they_say():
    assert [POINTS[code] for code in (OK, NOTE, FAILS)] == [PointVerdict.OK, PointVerdict.NOTE, PointVerdict.FAILS]
    assert [VERDICTS[code] for code in (FITS, FITS_WITH_NOTE, ASK, NO)] == list(VERDICTS)


@pytest.mark.parametrize(
    ("requirement", "point"),
    [
        # equal but for the last digits of a float is equal; a thousandth off is not
        (wants("rated_voltage_v", AT_LEAST, 16.0 * (1 + 1e-12), "V"), PointVerdict.OK),
        (wants("rated_voltage_v", AT_LEAST, 16.0 * (1 + 1e-6), "V"), PointVerdict.FAILS),
        (wants("capacitance_f", AT_MOST, 1e-3 * (1 - 1e-12), "F"), PointVerdict.OK),
        (wants("capacitance_f", AT_MOST, 1e-3 * (1 - 1e-6), "F"), PointVerdict.FAILS),
        (wants("capacitance_f", EXACTLY, 1e-3 * (1 + 5e-7), "F"), PointVerdict.OK),
        (wants("capacitance_f", EXACTLY, 1e-3 * (1 + 5e-6), "F"), PointVerdict.FAILS),
        (wants("capacitance_f", EXACTLY, 1e-3 * (1 - 5e-6), "F"), PointVerdict.FAILS),
        # below zero degrees a demand has room on its own side only
        (wants("lower_category_temperature_c", AT_MOST, -40.0, "°C"), PointVerdict.OK),
        (wants("lower_category_temperature_c", AT_MOST, -40.1, "°C"), PointVerdict.FAILS),
        (wants("lower_category_temperature_c", AT_LEAST, -40.0, "°C"), PointVerdict.OK),
        # 5 and 5.08 mm are one hole pitch, 0.15 mm either way
        (wants("lead_spacing_mm", ONE_OF, (5.15,), "mm"), PointVerdict.OK),
        (wants("lead_spacing_mm", ONE_OF, (4.85,), "mm"), PointVerdict.OK),
        (wants("lead_spacing_mm", ONE_OF, (5.16,), "mm"), PointVerdict.FAILS),
        (wants("lead_spacing_mm", ONE_OF, (4.84,), "mm"), PointVerdict.FAILS),
        (wants("lead_spacing_mm", ONE_OF, (2.5, 7.5), "mm"), PointVerdict.FAILS),
    ],
)
def test_on_a_demand_and_past_it(requirement, point):
    check = held("alu radial 1000u 16V -40..105C 10x20 P5", requirement)
    assert only(check, requirement.quantity).verdict is point


def test_a_demand_that_needs_a_number_says_so():
    with pytest.raises(TypeError, match="needs a number"):
        held("alu radial 1000u 16V", wants("rated_voltage_v", AT_LEAST, "16 V", "V"))


WINDOW = wants("capacitance_f", AT_LEAST, 9e-4, "F"), wants("capacitance_f", AT_MOST, 1.1e-3, "F")


def test_the_edges_of_a_window_belong_to_it():
    parts = shelf(*(f"alu radial {value}u 16V" for value in (899, 900, 1000, 1100, 1101)))
    rows, _ = matching(only_place(place(*WINDOW)), parts)
    assert sorted(parts.number("capacitance_f")[rows] * 1e6) == pytest.approx([900, 1000, 1100])


def test_an_exact_value_is_a_window_of_one():
    parts = shelf(*(f"alu radial {value}u 16V" for value in (999, 1000, 1001)))
    rows, _ = matching(only_place(place(wants("capacitance_f", EXACTLY, 1e-3, "F"))), parts)
    assert rows.tolist() == [1]


def test_a_preferred_value_closes_no_window():
    parts = shelf("alu radial 470u 16V", "alu radial 1000u 16V")
    asked = place(wants("capacitance_f", AT_LEAST, 1e-3, "F", prefer=True))
    rows, codes = matching(only_place(asked), parts)
    assert [VERDICTS[code] for code in codes] == [Verdict.FITS, Verdict.FITS_WITH_NOTE]
    assert rows.tolist() == [1, 0]


def test_two_in_series_are_sought_at_twice_the_value():
    parts = shelf("alu radial 1000u 16V", "alu radial 2000u 16V", "alu radial 500u 16V")
    _, pair = candidates([place(*WINDOW, arrangement="two in series")], parts)
    assert pair.rows.tolist() == [1]


def test_candidates_stand_best_first_and_then_by_row():
    wish = wants("rated_voltage_v", AT_LEAST, 25.0, "V", prefer=True)
    parts = shelf("alu radial 1000u 16V", "alu radial 1000u 25V", "alu radial 1000u 16V", "alu radial 1000u 35V")
    rows, codes = matching(only_place(place(*WINDOW, wish)), parts)
    assert rows.tolist() == [1, 3, 0, 2]
    assert codes.tolist() == [FITS, FITS, FITS_WITH_NOTE, FITS_WITH_NOTE]


def test_the_nearest_miss_fails_on_the_fewest_demands():
    asked = place(*WINDOW, wants("rated_voltage_v", AT_LEAST, 25.0, "V"), wants("diameter_mm", AT_MOST, 8.0, "mm"))
    parts = shelf(*["alu radial 1000u 16V 10x20", "alu radial 1000u 16V 8x20", "alu radial 1000u 25V 8x20"] * 2)
    found = nearest_misses(only_place(asked), parts)
    assert [row for row, _ in found] == [2, 5, 1]  # three at most, of equals the earlier
    assert [len(failed) for _, failed in found] == [0, 0, 1]
    assert found[2][1][0].quantity == "rated_voltage_v"
    assert found[2][1][0].strength is Strength.MUST


def test_near_misses_lie_within_twice_and_half_the_window():
    parts = shelf(*(f"alu radial {value}u 16V" for value in (449, 451, 2199, 2201)))
    assert {row for row, _ in nearest_misses(only_place(place(*WINDOW)), parts)} == {1, 2}
    assert nearest_misses(only_place(place(*WINDOW)), shelf("alu radial 1u 16V")) == []


def test_of_equal_rows_the_first_stays_and_of_one_row_all():
    rows = np.array([3, 5, 9])
    assert undominated(rows, [np.array([1.0, 1.0, 2.0])], [np.array([4.0, 4.0, 4.0])]).tolist() == [3]
    assert undominated(rows, [np.array([1.0, 1.0, 2.0])], [np.array([4.0, 5.0, 6.0])]).tolist() == [5, 9]
    assert undominated(rows[:1], [np.array([1.0])], [np.array([4.0])]).tolist() == [3]
    assert undominated(rows[:2], [np.array([2.0, 1.0])], []).tolist() == [5]
