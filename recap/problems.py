"""What is wrong with the input, where, and what to do about it."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any


class Severity(StrEnum):
    """How much a problem matters: an error leaves something out, a warning needs eyes, a note informs."""

    ERROR = "error"
    WARNING = "warning"
    NOTE = "note"


@dataclass(frozen=True, slots=True)
class Location:
    """A place in the user's files, down to the cell."""

    file: str = ""
    sheet: str = ""
    cell: str = ""
    heading: str = ""

    def __str__(self) -> str:
        place = f"{self.sheet}!{self.cell}" if self.sheet and self.cell else self.sheet or self.cell
        return ":".join(part for part in (self.file, place) if part)


@dataclass(frozen=True, slots=True)
class ProblemCode:
    """A stable code with its usual severity and what it means; the README's table is made from these."""

    code: str
    severity: Severity
    meaning: str


@dataclass(frozen=True, slots=True)
class Problem:
    """One thing the user should know about their input."""

    code: str
    message: str
    location: Location = Location()
    value: str = ""
    hint: str = ""
    severity: Severity = Severity.WARNING

    def __str__(self) -> str:
        where = f"{self.location}: " if str(self.location) else ""
        value = f' "{self.value}"' if self.value else ""
        hint = f"; {self.hint}" if self.hint else ""
        return f"{where}{self.severity} [{self.code}]{value} {self.message}{hint}"

    def as_json(self) -> dict[str, Any]:
        """Return the problem as plain JSON values."""
        return {**asdict(self), "severity": str(self.severity)}


class RecapError(Exception):
    """A failure that ends the command with a clear message; `exit_code` follows the command's contract."""

    exit_code = 2


class UnreadableFile(RecapError):
    """A file could not be read at all."""

    exit_code = 3
