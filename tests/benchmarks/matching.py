"""Matching and loading parts, against one pass of the same comparisons in bare numpy and the fastest csv readers."""

from __future__ import annotations

import os
import random
import tempfile
from pathlib import Path
from typing import Any

import numpy as np

from tests.benchmarks.clock import Figure, seconds, told
from tests.benchmarks.lists import write_list

HEADINGS = (
    "Order code,Manufacturer,Mfr part number,Technology,Mounting,Capacitance µF,Tolerance,Voltage V,Temp max °C,Life h,"
    "Ripple mA 120Hz,ESR mΩ 100kHz,Diameter mm,Length mm,Lead spacing mm,MOQ,Multiple,Price 1,Price 100,"
    "Currency,Stock,Seller"
)


def write_catalogue(path: Path, count: int) -> Path:
    """Write an invented catalogue of so many parts."""
    rng = random.Random(5)
    cans = ((5, 11, 2), (6.3, 11, 2.5), (8, 11.5, 3.5), (10, 16, 5), (12.5, 20, 5), (16, 25, 7.5), (18, 35.5, 7.5))
    with path.open("w", encoding="utf-8") as stream:
        stream.write(HEADINGS + "\n")
        for number in range(count):
            value = rng.choice((1, 1.5, 2.2, 3.3, 4.7, 6.8)) * 10 ** rng.randint(-1, 3)
            volts, (diameter, length, pitch) = rng.choice((6.3, 10, 16, 25, 35, 50, 63, 100)), rng.choice(cans)
            price = 0.05 + rng.random()
            stream.write(
                f"K{number:07d},Quillon (invented),Q{number},wet aluminium,radial,{value:g},±20%,{volts},"
                f"{rng.choice((85, 105))},{rng.choice((1000, 2000, 5000))},"
                f"{rng.randint(50, 3000)},{rng.randint(10, 900)},"
                f"{diameter},{length},{pitch},1,1,{price:.3f},{price * 0.7:.3f},EUR,"
                f"{rng.randint(0, 5000)},Kestrel (invented)\n"
            )
    return path


def first_load(path: str) -> dict[str, float]:
    """Read a catalogue for the first time, then from the cache."""
    from recap.parts.reading import read_catalogues

    return {"first_s": seconds(lambda: read_catalogues([path])), "again_s": seconds(lambda: read_catalogues([path]))}


def bare_load(path: str) -> dict[str, float]:
    """Read the same file with pyarrow and with pandas."""
    import pandas as pd
    from pyarrow import csv

    return {"pyarrow_s": seconds(lambda: csv.read_csv(path)), "pandas_s": seconds(lambda: pd.read_csv(path))}


def matched(parts: str, positions: str, most: int) -> dict[str, float]:
    """Match every position with the parts that serve it, and make the same comparisons once in bare numpy."""
    import resource

    from recap.intake.records import read_inspection
    from recap.parts.match import candidates
    from recap.parts.reading import read_catalogues
    from recap.planning import plan

    catalogue, _ = read_catalogues([parts])
    judgements = plan(read_inspection([positions])[0], present_year=2025).judgements
    wanted = [judgement for judgement in judgements if judgement.specification is not None][:most]
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    kept: list[Any] = []
    ours_s = seconds(lambda: kept.append(sum(len(each.rows) for each in candidates(wanted, catalogue))))
    after = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    names = (
        "capacitance_f", "rated_voltage_v", "upper_category_temperature_c", "endurance_h", "diameter_mm", "length_mm",
        "lead_spacing_mm",
    )  # fmt: skip
    columns = {name: np.array(catalogue.number(name)) for name in names}
    specs = list({repr(j.specification): j.specification for j in wanted}.values())
    some = specs[:: max(1, len(specs) // 200)]

    def bare() -> None:
        for spec in some:
            low, high = spec.capacitance_window_f
            fits = (columns["capacitance_f"] >= low) & (columns["capacitance_f"] <= high)
            fits &= columns["rated_voltage_v"] >= spec.rated_voltage_v
            for name, limit in (("diameter_mm", spec.diameter_max_mm), ("length_mm", spec.height_max_mm)):
                if limit is not None:
                    fits &= columns[name] <= limit
            if spec.upper_category_temperature_c is not None:
                fits &= columns["upper_category_temperature_c"] >= spec.upper_category_temperature_c
            if spec.endurance_h is not None:
                fits &= columns["endurance_h"] >= spec.endurance_h
            if spec.lead_spacings_mm:
                fits &= np.isin(columns["lead_spacing_mm"], spec.lead_spacings_mm)
            np.flatnonzero(fits)

    numeric_mb = sum(column.nbytes for column in columns.values()) / 1e6
    return {
        "ours_s": ours_s,
        "bare_s": seconds(bare) / len(some) * len(specs),
        "wanted": len(specs),
        "grown_mb": after - before,
        "numeric_mb": numeric_mb,
    }


def measure(quick: bool = False) -> list[Figure]:
    """Measure loading and matching at growing sizes, the largest against the aims."""
    sizes = ((60, 5000), (500, 20_000)) if quick else ((60, 5000), (500, 100_000), (5000, 1_000_000))
    found: list[Figure] = []
    with tempfile.TemporaryDirectory() as name:
        os.environ["XDG_CACHE_HOME"] = name
        for positions, parts in sizes:
            catalogue = write_catalogue(Path(name, f"{parts}.csv"), parts)
            wishes = write_list(Path(name, f"{positions}.xlsx"), 2 * positions, distinct=2 * positions)
            bare, load = told("matching", "bare_load", catalogue), told("matching", "first_load", catalogue)
            here = told("matching", "matched", catalogue, wishes, positions)
            least = min(bare["pyarrow_s"], bare["pandas_s"])
            of = f"{parts:,} parts"
            found += [
                (f"first load of {of} / pyarrow or pandas", load["first_s"] / least, "×", "≤ 1.5"),
                (f"load of {of} from the cache / pyarrow or pandas", load["again_s"] / least, "×", "≤ 0.1"),
                (f"matching {positions:,} positions × {of} / bare numpy", here["ours_s"] / here["bare_s"], "×", "≤ 3"),
                ("  distinct requirements among them", here["wanted"], "", ""),
                ("  seconds", here["ours_s"], "s", ""),
                (
                    "  memory beside the loaded catalogue / numeric columns",
                    here["grown_mb"] / here["numeric_mb"],
                    "×",
                    "≤ 4",
                ),
            ]
    return found
