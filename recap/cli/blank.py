"""`recap blank`: the empty inspection workbook."""

from __future__ import annotations

from pathlib import Path

import click


@click.command()
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--from", "record", type=click.Path(), metavar="RECORD", help="Fill in what the record of a job knows.")
@click.option("--replace", is_flag=True, help="Overwrite FILE when it is there already.")
def command(file: Path, record: str | None, replace: bool) -> None:
    """Write the empty inspection workbook FILE (.xlsx), with drop-downs, notes and one example row per sheet.

    With --from it starts from the record that `recap sign-off` wrote of an earlier job: units, boards, rails and
    positions stand there as they were left, new parts and readings included.

    Example: recap blank inspection.xlsx
    """
    from recap.outputs.blank_form import blank

    blank(file, replace=replace, record=record)
    click.echo(f"Wrote {file}. Next:")
    click.echo("  1. Open it in a spreadsheet program and fill in one row for each capacitor;")
    click.echo("     only Board and Designator are needed, every further cell allows more checks.")
    click.echo(f"  2. recap read {_quoted(file)}")
    click.echo("     shows what was understood, what is doubtful and what more would make possible.")
    click.echo(f"  3. recap order {_quoted(file)} --out my-order")
    click.echo("     writes the shopping list, the work orders and the plan.")


def _quoted(file: Path) -> str:
    return f'"{file}"' if " " in str(file) else str(file)
