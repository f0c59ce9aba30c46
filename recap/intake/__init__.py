"""From files and what people write in them to records."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from recap.model import Inspection
    from recap.problems import Problem


def read_inspection(
    paths: Sequence[str | Path], headings: Mapping[str, str] | None = None
) -> tuple[Inspection, list[Problem]]:
    """Read the files of one job, as `recap.intake.records` does; imported late for quick small questions."""
    from recap.intake import records

    return records.read_inspection(paths, headings)
