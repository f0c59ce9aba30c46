"""The cheapest solution of an order's program, by trying sellers first.

Delivery is what makes the program hard: a relaxed order buys a little everywhere and pays a little of each delivery.
So the search branches on whom to order from, the most promising first, and a branch ends when its relaxed cost is no
lower than the best order known. Only where the sellers have come out whole is the rest solved for whole numbers:
first among the columns that look promising, then among all that the relaxed costs do not rule out.
"""

from __future__ import annotations

import heapq
import time
from dataclasses import dataclass

import numpy as np

from recap.buying.program import Program
from recap.buying.solver import Found, Numbers, Solver

_CLOSE = 1e-6
_PROMISING = (12, 25)
"""Ways to serve a demand that are tried first, on average: those of the lowest reduced cost."""
_FIRST_GAP = 5e-4


@dataclass(frozen=True, slots=True)
class _Node:
    """Bounds of the columns, and the relaxed solution between them."""

    lower: Numbers
    upper: Numbers
    relaxed: Found


class Search:
    """Branch and bound over sellers; `best` and `bound` hold after each step, so that time may run out anywhere."""

    def __init__(self, program: Program, deadline: float, known: float, demands: int, step: float) -> None:
        """Begin with the cost of an order already known, and the step that all costs are whole multiples of."""
        self.solver = Solver(program, deadline)
        self.deadline = deadline
        self.sellers = np.array([column for columns in program.sellers.values() for column in columns], int)
        self.known = known
        self.best: Numbers | None = None
        self.demands = demands
        self.serving = np.array([column for column, _, _ in program.serving], int)
        self.enough = max(step / 2, _CLOSE)
        self.bound = 0.0
        self.feasible = True
        self._open: list[tuple[float, int, _Node]] = []
        self._count = 0

    def run(self) -> None:
        """Search until the best is proven or time is up."""
        self.feasible = self._push(self.solver.lower, self.solver.upper) or self._late()
        if not self.feasible or self._late():
            return
        while self._open and self._open[0][0] < self.known - self.enough:
            self.bound = self._open[0][0]
            _, _, node = heapq.heappop(self._open)
            column = self._most_divided(node)
            if column is not None:
                for value in (1.0, 0.0):
                    lower, upper = node.lower.copy(), node.upper.copy()
                    lower[column] = upper[column] = value
                    self._push(lower, upper)
                # What was not solved in time is not known to hold nothing: the bound stays at what held both.
                if self._late():
                    return
            elif not self._settle(node):
                return
        self.bound = self.known

    def _late(self) -> bool:
        return time.monotonic() >= self.deadline

    def _push(self, lower: Numbers, upper: Numbers) -> bool:
        """Open a node if it may hold anything cheaper; return whether anything is feasible there."""
        relaxed = self.solver.relax(lower, upper)
        if relaxed is not None and relaxed.bound < self.known - self.enough:
            self._count += 1
            heapq.heappush(self._open, (relaxed.bound, self._count, _Node(lower, upper, relaxed)))
        return relaxed is not None

    def _most_divided(self, node: _Node) -> int | None:
        """Return the seller column that is furthest from whole."""
        assert node.relaxed.columns is not None
        values = node.relaxed.columns[self.sellers]
        away = np.abs(values - np.round(values))
        return int(self.sellers[np.argmax(away)]) if len(away) and away.max() > _CLOSE else None

    def _settle(self, node: _Node) -> bool:
        """Solve a node for whole numbers; whether it is done with."""
        for ways in _PROMISING:
            self._take(self._among(node, self._margin(node, ways), _FIRST_GAP))
        margin = self.known - node.relaxed.bound
        last = self._among(node, margin, 0.0)
        self._take(last)
        others = self._open[0][0] if self._open else np.inf
        reached = max(last.bound, node.relaxed.bound) if last else node.relaxed.bound
        done = reached >= self.known - self.enough or (last is None and not self._late())
        if not done:
            self.bound = min(reached, others, self.known)
        return done

    def _margin(self, node: _Node, ways: int) -> float:
        """Return the reduced cost up to which there are so many ways to serve a demand, on average."""
        assert node.relaxed.reduced is not None
        reduced = np.sort(node.relaxed.reduced[self.serving])
        return float(reduced[min(ways * self.demands, len(reduced) - 1)])

    def _among(self, node: _Node, margin: float, gap: float) -> Found | None:
        """Solve a node among the columns whose reduced cost is within a margin; others stay at zero."""
        assert node.relaxed.columns is not None
        assert node.relaxed.reduced is not None
        kept = (node.relaxed.reduced <= margin + _CLOSE) | (node.relaxed.columns > _CLOSE) | ~self.solver.whole
        upper = np.where(kept, node.upper, node.lower)
        return self.solver.solve(node.lower, upper, self.best, gap)

    def _take(self, found: Found | None) -> None:
        if found is not None and found.columns is not None and found.value < self.known - self.enough / 2:
            self.known, self.best = found.value, found.columns
