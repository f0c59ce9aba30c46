"""Workbooks: xlsx and ods."""

from __future__ import annotations

import posixpath
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from recap.intake.cells import Sheet, Value
from recap.intake.packages import Package, open_package
from recap.intake.sheet_scan import Scan, scan_ods, scan_xlsx
from recap.problem_codes import report
from recap.problems import Location, Problem, UnreadableFile

LONGEST_LIST = 2_000_000
"""Bytes of the XML that lists the sheets; a tree takes many times its text, so what could be a bomb is not opened."""


def read(path: Path) -> tuple[list[Sheet], list[Problem]]:
    """Read every sheet of a workbook, hidden ones too; raises UnreadableFile."""
    import python_calamine

    package = open_package(path)
    try:
        scans = _scans(package)
    except ValueError as error:
        raise UnreadableFile(f"{path}: the workbook is damaged ({error}); save it again from its program") from None
    for name, scan in scans.items():
        if scan.too_far:
            raise UnreadableFile(f"{path}:{name}: the sheet is too large: {scan.too_far}")
    problems = _notes(package)
    sheets: list[Sheet] = []
    try:
        with python_calamine.load_workbook(str(path)) as book:
            for about in book.sheets_metadata:
                if about.typ != python_calamine.SheetTypeEnum.WorkSheet:
                    continue
                if about.name not in scans:
                    raise ValueError(f"the sheet {about.name} cannot be looked at")
                sheet, found = _sheet(path, book.get_sheet_by_name(about.name), scans[about.name])
                if about.visible != python_calamine.SheetVisibleEnum.Visible and any(map(any, sheet.rows)):
                    problems.append(report("hidden-sheet", "a hidden sheet, read like any other", _place(sheet)))
                sheets.append(sheet)
                problems += found
    except python_calamine.PasswordError:
        raise UnreadableFile(f"{path}: the workbook is protected by a password; save it without one") from None
    except (KeyboardInterrupt, SystemExit, MemoryError):
        raise
    except BaseException as error:  # a panic inside the reader is no Exception
        raise UnreadableFile(f"{path}: the workbook is damaged ({error})") from None
    return sheets, problems


def _sheet(path: Path, read_sheet: Any, scan: Scan) -> tuple[Sheet, list[Problem]]:
    rows: list[list[Value]] = read_sheet.to_python(skip_empty_area=False)
    hidden = frozenset(row for row in scan.hidden_rows if row <= len(rows) and any(rows[row - 1]))
    sheet = Sheet(str(path), read_sheet.name, rows, hidden, scan.damage)
    for row, _ in scan.damage:
        rows += [[] for _ in range(min(row, len(rows) + 1000) + 1 - len(rows))]
    problems = []
    if hidden:
        listed = ", ".join(map(str, sorted(hidden)[:10])) + (" …" if len(hidden) > 10 else "")
        message = f"hidden rows, read like any other: {listed}"
        problems.append(report("hidden-rows", message, _place(sheet), hint="delete them if they do not count"))
    filled = _fill_merged(rows, read_sheet.merged_cell_ranges or scan.merged)
    if filled:
        message = f"merged cells count for every row they cover; {filled} cells filled"
        problems.append(report("merged-cells", message, _place(sheet)))
    return sheet, problems


def _fill_merged(rows: list[list[Value]], ranges: list[tuple[tuple[int, int], tuple[int, int]]]) -> int:
    """Give every row that a merged cell covers its value; return how many cells that filled."""
    filled = 0
    reached: dict[int, int] = {}
    for (top, left), (bottom, _) in sorted(ranges):
        # Merged cells that overlap are damage; looking at each cell once keeps them from costing more.
        first = max(top, reached.get(left, -1)) + 1
        reached[left] = max(reached.get(left, -1), bottom)
        if bottom == top or top >= len(rows) or left >= len(rows[top]) or rows[top][left] == "":
            continue
        for row in rows[first : bottom + 1]:
            if left < len(row) and row[left] == "" and any(row):
                row[left] = rows[top][left]
                filled += 1
    return filled


def _notes(package: Package) -> list[Problem]:
    place = Location(str(package.path))
    problems = []
    if any(name.startswith("xl/externallinks/") for name in package.names):
        problems.append(report("linked-file", "refers to another file; the link is not followed", place))
    if "xl/vbaproject.bin" in package.names or any(name.startswith("basic/") for name in package.names):
        problems.append(report("macros", "holds macros; they are not run", place))
    return problems


def _place(sheet: Sheet) -> Location:
    return Location(sheet.file, sheet.name)


def _scans(package: Package) -> Mapping[str, Scan]:
    """Return what a second look at each sheet finds, by the sheet's name."""
    if package.is_ods:
        return scan_ods(package.parts["content.xml"])
    strings = package.parts.get("xl/sharedstrings.xml", b"")
    parts = _sheet_parts(package)
    missing = [name for name, part in parts.items() if part not in package.parts]
    if missing:
        raise ValueError(f"the sheet {missing[0]} is not where it should be")
    return {name: scan_xlsx(package.parts[part], strings) for name, part in parts.items()}


def _sheet_parts(package: Package) -> dict[str, str]:
    """Return the part of each sheet by its name."""
    try:
        listed = package.parts["xl/workbook.xml"], package.parts.get("xl/_rels/workbook.xml.rels", b"<none/>")
        if max(map(len, listed)) > LONGEST_LIST:
            raise ValueError("its list of sheets is longer than any")
        book, links = map(ElementTree.fromstring, listed)
    except (ElementTree.ParseError, KeyError):
        raise UnreadableFile(f"{package.path}: the workbook is damaged; save it again from its program") from None
    targets = {link.get("Id", ""): link.get("Target", "") for link in links}
    parts = {}
    for element in book.iter():
        if re.fullmatch(r"(\{.*\})?sheet", element.tag):
            link = next((value for name, value in element.attrib.items() if name.endswith("}id")), "")
            target = targets.get(link, "").replace("\\", "/").lower()
            name = element.get("name", "")
            if name in parts:
                raise UnreadableFile(f"{package.path}: two sheets are called {name}; save it again from its program")
            parts[name] = target.lstrip("/") if target.startswith("/") else posixpath.normpath(f"xl/{target}")
    return parts
