"""How benchmarks measure: processor time and memory of separate processes, which a busy machine disturbs less."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
Figure = tuple[str, float, str, str]
"""Name, value, unit, and what is aimed at."""


@dataclass(frozen=True)
class Ran:
    """What one process cost: processor time of all its threads, and the most memory that it held."""

    cpu_s: float
    peak_mb: float
    printed: str


def run(arguments: Sequence[str], environment: Mapping[str, str] | None = None) -> Ran:
    """Run the interpreter with these arguments to its end."""
    process = subprocess.Popen(
        [sys.executable, *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        cwd=ROOT,
        env={**os.environ, **(environment or {})},
        text=True,
    )
    assert process.stdout is not None
    printed = process.stdout.read()
    _, status, used = os.wait4(process.pid, 0)
    process.returncode = os.waitstatus_to_exitcode(status)
    if process.returncode:
        raise RuntimeError(f"{' '.join(arguments)[:200]} ended with {process.returncode}")
    return Ran(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, printed)


def told(module: str, function: str, *arguments: object) -> dict[str, Any]:
    """Return what a function of this folder finds in a process of its own, with the most memory that it took."""
    given = ", ".join(repr(str(item) if isinstance(item, Path) else item) for item in arguments)
    code = f"import json; from tests.benchmarks.{module} import {function}; print(json.dumps({function}({given})))"
    ran = run(["-c", code])
    return {**json.loads(ran.printed.splitlines()[-1]), "peak_mb": ran.peak_mb, "cpu_s": ran.cpu_s}


def ratio(ours: Sequence[str], floor: Sequence[str], times: int) -> float:
    """Return the median ratio of two commands that take turns, after one run of each that does not count."""
    run(ours), run(floor)
    return median(run(ours).cpu_s / run(floor).cpu_s for _ in range(times))


def seconds(work: Callable[[], object]) -> float:
    """Return the processor time that work takes here."""
    start = time.process_time()
    work()
    return time.process_time() - start
