"""Reading and planning long lists, against the fastest reader and the same formulas in bare numpy."""

from __future__ import annotations

import math
import os
import shutil
import subprocess
import tempfile
import time
from pathlib import Path

import numpy as np

from tests.benchmarks.clock import Figure, seconds, told
from tests.benchmarks.lists import write_list

YEAR = 2025


def floor(path: str) -> dict[str, float]:
    """Read a list with python-calamine into pandas and evaluate the formulas of a plan in bare numpy."""
    import pandas as pd

    from recap.formulas.voltage import worst_rail_v

    frames: list[pd.DataFrame] = []

    def read() -> None:
        frames.append(pd.read_excel(path, engine="calamine"))

    def evaluate() -> None:
        frame = frames[0]
        microfarads, rated = frame["Capacitance"].to_numpy(float), frame["Volts"].to_numpy(float)
        diameter, height = frame["Diameter mm"].to_numpy(float), frame["Height mm"].to_numpy(float)
        category = frame["Temperature °C"].fillna(85).to_numpy(float)
        used = np.where(np.isnan(v := frame["Volts in use"].to_numpy(float)), 0.8 * rated, v)
        np.asarray(worst_rail_v(used, 0.1))
        np.searchsorted(np.array([6.3, 10, 16, 25, 35, 50, 63, 100, 160]), used / 0.8)
        0.2 / (2 * math.pi * 120 * microfarads * 1e-6)
        surface = math.pi * diameter * height + math.pi / 4 * diameter**2
        np.sqrt(surface * 0.0023 * 5 / (0.2 / (2 * math.pi * 120 * microfarads * 1e-6)))
        life = 2000 * 2 ** ((category - 40) / 10) * np.clip(rated / used, 1, 2) ** 2.5
        np.minimum(life, 130_000) / 200
        frame["Measured µF"].to_numpy(float) / microfarads
        frame["ESR Ω"].to_numpy(float) * microfarads

    return {"read_s": seconds(read), "formulas_s": seconds(evaluate)}


def ours(path: str) -> dict[str, float]:
    """Read and plan a list; the plan holds every reason, none is put into words for a document."""
    from recap.intake.records import read_inspection
    from recap.planning import plan

    start = time.process_time()
    inspection, _ = read_inspection([path])
    read = time.process_time()
    plan(inspection, present_year=YEAR)
    return {"read_s": read - start, "plan_s": time.process_time() - read}


def recalculation_s(folder: Path, rows: int) -> float | None:
    """Return the seconds in which a spreadsheet program recalculates eight formulas a row; None without one."""
    program = shutil.which("soffice")
    if program is None:
        return None
    from openpyxl import Workbook

    book = Workbook(write_only=True)
    sheet = book.create_sheet("Sums")
    for row in range(1, rows + 1):
        formulas = (
            f"=B{row}*1.1*SQRT(2)", f"=0.2/(2*PI()*120*A{row}*0.000001)", f"=IF(C{row}>85,105,85)",
            f"=2000*2^((F{row}-40)/10)", f"=MIN(G{row},130000)/200", f"=SQRT(10/E{row})", f"=D{row}/0.8",
            f"=IF(J{row}>B{row},\"higher\",\"as is\")",
        )  # fmt: skip
        sheet.append([10 + row % 90, 6.3 + row % 50, 40 + row % 60, *formulas])
    path = folder / "sums.xlsx"
    book.save(path)
    start = os.times()
    subprocess.run(
        [program, f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", "csv", "--outdir",
         str(folder), str(path)],
        check=True, capture_output=True, timeout=600,
    )  # fmt: skip
    end = os.times()
    return end.children_user + end.children_system - start.children_user - start.children_system


def measure(quick: bool = False) -> list[Figure]:
    """Measure reading and planning at four sizes, the largest against its floors."""
    sizes = (500, 1000, 2000, 4000) if quick else (6250, 12_500, 25_000, 50_000)
    found: list[Figure] = []
    spent = []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for size in sizes:
            path = write_list(folder / f"{size}.xlsx", size)
            spent.append(told("planning", "ours", path))
        least = told("planning", "floor", path)
        most, base = spent[-1], least["read_s"] + least["formulas_s"]
        total = most["read_s"] + most["plan_s"]
        found += [
            (f"reading and planning {size:,} positions / calamine, pandas, numpy", total / base, "×", "≤ 5"),
            ("  of which reading", most["read_s"], "s", ""),
            ("  of which planning", most["plan_s"], "s", ""),
            ("  the floor", base, "s", ""),
            ("  most memory", most["peak_mb"], "MB", ""),
        ]
        for part in ("read_s", "plan_s"):
            slope = np.polyfit(np.log(sizes), np.log([each[part] for each in spent]), 1)[0]
            found.append(
                (f"growth of {'reading' if part == 'read_s' else 'planning'}, exponent", float(slope), "", "≤ 1.1")
            )
        sheet_s = recalculation_s(folder, size)
        if sheet_s is not None:
            found.append(
                (f"reading and planning / spreadsheet with {size:,} × 8 formulas", total / sheet_s, "×", "< 1")
            )
    return found
