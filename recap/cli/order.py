"""`recap order`: the whole job."""

from __future__ import annotations

import click

from recap.cli.options import heading_option, policy_option
from recap.cli.printing import json_option, print_json


@click.command()
@click.argument("files", nargs=-1, required=True, type=click.Path())
@click.option("--out", required=True, type=click.Path(), help="Folder for the documents; made when it is not there.")
@policy_option
@click.option(
    "--stance",
    type=click.Choice(["conserve", "repair", "renew"]),
    help="Take this stance for every unit instead of the one in the files.",
)
@heading_option
@click.option(
    "--drawer",
    default="",
    metavar='"3 x 10ohm 5W, …"',
    help="Load resistors at hand; dummy loads for the bring-up are put together from them.",
)
@click.option(
    "--parts",
    "catalogues",
    multiple=True,
    type=click.Path(),
    metavar="FILE",
    help="A parts catalogue, or a list of parts in your own drawer; the order then names the cheapest that fit. "
    "Give it once for each file. Delivery, currency and the like stand in the policy.",
)
@click.option(
    "--compare",
    type=click.Path(),
    metavar="PLAN",
    help="An earlier plan.json, or its folder: say what changed since and why.",
)
@click.option("--replace", is_flag=True, help="Replace work orders that already hold readings; copies are kept.")
@click.option("--strict", is_flag=True, help="Exit with 1 when some rows need you.")
@json_option
def command(
    files: tuple[str, ...],
    out: str,
    policy: str,
    stance: str | None,
    headings: dict[str, str],
    drawer: str,
    catalogues: tuple[str, ...],
    compare: str | None,
    replace: bool,
    strict: bool,
    as_json: bool,
) -> None:
    """Plan the job of one or several inspection FILES and write shopping list, work orders and plan into a folder.

    Example: recap order examples/inspection.xlsx --out my-order

    With parts, and the sellers' terms in a policy: recap order examples/inspection.xlsx --out my-order
    --parts examples/parts-kestrel.csv --parts examples/drawer.csv --policy examples/buying.toml
    """
    from recap.jobs import order
    from recap.model import Stance
    from recap.outputs.plan_json import plan_document
    from recap.outputs.shopping import needs_you
    from recap.outputs.summary import summary

    made = order(
        files,
        out,
        policy=policy,
        headings=headings,
        replace=replace,
        stance=Stance(stance) if stance else None,
        drawer=drawer,
        catalogues=catalogues,
        compare=compare,
    )
    if as_json:
        print_json(plan_document(made.plan, made.problems))
    else:
        click.echo("\n".join(summary(made.plan, made.problems, made.written)))
    if strict and needs_you(made.plan, made.problems).rows:
        raise SystemExit(1)
