"""How much one file may ask of the reader.

Inspections repeat themselves: a machine has a few hundred different markings, whatever its size. What is different
in every row, or names thousands of boards, is another kind of file or one made to keep the program busy.
"""

from __future__ import annotations

from dataclasses import dataclass

from recap.problems import Location, UnreadableFile

MOST_BOARDS = 1_000
"""Boards, rails or units of one file; each board gets documents of its own."""
MOST_EFFORT = 60_000
"""Characters of all different markings of one file, each marking counting ten more; some thousands of markings."""
MOST_TABLES = 200
"""Different rows of headings in one sheet."""
MOST_UNKNOWN = 300
"""Columns with headings that nothing reads, which are kept in the notes."""

_OF_A_MARKING = 10


@dataclass(slots=True)
class Effort:
    """What is left for the markings of one file."""

    left: int = MOST_EFFORT

    def take(self, text: str) -> bool:
        """Take what reading a new marking costs; tell whether there was enough left."""
        if self.left <= 0:
            return False
        self.left -= len(text) + _OF_A_MARKING
        return True


def at_most(most: int, count: int, place: Location) -> None:
    """Refuse a file that names more boards, rails or units than any machine has."""
    if count > most:
        reason = f"more than {most:,} different boards, rails or units; another column holds them, or split the list"
        raise UnreadableFile(f"{place}: {reason}")
