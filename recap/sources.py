"""The bibliography: every number and rule names one of these."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

KINDS = ("standard", "maker", "paper", "dataset", "common-practice", "our-judgement", "from-memory")


@dataclass(frozen=True, slots=True)
class Source:
    """One entry of data/sources.toml."""

    id: str
    title: str
    kind: str
    publisher: str = ""
    edition: str = ""
    place: str = ""
    quoted_by: str = ""

    def __str__(self) -> str:
        parts = [self.title]
        if self.publisher:
            parts.insert(0, self.publisher)
        if self.edition:
            parts.append(self.edition)
        if self.place:
            parts.append(self.place)
        text = ", ".join(parts)
        if self.quoted_by:
            text += f" (quoted by {self.quoted_by})"
        return text


@cache
def data_folder() -> Path:
    """Return the folder of rule data: inside an installed package, or beside it in a checkout."""
    package = Path(__file__).parent
    inside = package / "data"
    return inside if inside.is_dir() else package.parent / "data"


@cache
def bibliography() -> dict[str, Source]:
    """Return every source by its id."""
    import tomllib

    entries = tomllib.loads((data_folder() / "sources.toml").read_text(encoding="utf-8"))
    return {key: Source(id=key, **fields) for key, fields in entries.items()}


def source(source_id: str) -> Source:
    """Return one source; raises KeyError for an unknown id."""
    return bibliography()[source_id]


def cite(source_id: str) -> str:
    """Return a source as one line for people."""
    return str(source(source_id))
