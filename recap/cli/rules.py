"""`recap rules`: the rules with their sources."""

from __future__ import annotations

import click

from recap.cli.printing import json_option, print_json
from recap.sources import cite


@click.command()
@click.argument("rule_id", metavar="[ID]", required=False)
@json_option
def command(rule_id: str | None, as_json: bool) -> None:
    """List the rules in report order, or explain one by its ID.

    Example: recap rules voltage-margin
    """
    from recap.jobs import rules

    found = rules(rule_id)
    if as_json:
        fields = [
            {"id": r.id, "title": r.title, "binds": r.binds, "source": r.source, "citation": cite(r.source)}
            for r in found
        ]
        print_json({"result": fields, "problems": []})
        return
    width = max(len(rule.id) for rule in found)
    for rule in found:
        click.echo(f"{rule.id:{width}}  {rule.title} [{rule.binds}]")
        if rule_id is not None:
            click.echo("\n" + " ".join((rule.function.__doc__ or "").split()))
            click.echo(f"Source: {cite(rule.source)}")
