"""The order of work: every position in one place, supplies first, neighbours after one another."""

from pathlib import Path

from recap.bench.work_order import natural
from recap.intake import read_inspection
from recap.planning import plan

EXAMPLE = Path(__file__).parent.parent / "examples" / "inspection.xlsx"


def test_every_position_stands_in_exactly_one_place():
    made = plan(read_inspection([EXAMPLE], {})[0], present_year=2026)
    placed = [judgement.key for work in made.work for judgement in (*work.stops, *work.steps, *work.left_alone)] + [
        position.key for work in made.work for position in work.do_not_fit
    ]
    assert sorted(placed) == sorted(position.key for position in made.inspection.positions)


def test_the_board_that_makes_the_rails_comes_first():
    made = plan(read_inspection([EXAMPLE], {})[0], present_year=2026)
    assert made.work[0].board == "PSU"


def test_natural_order():
    assert sorted(["C10", "C2", "C1", "CT3"], key=natural) == ["C1", "C2", "C10", "CT3"]
