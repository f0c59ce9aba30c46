"""How quickly commands answer, against interpreters that import what they truly need and move the same bytes."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from tests.benchmarks.clock import Figure, ratio

EXAMPLE = "examples/inspection.xlsx"
PART = "1000u 16V 105C 10x20 P5 5000h"
_READ = f"""
import click, numpy, python_calamine
book = python_calamine.load_workbook({EXAMPLE!r})
for name in book.sheet_names:
    book.get_sheet_by_name(name).to_python()
"""
_WRITTEN = """
import json, pathlib, openpyxl
for path in sorted(pathlib.Path({made!r}).rglob("*.*")):
    target = pathlib.Path({copy!r}) / path.relative_to({made!r})
    target.parent.mkdir(parents=True, exist_ok=True)
    if path.suffix == ".xlsx":
        openpyxl.load_workbook(path).save(target)
    elif path.suffix == ".json":
        target.write_text(json.dumps(json.loads(path.read_text(encoding="utf-8")), indent=1), encoding="utf-8")
    elif path.is_file():
        target.write_bytes(path.read_bytes())
"""


def measure(quick: bool = False) -> list[Figure]:
    """Measure start-up, the check and the order on the example."""
    times, few = (3, 1) if quick else (11, 5)
    recap, click = ["-m", "recap"], ["-c", "import click"]
    position = "PSU/C5"
    found: list[Figure] = [
        ("recap --help / import click", ratio([*recap, "--help"], click, times), "×", "≤ 2"),
        ("recap calc marking 4u7 / import click", ratio([*recap, "calc", "marking", "4u7"], click, times), "×", "≤ 3"),
    ]
    # The exit code of a check follows its verdict, so it is run where any verdict ends well.
    check = (
        f"from recap.cli import recap\n"
        f"recap(['check', {EXAMPLE!r}, {position!r}, '--part', {PART!r}], standalone_mode=False)"
    )
    calm = f"try:\n exec({check!r})\nexcept SystemExit: pass"
    found.append(("recap check / imports and the same files", ratio(["-c", calm], ["-c", _READ], few), "×", "≤ 1.5"))
    with TemporaryDirectory() as folder:
        made, copy = Path(folder, "made"), Path(folder, "copy")
        order = [*recap, "order", EXAMPLE, "--out", str(made)]
        floor = _READ + _WRITTEN.format(made=str(made), copy=str(copy))
        found.append(("recap order / imports and the same files", ratio(order, ["-c", floor], few), "×", "≤ 1.5"))
    return found
