"""Invented inspection lists of any length, many of whose positions are alike and none of whose rows are."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

from openpyxl import Workbook

HEADINGS = [
    "Unit", "Board", "Designator", "Capacitance", "Volts", "Kind", "Mounting", "Diameter mm", "Height mm",
    "Lead spacing mm", "Condition", "Role", "Temperature °C", "Date code", "Measured µF", "ESR Ω", "ESR frequency Hz",
    "Volts in use", "Note",
]  # fmt: skip
CANS = ((5, 11, 2), (6.3, 11, 2.5), (8, 11.5, 3.5), (10, 16, 5), (12.5, 20, 5), (16, 25, 7.5), (18, 35.5, 7.5))
VALUES_UF = [m * 10.0**e for e in (0, 1, 2, 3) for m in (1, 2.2, 3.3, 4.7)]
RATINGS_V = (6.3, 10, 16, 25, 35, 50, 63, 100)
CONDITIONS = ("sound", "sound", "sound", "leaked", "bulged", "crust")
ROLES = ("decoupling", "coupling", "timing", "reservoir", "regulator output", "unknown")
UNITS, BOARDS = 25, 300


def kinds(count: int, seed: int = 7) -> list[list[Any]]:
    """Return what stands in the cells from Capacitance to Volts in use, for so many kinds of positions."""
    rng = random.Random(seed)
    found: dict[tuple[Any, ...], None] = {}
    while len(found) < count:
        microfarads, rated = rng.choice(VALUES_UF), rng.choice(RATINGS_V)
        diameter, height, pitch = rng.choice(CANS)
        measured = rng.random() < 0.5
        cells = (
            microfarads, rated, "wet aluminium", "radial", diameter, height, pitch, rng.choice(CONDITIONS),
            rng.choice(ROLES), rng.choice((85, 105, None)), f"{rng.randint(76, 99)}{rng.randint(1, 52):02d}",
            round(microfarads * rng.choice((0.7, 0.9, 1.05)), 3) if measured else None,
            round(rng.choice((40, 150, 900)) / microfarads, 4) if measured else None, 100 if measured else None,
            round(rated * rng.choice((0.4, 0.6, 0.8)), 1) if rng.random() < 0.5 else None,
        )  # fmt: skip
        found[cells] = None
    return [list(cells) for cells in found]


def rows(count: int, distinct: int = 2000) -> list[list[Any]]:
    """Return the rows of a list: the same machines over and over, each position with a name of its own."""
    rng = random.Random(11)
    usual, units = kinds(min(distinct, count)), min(UNITS, max(1, count // 100))
    boards = min(BOARDS, max(1, count // 20))
    made = []
    for number in range(count):
        board = number % boards
        note = f"bag {number}" if number % 10 == 0 else None
        made.append(
            [
                f"unit {board % units + 1:02d}",
                f"board {board + 1:03d}",
                f"C{number // boards + 1}",
                *rng.choice(usual),
                note,
            ]
        )
    return made


def write_list(path: Path, count: int, distinct: int = 2000) -> Path:
    """Write a list of so many positions as a workbook."""
    book = Workbook(write_only=True)
    sheet = book.create_sheet("Capacitors")
    sheet.append(HEADINGS)
    for row in rows(count, distinct):
        sheet.append(row)
    book.save(path)
    return path
