"""The Read-me sheet of the inspection workbook."""

from __future__ import annotations

from typing import TYPE_CHECKING

from openpyxl.styles import Alignment, Font

if TYPE_CHECKING:
    from openpyxl.worksheet.worksheet import Worksheet

TITLE = "Inspection of capacitors"

PARAGRAPHS = (
    ("", "Fill in one copy for each machine. The answers become an order, a work order for each board, and what to "
     "check before and at the first power-up."),
    ("Before you touch anything",
     "Disconnect the mains. Large capacitors can hold a dangerous charge for a long time: discharge them through a "
     "resistor and measure that they are empty. Work on mains equipment belongs to those trained for it; local "
     "rules come first."),
    ("What is needed", "On the Capacitors sheet only Board and Designator. Every further cell makes more checks "
     "possible; the ten columns in front matter most. Leave a cell empty rather than guess."),
    ("More columns", "Behind the ten essentials, narrow columns name groups that are folded away: place and role, "
     "as marked, as documented, as measured, room around, polarity, notes. Open one with the + above it."),
    ("How to write", "As it stands on the part: 4u7, 2200, 100n, 6,3 or 6.3. A bare capacitance is in µF; other "
     "bare numbers are in the unit of their heading. An unclear entry is asked about, never guessed."),
    ("Lists", "Cells with a fixed choice offer it when clicked. Several conditions may stand in one cell, with "
     "commas between them."),
    ("Polarity", "Name one pad of the position pad A by a landmark, such as nearer U12. Silkscreen, As found and "
     "Net then say where the plus is, seen from it. Without Net no orientation is printed."),
    ("Cans with several sections", "One row for each section, the same designator, and the section's name or mark "
     "in Section."),
    ("Assumed", "The Unit sheet shows what is assumed unless you say otherwise. Change the entry, or the basis if "
     "the assumption happens to be right."),
    ("Examples", "The second row of each sheet is an example with invented data. Every row whose first cell begins "
     "with (example) is passed over, so it may stay."),
    ("Next", "recap read FILE shows what was understood, what needs a second look, and what more would make "
     "possible. recap order FILE --out FOLDER does the job."),
)  # fmt: skip


def write_readme(sheet: Worksheet) -> None:
    """Write the sheet: two columns, a few words on each subject."""
    sheet.column_dimensions["A"].width = 26
    sheet.column_dimensions["B"].width = 78
    sheet.sheet_view.showGridLines = False
    sheet["A1"] = TITLE
    sheet["A1"].font = Font(name="Calibri", bold=True, size=16)
    sheet.row_dimensions[1].height = 30
    for row, (heading, text) in enumerate(PARAGRAPHS, start=2):
        head, body = sheet.cell(row, 1, heading), sheet.cell(row, 2, text)
        head.font, body.font = Font(name="Calibri", bold=True), Font(name="Calibri")
        head.alignment = body.alignment = Alignment(wrap_text=True, vertical="top")
        sheet.row_dimensions[row].height = 8 + 15 * (1 + len(text) // 82)
