"""Workbooks: xlsx and ods."""

from __future__ import annotations

from pathlib import Path

from recap.intake.cells import Sheet
from recap.problems import Problem, UnreadableFile


def read(path: Path) -> tuple[list[Sheet], list[Problem]]:
    """Read every sheet of a workbook, hidden ones too."""
    import python_calamine

    try:
        with python_calamine.load_workbook(str(path)) as book:
            sheets = [
                Sheet(str(path), name, book.get_sheet_by_name(name).to_python(skip_empty_area=False))
                for name in book.sheet_names
            ]
    except python_calamine.PasswordError:
        raise UnreadableFile(f"{path}: the workbook is protected by a password") from None
    except Exception as error:
        raise UnreadableFile(f"{path}: the workbook is damaged ({error})") from None
    return sheets, []
