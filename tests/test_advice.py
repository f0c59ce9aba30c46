"""What to measure next is found by planning again, not by a fixed list."""

import pytest

from recap.advice import advise
from recap.intake import read_inspection

HEAD = "Board,Designator,Capacitance,Volts,Kind,Mounting,Diameter mm,Height mm,Lead spacing mm,Condition,Role,Date code"


@pytest.fixture
def inspect(tmp_path):
    def read(*rows):
        path = tmp_path / "list.csv"
        path.write_text("\n".join([HEAD, *rows]) + "\n", encoding="utf-8")
        return read_inspection([path], {})[0]

    return read


def suggestions(inspection, reading):
    return [item for item in advise(inspection, present_year=2026) if item.reading.startswith(reading)]


def test_a_reading_that_would_flip_the_decision_is_suggested(inspect):
    found = suggestions(inspect("A,C1,100 µF,25 V,wet aluminium,radial,8,11,3.5,sound,decoupling,8110"), "capacitance")
    assert len(found) == 1
    assert [change.split(" ")[0].rstrip(",") for _, change in found[0].outcomes] == ["keep", "replace"]


def test_no_reading_overturns_a_leak(inspect):
    inspection = inspect("A,C1,100 µF,25 V,wet aluminium,radial,8,11,3.5,leaked,decoupling,8110")
    assert not suggestions(inspection, "ESR")
    assert not suggestions(inspection, "capacitance")


def test_an_unknown_net_is_suggested_for_a_part_that_comes_off(inspect):
    (found,) = suggestions(inspect("A,C1,100 µF,25 V,wet aluminium,radial,8,11,3.5,leaked,decoupling,8110"), "polarity")
    assert all("off the stop list" in change for _, change in found.outcomes)


def test_the_greater_change_comes_first_and_the_order_is_stable(inspect):
    rows = [f"A,C{n},100 µF,25 V,wet aluminium,radial,8,11,3.5,sound,decoupling,8110" for n in range(1, 5)]
    first, again = (advise(inspect(*rows), present_year=2026) for _ in range(2))
    assert first == again
    assert [item.worth for item in first] == sorted((item.worth for item in first), reverse=True)


def test_each_suggestion_says_how_and_what_may_hurt(inspect):
    for item in advise(inspect("A,C1,100 µF,25 V,wet aluminium,radial,8,11,3.5,leaked,,"), present_year=2026):
        assert item.how
        assert len(item.outcomes) >= 2
