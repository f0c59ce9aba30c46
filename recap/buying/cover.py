"""The fewest columns that cover all rows and, among equal counts, those that cost least: an integer program."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

Column = Mapping[int, float]
"""What it costs to serve each row that the column covers."""


def least_cover(rows: int, columns: Sequence[Column]) -> list[int]:
    """Return for each row the column that serves it; every row must be covered by some column."""
    chosen: list[int] = [-1] * rows
    for members in _apart(rows, columns):
        near = [index for index, column in enumerate(columns) if column and next(iter(column)) in members]
        for row, column in _part(sorted(members), near, columns).items():
            chosen[row] = column
    return chosen


def _apart(rows: int, columns: Sequence[Column]) -> list[set[int]]:
    """Return the sets of rows that no column ties together: each is a program of its own."""
    leader = list(range(rows))

    def root(row: int) -> int:
        while leader[row] != row:
            row = leader[row]
        return row

    for column in columns:
        first, *others = (root(row) for row in column)
        for other in others:
            leader[root(other)] = root(first)
    parts: dict[int, set[int]] = {}
    for row in range(rows):
        parts.setdefault(root(row), set()).add(row)
    return list(parts.values())


def _part(members: list[int], near: list[int], columns: Sequence[Column]) -> dict[int, int]:
    """Return the best cover of rows that belong together."""
    whole = [index for index in near if len(columns[index]) == len(members)]
    if whole:
        best = min(whole, key=lambda index: sum(columns[index].values()))
        return dict.fromkeys(members, best)
    count = _fewest(members, [columns[index] for index in near])
    if count == len(members):
        return {row: _cheapest(row, near, columns) for row in members}
    opened = _cheapest_of(count, members, near, columns)
    return {row: _cheapest(row, opened, columns) for row in members}


def _cheapest(row: int, able: Sequence[int], columns: Sequence[Column]) -> int:
    return min((index for index in able if row in columns[index]), key=lambda index: columns[index][row])


def _fewest(members: list[int], columns: Sequence[Column]) -> int:
    """Return how many columns are needed, by a set cover over the largest of them."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    sets = {frozenset(column) for column in columns}
    largest = [each for each in sets if not any(each < other for other in sets)]
    covers = np.array([[row in each for each in largest] for row in members], float)
    found = milp(
        np.ones(len(largest)), constraints=LinearConstraint(covers, lb=1),
        integrality=np.ones(len(largest), dtype=int), bounds=Bounds(0, 1),
    )  # fmt: skip
    assert found.x is not None, "every row is covered by some column"
    return round(float(found.fun))


def _cheapest_of(count: int, members: list[int], near: list[int], columns: Sequence[Column]) -> list[int]:
    """Return so many columns that serve all rows at the least cost: which are opened, and who is served by which."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import csr_matrix

    served = [(place, row) for place, index in enumerate(near) for row in columns[index]]
    opened, pairs = len(near), len(served)
    costs = np.array([0.0] * opened + [columns[near[place]][row] for place, row in served])
    at = {row: number for number, row in enumerate(members)}
    once = csr_matrix(
        (np.ones(pairs), ([at[row] for _, row in served], range(opened, opened + pairs))),
        shape=(len(members), opened + pairs),
    )
    linked = csr_matrix(
        (
            np.concatenate([np.ones(pairs), -np.ones(pairs)]),
            ([*range(pairs), *range(pairs)], [*range(opened, opened + pairs), *(place for place, _ in served)]),
        ),
        shape=(pairs, opened + pairs),
    )
    how_many = csr_matrix(np.array([[1.0] * opened + [0.0] * pairs]))
    found = milp(
        costs,
        constraints=[
            LinearConstraint(once, lb=1, ub=1), LinearConstraint(linked, ub=0), LinearConstraint(how_many, ub=count),
        ],
        integrality=np.array([1] * opened + [0] * pairs),
        bounds=Bounds(0, 1),
        options={"mip_rel_gap": 0.0},
    )  # fmt: skip
    assert found.x is not None, "the fewest columns are known to suffice"
    return [near[place] for place in range(opened) if found.x[place] > 0.5]
