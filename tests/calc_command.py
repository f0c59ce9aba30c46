"""Runs `recap calc …` as a user would and hands back what it printed."""

from __future__ import annotations

import json
from typing import Any

from click.testing import CliRunner, Result

from recap.cli import recap


def run(*arguments: str) -> Result:
    return CliRunner().invoke(recap, ["calc", *arguments])


def answered(*arguments: str) -> dict[str, Any]:
    """Return the JSON document of a question that must succeed."""
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.output
    document: dict[str, Any] = json.loads(result.stdout)
    assert set(document) == {"result", "problems"}
    return document


def refused(*arguments: str) -> str:
    """Return the message of a question that must be refused as wrong usage."""
    result = run(*arguments)
    error = result.exception
    code = getattr(error, "exit_code", getattr(error, "code", None))
    assert code == 2, result.output
    return result.output if isinstance(error, SystemExit) else str(error)
