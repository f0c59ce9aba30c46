"""How answers reach the terminal."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

from recap.sources import cite

if TYPE_CHECKING:
    from recap.calculators.answer import Answer

json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON document instead of text.")


def print_json(document: Any) -> None:
    """Print one JSON document in UTF-8 on any terminal; the same input gives the same bytes, and never NaN."""
    text = json.dumps(document, ensure_ascii=False, indent=2, allow_nan=False)
    click.echo(text.encode("utf-8", "backslashreplace"))  # JSON knows the escape that stands for half a letter


def show(answer: Answer, as_json: bool) -> None:
    """Print an answer for people or as JSON."""
    if as_json:
        print_json(answer.as_json())
        return
    for line in answer.lines:
        click.echo(line)
    for problem in answer.problems:
        click.echo(str(problem), err=True)
    for source_id in answer.sources:
        click.echo(f"Source: {cite(source_id)}")
    for caution in answer.cautions:
        click.echo(f"Caution: {caution}")
