"""What every bench sum returns."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from recap.problems import Problem
from recap.sources import cite


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
        """Return the document that `--json` prints: all that people are shown."""
        result = self.result
        if isinstance(result, dict):
            sources = [{"id": source, "citation": cite(source)} for source in self.sources]
            result = {**result, "lines": list(self.lines), "sources": sources, "cautions": list(self.cautions)}
        return {"result": result, "problems": [problem.as_json() for problem in self.problems]}
