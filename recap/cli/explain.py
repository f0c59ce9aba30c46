"""`recap explain`: why a position needs what it needs."""

from __future__ import annotations

import click

from recap.cli.options import heading_option, policy_option
from recap.cli.printing import json_option, print_json


@click.command()
@click.argument("file", type=click.Path())
@click.argument("position")
@policy_option
@heading_option
@json_option
def command(file: str, position: str, policy: str, headings: dict[str, str], as_json: bool) -> None:
    """Say why a POSITION of FILE needs what it needs: inputs, operation, result, rule and source of every demand.

    A position is written board/designator or unit/board/designator, with /section for a part of a can; a bare
    designator will do when it is the only one.

    Example: recap explain examples/inspection.xlsx PSU/C12
    """
    from recap.jobs import explain
    from recap.outputs.explanation import explanation
    from recap.outputs.plan_json import plan_document

    judgement, plan, problems = explain(file, position, policy=policy, headings=headings)
    if as_json:
        document = plan_document(plan, problems)
        own = next(item for item in document["result"]["positions"] if item["key"] == str(judgement.key))
        print_json({"result": own, "problems": document["problems"]})
        return
    click.echo("\n".join(explanation(plan, judgement)))
