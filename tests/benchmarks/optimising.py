"""How long a proven optimum takes, and how near the bound a large order gets.

Processor time counts, which other programs on the machine do not stretch; the search uses one core.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from order_jobs import realistic_job

from recap.buying.greedy import greedy
from recap.buying.optimise import optimise

Row = tuple[str, float, str, float]
"""What was measured, the figure, its unit, and what it should not exceed."""

CANDIDATES = 50


def measure(*, large: bool = True) -> list[Row]:
    """Return the figures; without `large` only those that take seconds."""
    rows = proven(60, 20, seconds=120.0, aim=10.0)
    if large:
        rows += proven(500, CANDIDATES, seconds=120.0, aim=30.0)
        rows += near_the_bound(5000, CANDIDATES, seconds=300.0)
    return rows


def proven(demands: int, candidates: int, seconds: float, aim: float) -> list[Row]:
    """Return the time until an order is proven cheapest, and the gap that is left if it is not."""
    job = realistic_job(demands, candidates)
    begun = time.process_time()
    best = optimise(job, seconds)
    taken = time.process_time() - begun
    name = f"order of {demands} demands x {candidates} offers"
    return [(f"{name}: time", taken, "s", aim), (f"{name}: gap left", 100 * best.gap, "%", 0.0)]


def near_the_bound(demands: int, candidates: int, seconds: float) -> list[Row]:
    """Return the gap that is left after a time, and how much dearer an order by plain sense is."""
    job = realistic_job(demands, candidates)
    best = optimise(job, seconds)
    name = f"order of {demands} demands x {candidates} offers"
    rows: list[Row] = [(f"{name}: gap left after {seconds:.0f} s", 100 * best.gap, "%", 1.0)]
    plain = greedy(job)
    if plain is not None:
        rows.append((f"{name}: cost over plain sense", best.order.objective / plain.objective, "ratio", 1.0))
    return rows


if __name__ == "__main__":
    for what, figure, unit, aim in measure(large="--large" in sys.argv):
        print(f"{what:60} {figure:10.3f} {unit:6} aim {aim:g}")
