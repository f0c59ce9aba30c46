"""The example: made from its source, read without unplanned trouble, and still holding what is planted in it."""

from __future__ import annotations

from itertools import combinations
from math import hypot

import pytest
from openpyxl import load_workbook
from openpyxl.worksheet.worksheet import Worksheet

from recap.intake import read_inspection
from recap.model import (
    Condition,
    Decision,
    Inspection,
    Kind,
    Legible,
    MarkMeaning,
    Mounting,
    PlusAt,
    Position,
    PositionKey,
    Role,
    SupplyKind,
)
from recap.planning import plan
from recap.policy import read_policy
from recap.problems import Problem, Severity
from tests.make_example import EXAMPLES, WORKBOOK, example_workbook, source

Read = tuple[Inspection, list[Problem]]


@pytest.fixture(scope="module")
def read() -> Read:
    return read_inspection([WORKBOOK])


@pytest.fixture(scope="module")
def inspection(read: Read) -> Inspection:
    return read[0]


def at(inspection: Inspection, place: str) -> Position:
    """Return the position written board/designator or board/designator/section."""
    key = PositionKey("Corncrake", *place.split("/"))
    return next(position for position in inspection.positions if position.key == key)


def designators(board: str) -> set[str]:
    return {row["Designator"] for row in source("capacitors") if row["Board"] == board}


def test_the_workbook_is_what_the_source_makes() -> None:
    made, kept = example_workbook(), load_workbook(WORKBOOK)
    assert kept.sheetnames == made.sheetnames
    for name in made.sheetnames:
        assert values(kept[name]) == values(made[name]), f"{name} differs; run python tests/make_example.py"


def values(sheet: Worksheet) -> dict[str, object]:
    return {cell.coordinate: cell.value for row in sheet.iter_rows() for cell in row if cell.value not in (None, "")}


def test_it_is_large_enough_and_nothing_is_lost(inspection: Inspection) -> None:
    assert len(inspection.unit("Corncrake").boards) == 7
    assert len(inspection.positions) == 156
    assert not inspection.left_out
    assert inspection.rows_in - inspection.blank_rows == len(source("capacitors"))
    assert designators("DRV-A") == designators("DRV-B")


def test_every_paper_says_that_it_is_invented(inspection: Inspection) -> None:
    assert "INVENTED" in inspection.unit("Corncrake").notes
    assert "invented" in (EXAMPLES / "README.md").read_text(encoding="utf-8")
    assert "invented" in (EXAMPLES / "plain-list.csv").read_text(encoding="utf-8")


INTENDED = {
    ("unknown-heading", "Bag"),
    ("rail-not-listed", "REL"),
    ("likely-reading", "10-15"),
    ("likely-reading", "104"),
    ("likely-reading", "0.1F"),
}
"""What the reader has to ask or say about; notes apart."""


def test_only_the_intended_problems_are_reported(read: Read) -> None:
    found = {(problem.code, problem.value) for problem in read[1] if problem.severity is not Severity.NOTE}
    assert found == INTENDED, "\n".join(map(str, read[1]))


def test_measured_sizes_are_not_nominal(read: Read) -> None:
    inspection, problems = read
    snapped = {problem.value for problem in problems if problem.code == "size-snapped"}
    assert {"8.3", "8.2", "10.2", "5.3", "30.4"} <= snapped
    nominal = {"PSU/C25": (8, 3.5), "CPU/C5": (8, 3.5), "PSU/C16": (10, 5), "MON/C3": (5, 2)}
    for place, (diameter, spacing) in nominal.items():
        body = at(inspection, place).body
        assert (body.diameter_mm, body.lead_spacing_mm) == (diameter, spacing)


@pytest.mark.parametrize(
    ("place", "microfarads", "volts"),
    [
        ("PSU/C1", 0.22, 250), ("PSU/C2", 0.1, 250), ("PSU/C3", 0.0047, 250), ("PSU/C5", 220, 400), ("PSU/C7", 47, 25),
        ("PSU/C10", 10, 63), ("PSU/C11", 2200, 10), ("PSU/C27/b", 1000, 40), ("PSU/C29", 220, 35),
        ("CPU/C8", 10, 15), ("CPU/C9", 4.7, 16), ("CPU/C20", 4.7, 25), ("CPU/C22", 0.47, 50), ("CPU/C24", 47, 6.3),
        ("CPU/C27", 22, 16), ("CPU/C47", 0.1, None), ("MON/C7", 10, 25), ("MON/C10", 4.7, 63), ("MON/C11", 0.1, 630),
        ("AUD/C7", 0.47, 100), ("AUD/C13", 3.3, 50), ("AUD/C14", 8, 50), ("EXP/C1", 100, 6.3), ("EXP/C9", 1e5, 5.5),
    ],
)  # fmt: skip
def test_odd_notations_are_read(inspection: Inspection, place: str, microfarads: float, volts: float | None) -> None:
    marked = at(inspection, place).marked
    assert marked.capacitance_f == pytest.approx(microfarads * 1e-6)
    assert marked.rated_voltage_v == (volts if volts is None else pytest.approx(volts))


