"""What every bench sum returns."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from recap.problems import Problem


@dataclass(frozen=True, slots=True)
class Answer:
    """A result with the lines to read, where it comes from and what may hurt.

    `result` holds the plain JSON fields of the command's contract, `lines` the same for people,
    `sources` ids of the bibliography, `cautions` whole sentences.
    """

    result: Any
    lines: tuple[str, ...]
    sources: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    problems: tuple[Problem, ...] = field(default=())

    def as_json(self) -> dict[str, Any]:
        """Return the document that `--json` prints."""
        return {"result": self.result, "problems": [problem.as_json() for problem in self.problems]}
