"""Locators: to scale, mirrored on the solder side, and silent about a plus that is not agreed."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from sample_plan import (
    C2_PRIMARY,
    C3_AXIAL,
    C4_NEGATIVE,
    C5_STOP,
    C6_SOLDER_SIDE,
    L1_TANTALUM,
    LOGIC,
    POWER,
    sample_plan,
)

from recap.model import Board, Face, Judgement, Orientation, PlusAt, Polarity
from recap.outputs.drawings import BoardMap, Locator, map_board
from recap.outputs.landmarks import pad_a_direction, plus_direction

PLAN = sample_plan()
BOARD = PLAN.inspection.units[0].board(POWER)
MAP = map_board(BOARD, PLAN.inspection.positions)


def locator(judgement: Judgement) -> Locator:
    found = MAP.locator(judgement)
    assert found is not None
    return found


def dark(locator: Locator) -> list[tuple[float, float]]:
    return [
        (float(circle.get("cx", "nan")), float(circle.get("cy", "nan")))
        for circle in ET.fromstring(f"<g>{locator.overview}</g>").iter("circle")
        if circle.get("fill") == "#111"
    ]


def with_pad(judgement: Judgement, words: str) -> Judgement:
    polarity = replace(judgement.position.polarity, pad_a=words)
    return replace(judgement, position=replace(judgement.position, polarity=polarity))


def test_the_body_stands_at_its_coordinates_counted_from_the_lower_left_corner() -> None:
    assert dark(locator(C2_PRIMARY)) == [(45.0, 100.0 - 28.0)]


def test_the_body_is_drawn_at_its_size() -> None:
    circles = ET.fromstring(str(locator(C2_PRIMARY).close_up)).iter("circle")
    assert [circle.get("r") for circle in circles if circle.get("fill") == "#111"] == ["15"]


def test_the_solder_side_is_drawn_as_seen_when_turned_over() -> None:
    assert dark(locator(C6_SOLDER_SIDE)) == [(160.0 - 70.0, 100.0 - 80.0)]
    assert "turned over left to right" in locator(C6_SOLDER_SIDE).caption


def test_both_faces_are_drawn_where_parts_sit_on_both() -> None:
    drawings = locator(C2_PRIMARY).overview
    assert drawings.count("<svg") == 2
    assert "C2 on the part side" in drawings
    assert "C2 seen through from the solder side" in drawings
    part_side = [p for p in PLAN.inspection.positions if p.body.face is Face.PART_SIDE]
    single = map_board(BOARD, part_side).locator(C2_PRIMARY)
    assert single is not None
    assert single.overview.count("<svg") == 1


def test_every_drawing_is_well_formed_and_uses_only_faces_that_are_there() -> None:
    faces = re.findall(r'id="(face-\w+)"', MAP.symbols())
    assert faces == ["face-part", "face-solder"]
    ET.fromstring(str(MAP.symbols()))
    for judgement in PLAN.judgements:
        found = MAP.locator(judgement) if judgement.key.board == POWER else None
        if found is not None:
            ET.fromstring(f"<g>{found.overview}{found.close_up}</g>")
            assert set(re.findall(r'href="#([\w-]+)"', found.overview)) <= set(faces)


def test_plus_is_drawn_where_it_is_agreed() -> None:
    assert "with its plus side" in locator(C2_PRIMARY).close_up
    assert plus_direction(C2_PRIMARY, MAP.spots) == (-1.0, 0.0)


@pytest.mark.parametrize("judgement", [C5_STOP, replace(C5_STOP, orientation=Orientation(None, plus_at=PlusAt.A))])
def test_no_plus_is_drawn_while_polarity_is_not_settled(judgement: Judgement) -> None:
    assert "plus" not in locator(with_pad(judgement, "left")).close_up


def test_a_stop_item_shows_no_plus_even_where_one_is_known() -> None:
    found = MAP.locator(C2_PRIMARY, with_plus=False)
    assert found is not None
    assert "plus" not in found.close_up


def test_no_plus_is_drawn_where_the_landmark_cannot_be_placed() -> None:
    assert plus_direction(C4_NEGATIVE, MAP.spots) is None
    assert "plus" not in locator(C4_NEGATIVE).close_up


def test_plus_at_the_other_pad_lies_opposite_to_the_landmark() -> None:
    assert plus_direction(with_pad(C4_NEGATIVE, "nearer the left edge"), MAP.spots) == (1.0, 0.0)


@pytest.mark.parametrize(
    ("words", "way"),
    [
        ("left", (-1, 0)),
        ("nearer the top edge", (0, -1)),
        ("towards the lower side", (0, 1)),
        ("Right pad.", (1, 0)),
        ("left of U7", None),
        ("nearer the top of IC3", None),
        ("left right", None),
        ("the red dot", None),
        ("nearer R14", None),
        ("", None),
    ],
)
def test_only_words_without_doubt_give_a_side(words: str, way: tuple[int, int] | None) -> None:
    assert pad_a_direction(with_pad(C2_PRIMARY, words).position, MAP.spots) == way


def test_a_listed_neighbour_gives_the_way() -> None:
    way = pad_a_direction(C3_AXIAL.position, MAP.spots)
    assert way is not None
    assert way[0] < -0.98, "C2 lies to the left of C3"
    assert 0 > way[1] > -0.2, "and a little nearer the upper edge"


def test_left_and_right_are_not_trusted_on_the_solder_side() -> None:
    assert pad_a_direction(with_pad(C6_SOLDER_SIDE, "left").position, MAP.spots) is None
    assert pad_a_direction(with_pad(C6_SOLDER_SIDE, "top").position, MAP.spots) == (0.0, -1.0)


def test_an_axial_body_of_unknown_direction_gets_a_ring() -> None:
    assert "Dashed ring" in locator(C3_AXIAL).caption
    assert "Dashed ring" not in locator(with_pad(C3_AXIAL, "left")).caption


def test_without_coordinates_there_is_no_drawing() -> None:
    assert map_board(Board(LOGIC), PLAN.inspection.positions).locator(L1_TANTALUM) is None
    assert BoardMap(Board("x"), ()).symbols() == ""


def test_a_board_of_unknown_size_says_so() -> None:
    found = map_board(Board(POWER), PLAN.inspection.positions).locator(C2_PRIMARY)
    assert found is not None
    assert "edges were not recorded" in found.caption


def test_markup_in_a_designator_stays_text() -> None:
    bad = C2_PRIMARY.position.key._replace(designator="<script>&")
    position = replace(C2_PRIMARY.position, key=bad, polarity=Polarity())
    found = BoardMap(BOARD, (position,)).locator(replace(C2_PRIMARY, position=position))
    assert found is not None
    ET.fromstring(f"<g>{found.overview}{found.close_up}</g>")
    assert "<script" not in found.overview + found.close_up
