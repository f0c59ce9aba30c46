"""`recap read`: what was understood."""

from __future__ import annotations

import click

from recap.cli.options import heading_option
from recap.cli.printing import json_option, print_json


@click.command()
@click.argument("files", nargs=-1, required=True, type=click.Path(), metavar="FILE...")
@heading_option
@json_option
def command(files: tuple[str, ...], headings: dict[str, str], as_json: bool) -> None:
    """Read an inspection FILE and show what was understood, every problem, and what more would make possible.

    FILE is an inspection workbook (see recap blank) or a plain list of capacitors, as xlsx, ods, csv or tsv; the
    columns of a list may stand in any order and be called as the trade calls them. Several files make one job.

    Example: recap read inspection.xlsx --heading "Farads=Capacitance"
    """
    from recap import read
    from recap.outputs.understood import understood_document, understood_text

    inspection, problems = read(files, headings)
    if as_json:
        print_json(understood_document(inspection, problems))
    else:
        click.echo(understood_text(inspection, problems))
