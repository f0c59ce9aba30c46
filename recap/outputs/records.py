"""The records of a sign-off, written beside what was signed off."""

from __future__ import annotations

import os
import secrets
from collections.abc import Callable
from pathlib import Path

from recap.model.sign_off import SignOff, UnitVerdict
from recap.outputs.naming import distinct, safe_name
from recap.outputs.record import is_record
from recap.outputs.record_page import record_page
from recap.outputs.record_workbook import write_record_workbook
from recap.outputs.writing import NotWritten


def write_records(found: SignOff, folder: Path) -> list[Path]:
    """Write workbook and page for every unit; an earlier record of the unit is replaced, nothing else is.

    Raises NotWritten when a file of that name is no record, or when it cannot be written.
    """
    stems = distinct(safe_name(f"record - {unit.unit}") for unit in found.units)
    written = []
    for unit, stem in zip(found.units, stems, strict=True):
        for ending, write in ((".xlsx", write_record_workbook), (".html", _write_page)):
            path = folder / f"{stem}{ending}"
            if path.exists() and not is_record(path):
                raise NotWritten(f"{path} is there already and is no record; move it, or give another --out")
            _write_whole(unit, path, write)
            written.append(path)
    return written


def _write_page(unit: UnitVerdict, path: Path) -> None:
    path.write_text(record_page(unit), encoding="utf-8", errors="replace", newline="")


def _write_whole(unit: UnitVerdict, path: Path, write: Callable[[UnitVerdict, Path], None]) -> None:
    aside = path.with_name(f".{secrets.token_hex(4)}{path.suffix}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write(unit, aside)
        os.replace(aside, path)
    except OSError as error:
        raise NotWritten(f"{path} cannot be written ({error.strerror})") from error
    finally:
        aside.unlink(missing_ok=True)