def test_mains_parts(inspection: Inspection) -> None:
    mains = [position for position in inspection.positions if position.role is Role.MAINS_SAFETY]
    assert [str(position.key) for position in mains] == [f"Corncrake/PSU/C{n}" for n in (1, 2, 3, 4, 6)]
    assert all(position.marked.ac for position in mains)
    assert [position.marked.safety_class for position in mains] == ["X", "X2", "Y2", "Y2", "Y2"]
    old = at(inspection, "PSU/C1")
    assert old.body.kind is Kind.METALLISED_PAPER
    assert old.conditions == {Condition.CRACKED}


def test_marked_against_documented(inspection: Inspection) -> None:
    values = {"PSU/C12": 3300e-6, "MON/C6": 2200e-6, "CPU/C6": 33e-6, "DRV-B/C3": 22e-6, "DRV-B/C5": 22e-6}
    for place, documented in values.items():
        position = at(inspection, place)
        assert position.documented.capacitance_f == pytest.approx(documented)
        assert position.marked.capacitance_f != pytest.approx(documented)
    assert at(inspection, "PSU/C14").documented.rated_voltage_v == 25
    assert at(inspection, "PSU/C14").marked.rated_voltage_v == 16


def test_one_can_with_three_sections(inspection: Inspection) -> None:
    sections = [at(inspection, f"PSU/C27/{name}") for name in "abc"]
    assert [section.rail for section in sections] == ["+24U", "+22V", "+22A"]
    assert {section.body.mounting for section in sections} == {Mounting.TWIST_LOCK}


def test_silkscreen_conventions(inspection: Inspection) -> None:
    meaning = {board.name: board.mark_meaning for board in inspection.unit("Corncrake").boards}
    assert meaning == {
        "PSU": MarkMeaning.PLUS, "CPU": MarkMeaning.PLUS, "AUD": MarkMeaning.PLUS,
        "MON": MarkMeaning.MINUS, "EXP": MarkMeaning.MINUS,
        "DRV-A": MarkMeaning.NOT_VERIFIED, "DRV-B": MarkMeaning.NOT_VERIFIED,
    }  # fmt: skip


DISPUTED = ("PSU/C18", "PSU/C26", "CPU/C14", "CPU/C18", "AUD/C16")
UNSEEN = (
    "PSU/C10",
    "PSU/C29",
    "CPU/C22",
    "CPU/C26",
    "MON/C15",
    "AUD/C26",
    "DRV-A/C10",
    "DRV-B/C3",
    "DRV-B/C10",
    "EXP/C7",
)


def test_polarity_is_known_at_most_places(inspection: Inspection) -> None:
    polar = [p for p in inspection.positions if p.polar and p.body.kind is not Kind.UNKNOWN]
    unseen = {str(p.key).removeprefix("Corncrake/") for p in polar if p.polarity.net is PlusAt.NOT_SEEN}
    assert unseen == set(UNSEEN)
    assert len(polar) > 90
    assert all(p.polarity.pad_a and p.polarity.net_by for p in polar if p.polarity.net is not PlusAt.NOT_SEEN)


@pytest.mark.parametrize("place", DISPUTED)
def test_witnesses_contradict(inspection: Inspection, place: str) -> None:
    polarity = at(inspection, place).polarity
    meaning = {PlusAt.MARK_A: PlusAt.A, PlusAt.MARK_OTHER: PlusAt.OTHER}  # these boards' mark means plus
    told = {meaning.get(word, word) for word in (polarity.silkscreen, polarity.as_found, polarity.net)}
    assert {PlusAt.A, PlusAt.OTHER} <= told


def test_work_orders_print_an_orientation_for_most_and_none_where_it_is_disputed(inspection: Inspection) -> None:
    judged = {str(j.key).removeprefix("Corncrake/"): j for j in plan(inspection, read_policy("usual")).judgements}
    assert sum(judgement.orientation.text is not None for judgement in judged.values()) > 85
    for place in (*DISPUTED, *UNSEEN):
        assert judged[place].orientation.text is None, place
    assert all(judged[place].decision is Decision.STOP for place in DISPUTED)


def test_negative_rails_have_their_plus_at_the_other_pad(inspection: Inspection) -> None:
    unit = inspection.unit("Corncrake")
    negative = {rail.name for rail in unit.rails if rail.negative}
    assert negative == {"-RAW", "-15V", "-12V", "-5V", "G1"}
    on_rail = [p for p in inspection.positions if p.rail in negative and str(p.key)[10:] not in DISPUTED]
    assert len(on_rail) >= 10
    assert all(p.polarity.net in (PlusAt.OTHER, PlusAt.RAIL_A) for p in on_rail)


