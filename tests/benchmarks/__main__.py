"""Run the benchmarks and print one table: python -m tests.benchmarks [--quick] [starting planning matching …]."""

from __future__ import annotations

import argparse
import inspect
from datetime import date
from importlib import import_module
from importlib.util import find_spec

PARTS = ("starting", "planning", "matching", "optimising")


def main() -> None:
    """Measure what was asked for; a row is printed as soon as its part is done."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("parts", nargs="*", help=f"which of {', '.join(PARTS)}; all without any")
    parser.add_argument("--quick", action="store_true", help="small sizes and few runs: whether it works, not how fast")
    asked = parser.parse_args()
    if unknown := set(asked.parts) - set(PARTS):
        parser.error(f"unknown: {', '.join(sorted(unknown))}")
    kind = "small sizes, not to be compared" if asked.quick else "processor time, medians of runs that take turns"
    print(f"Measured {date.today()}: {kind}\n\n| what | value | aim |\n|---|---|---|")
    for name in asked.parts or PARTS:
        if find_spec(f"tests.benchmarks.{name}") is None:
            continue
        measure = import_module(f"tests.benchmarks.{name}").measure
        takes_quick = "quick" in inspect.signature(measure).parameters
        for what, value, unit, aim in measure(quick=asked.quick) if takes_quick else measure():
            print(f"| {what.replace('  ', '– ', 1)} | {value:.3g}{' ' if unit else ''}{unit} | {aim} |", flush=True)


if __name__ == "__main__":
    main()
