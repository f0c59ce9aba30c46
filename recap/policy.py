"""The choices of a job: margins, contested rules and spares, read from a TOML file that users may edit."""

from __future__ import annotations

import json
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from recap.problems import RecapError, UnreadableFile
from recap.sources import bibliography, data_folder


class PolicyError(RecapError):
    """A policy file holds something that it should not."""


@dataclass(frozen=True, slots=True)
class Policy:
    """One validated policy; `entries` holds the tables of the file."""

    name: str
    about: str
    entries: dict[str, dict[str, Any]]

    def number(self, table: str, key: str) -> float:
        """Return a plain number such as number("voltage", "high_mains")."""
        return float(self.entries[table][key])

    def source(self, table: str, key: str) -> str:
        """Return the source id of an entry; our judgement where the file names none."""
        return str(self.entries[table].get(key, "our-judgement"))

    def working_fraction(self, family: str) -> tuple[float, str]:
        """Return the derating factor of a family and its source."""
        table = self.entries["voltage"]
        return float(table["working_fraction"][family]), str(table["working_fraction_source"][family])

    def assumed_working_fraction(self, family: str) -> float:
        """Return the part of its rating at which a family is taken to work where nothing tells."""
        return float(self.entries["voltage"]["assumed_working_fraction"][family])

    def choice(self, contested: str) -> str:
        """Return the choice made for a contested rule."""
        return str(self.entries["contested"][contested])

    def choices(self) -> tuple[tuple[str, str], ...]:
        """Return every contested rule with its choice, in the file's order."""
        return tuple((key.replace("_", " "), str(value)) for key, value in self.entries["contested"].items())


def shipped_policies() -> tuple[str, ...]:
    """Return the names of the policies that come with recap."""
    return tuple(sorted(path.stem for path in (data_folder() / "policies").glob("*.toml")))


def read_policy(name_or_path: str = "usual") -> Policy:
    """Read a shipped policy by name, or a file; raises UnreadableFile or PolicyError naming the entry."""
    shipped = name_or_path in shipped_policies()
    path = data_folder() / "policies" / f"{name_or_path}.toml" if shipped else Path(name_or_path)
    try:
        entries = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as error:
        known = ", ".join(shipped_policies())
        raise UnreadableFile(f"{path}: {error.strerror}; shipped policies are {known}") from error
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise UnreadableFile(f"{path}: not a policy file: {error}") from error
    base = entries.pop("based_on", None if shipped else "usual")
    if base:
        entries = _overlay(read_policy(base), entries)
    _validate(path, entries)
    return Policy(str(entries.pop("name")), str(entries.pop("about")), entries)


def _overlay(base: Policy, changes: dict[str, Any]) -> dict[str, Any]:
    merged: dict[str, Any] = {"name": base.name, "about": base.about, **base.entries}
    for key, value in changes.items():
        merged[key] = {**merged[key], **value} if isinstance(value, dict) and key in merged else value
    return merged


def _validate(path: Path, entries: dict[str, Any]) -> None:
    from jsonschema import Draft202012Validator

    schema = json.loads((data_folder() / "schemas" / "policy.schema.json").read_text(encoding="utf-8"))
    error = next(iter(Draft202012Validator(schema).iter_errors(entries)), None)
    if error is not None:
        place = ".".join(str(part) for part in error.absolute_path) or "the file"
        raise PolicyError(f"{path}: {place}: {error.message}")
    for table, values in entries.items():
        for key, value in values.items() if isinstance(values, dict) else ():
            named = value.values() if isinstance(value, dict) else (value,)
            for source_id in named if key.endswith("_source") else ():
                if source_id not in bibliography():
                    raise PolicyError(f"{path}: {table}.{key}: no source is called {source_id!r}")
