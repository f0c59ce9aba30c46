"""Programs handed to HiGHS: the relaxed one with its reduced costs, and the whole one with a start and a deadline.

One thread, no limit but the deadline: what is solved before it comes out the same on every run and machine.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from functools import cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from recap.buying.program import Program

Numbers = NDArray[np.float64]

_FEASIBLE_STATES = ("kOptimal", "kTimeLimit", "kInterrupt", "kSolutionLimit", "kObjectiveTarget", "kObjectiveBound")


@dataclass(frozen=True, slots=True)
class Found:
    """What the solver found: the best columns it has, if any, and a bound that no solution is below."""

    columns: Numbers | None
    value: float
    bound: float
    reduced: Numbers | None = None
    """Reduced costs of a relaxed program: what a column adds at least for each unit it is raised."""


@cache
def _quiet_solver() -> Any:
    """Return the solver's class without its banner; the library loads when the first program is solved."""
    import highspy

    class Quiet(highspy.Highs):
        def enableCallbacks(self) -> None:  # noqa: N802, called by the constructor, which speaks up here
            self.setOptionValue("output_flag", False)
            super().enableCallbacks()  # type: ignore[no-untyped-call]

    return Quiet


class Solver:
    """A program inside HiGHS; bounds of columns may be changed between runs."""

    def __init__(self, program: Program, deadline: float) -> None:
        import highspy
        from scipy.sparse import csc_matrix

        self.deadline = deadline
        shape = (len(program.low), len(program.cost))
        matrix = csc_matrix((program.entries, (program.at_row, program.at_column)), shape)
        self.upper = np.array(program.upper, float)
        self.lower = np.zeros(len(self.upper))
        self.whole = np.ones(len(self.upper), bool)
        self.whole[program.fillers] = False
        model = highspy.HighsLp()
        model.num_col_, model.num_row_ = shape[1], shape[0]
        model.col_cost_ = np.array(program.cost, float)
        model.col_lower_, model.col_upper_ = self.lower, self.upper
        model.row_lower_, model.row_upper_ = np.array(program.low, float), np.array(program.high, float)
        model.a_matrix_.format_ = highspy.MatrixFormat.kColwise
        model.a_matrix_.start_, model.a_matrix_.index_ = matrix.indptr, matrix.indices
        model.a_matrix_.value_ = matrix.data
        self.model = model
        self._relaxed: Any = None

    def relax(self, lower: Numbers, upper: Numbers) -> Found | None:
        """Solve without asking for whole numbers, between bounds; None when nothing is feasible or time is up."""
        if self._relaxed is None:
            self._relaxed = self._highs()
        self._relaxed.changeColsBounds(len(lower), np.arange(len(lower), dtype=np.int32), lower, upper)
        if self._run(self._relaxed) != "kOptimal":
            return None
        value = self._relaxed.getInfo().objective_function_value
        solution = self._relaxed.getSolution()
        return Found(np.array(solution.col_value), value, value, np.array(solution.col_dual))

    def solve(self, lower: Numbers, upper: Numbers, start: Numbers | None = None, gap: float = 0.0) -> Found | None:
        """Solve for whole numbers between bounds, to a relative gap; None when nothing is feasible."""
        import highspy

        highs = self._highs()
        kinds = np.where(self.whole, highspy.HighsVarType.kInteger.value, highspy.HighsVarType.kContinuous.value)
        columns = np.arange(len(lower), dtype=np.int32)
        highs.changeColsIntegrality(len(lower), columns, kinds.astype(np.uint8))
        highs.changeColsBounds(len(lower), columns, lower, upper)
        highs.setOptionValue("mip_rel_gap", gap)
        highs.setOptionValue("mip_abs_gap", 1e-7)
        if start is not None:
            given = highspy.HighsSolution()
            given.col_value = list(start)
            highs.setSolution(given)
        state = self._run(highs)
        info = highs.getInfo()
        if state not in _FEASIBLE_STATES:
            return None
        feasible = info.primal_solution_status == 2
        columns_found = np.array(highs.getSolution().col_value) if feasible else None
        return Found(columns_found, info.objective_function_value if feasible else np.inf, info.mip_dual_bound)

    def _highs(self) -> Any:
        highs = _quiet_solver()()
        highs.setOptionValue("parallel", "off")
        highs.setOptionValue("threads", 1)
        highs.passModel(self.model)
        return highs

    def _run(self, highs: Any) -> str:
        left = self.deadline - time.monotonic()
        if left <= 0:
            return "kTimeLimit"
        highs.setOptionValue("time_limit", highs.getRunTime() + left)
        highs.HandleKeyboardInterrupt = True
        highs.run()
        return str(highs.getModelStatus().name)