def test_rails_with_and_without_data(inspection: Inspection) -> None:
    unit = inspection.unit("Corncrake")
    kinds = {rail.supply for rail in unit.rails}
    assert {SupplyKind.BRIDGE, SupplyKind.CENTRE_TAP, SupplyKind.FORWARD, SupplyKind.FLYBACK} <= kinds
    assert {SupplyKind.LINEAR_REGULATED, SupplyKind.UNKNOWN} <= kinds
    main, unregulated, gap = unit.rail("+5V"), unit.rail("+24U"), unit.rail("VCC")
    assert main
    assert unregulated
    assert gap
    assert (main.ripple_frequency_hz, main.ripple_limit_v, main.full_load_a) == (40e3, pytest.approx(0.05), 6)
    assert (unregulated.secondary_v, unregulated.source_resistance_ohm) == (19, 0.9)
    assert gap.full_load_a is None


def test_readings(inspection: Inspection) -> None:
    leaky = at(inspection, "AUD/C5").measured
    assert leaky.in_circuit is False
    assert leaky.capacitance_f == pytest.approx(7.9e-6)
    assert leaky.leakage_a == pytest.approx(90e-6)
    parallel = at(inspection, "CPU/C7").measured
    assert parallel.in_circuit is True
    assert parallel.capacitance_f == pytest.approx(38e-6)
    assert at(inspection, "PSU/C7").measured.esr_ohm == pytest.approx(6.8)
    assert at(inspection, "PSU/C7").measured.esr_frequency_hz == pytest.approx(100e3)


def test_conditions_and_gaps(inspection: Inspection) -> None:
    found = {condition for position in inspection.positions for condition in position.conditions}
    assert found == set(Condition) - {Condition.PUSHED_BUNG}
    assert at(inspection, "MON/C15").marked.legible is Legible.NO
    assert at(inspection, "MON/C15").capacitance_f is None
    assert at(inspection, "AUD/C8").override is Decision.KEEP
    assert at(inspection, "AUD/C8").override_reason


def test_tight_places(inspection: Inspection) -> None:
    under_the_tube = at(inspection, "MON/C14").body
    assert under_the_tube.room_above_mm is not None
    assert under_the_tube.length_mm is not None
    assert 0 < under_the_tube.room_above_mm - under_the_tube.length_mm < 2
    assert at(inspection, "PSU/C11").body.neighbour_gap_mm == 1


def test_bodies_lie_on_their_boards_and_beside_each_other(inspection: Inspection) -> None:
    for board in inspection.unit("Corncrake").boards:
        placed = [p for p in inspection.positions if p.key.board == board.name and p.body.x_mm is not None]
        for position in placed:
            body, (across, along) = position.body, half_size(position)
            assert across <= (body.x_mm or 0) <= (board.width_mm or 0) - across, position.key
            assert along <= (body.y_mm or 0) <= (board.height_mm or 0) - along, position.key
        for one, other in combinations(placed, 2):
            assert one.key[:3] == other.key[:3] or apart(one, other), f"{one.key} touches {other.key}"


def half_size(position: Position) -> tuple[float, float]:
    """Return half the extent along x and y; axial parts of the example lie along x."""
    body = position.body
    half_diameter = (body.diameter_mm or 5.0) / 2
    if body.mounting is Mounting.AXIAL:
        return (body.lead_spacing_mm or 0) / 2, half_diameter
    return max(half_diameter, (body.lead_spacing_mm or 0) / 2), half_diameter


def apart(one: Position, other: Position) -> bool:
    across = abs((one.body.x_mm or 0) - (other.body.x_mm or 0))
    along = abs((one.body.y_mm or 0) - (other.body.y_mm or 0))
    (a, b), (c, d) = half_size(one), half_size(other)
    both_round = one.body.mounting is not Mounting.AXIAL and other.body.mounting is not Mounting.AXIAL
    return across >= a + c or along >= b + d or (both_round and hypot(across, along) >= b + d)


def test_the_plain_list_is_read_too() -> None:
    inspection, problems = read_inspection([EXAMPLES / "plain-list.csv"])
    assert len(inspection.positions) == 26  # two lists, a range and a can of two sections among twenty rows
    assert [left.reason for left in inspection.left_out] == ["no designator"]
    assert ("unknown-heading", "Shelf") in {(problem.code, problem.value) for problem in problems}
    marked = {str(p.key).split("/", 1)[1]: p.marked for p in inspection.positions}
    assert marked["AMP L/C3"].capacitance_f == pytest.approx(4.7e-6)
    assert marked["AMP L/C8"].capacitance_f == pytest.approx(2200e-6)
    assert marked["AMP L/C10"].rated_voltage_v == 16
    assert marked["OSC/C4"].rated_voltage_v == 6.3
