"""The filled documents of a sign-off, from files and folders, without what is no such document."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from recap.bench.filled import Filled, read_filled
from recap.bench.sign_off import without_expectations
from recap.outputs.record import is_record
from recap.problem_codes import report
from recap.problems import Location, Problem, UnreadableFile

_ENDINGS = (".xlsx", ".ods", ".json")


def read_all(paths: Sequence[Path]) -> tuple[list[Filled], list[Problem]]:
    """Read every document; raises UnreadableFile for a named file that is none, and when there is none at all."""
    filled: list[Filled] = []
    problems: list[Problem] = []
    for path in paths:
        if path.is_dir():
            filled += _from_folder(path, problems)
        elif path.exists() and is_record(path):
            problems.append(report("record-passed-over", "a record of an earlier sign-off", Location(str(path))))
        else:
            filled.append(read_filled(path))
    for each in filled:
        problems += each.problems
    lost = without_expectations(filled)
    for each in lost:
        where = f"{each.unit}: {each.board or each.document}"
        problems.append(
            report(
                "no-expectations",
                f"{where} does not carry its limits, so nothing in it can be judged",
                hint="save it again from its page, or give its workbook too",
            )
        )
    if len(lost) == len(filled):
        raise UnreadableFile("none of the files is a work order or bring-up that can be signed off")
    return filled, problems


def _from_folder(folder: Path, problems: list[Problem]) -> Iterable[Filled]:
    for path in sorted(folder.iterdir()):
        if path.suffix.lower() not in _ENDINGS or path.name.startswith(("~$", ".")) or is_record(path):
            continue
        try:
            yield read_filled(path)
        except UnreadableFile as error:
            problems.append(report("file-passed-over", str(error), Location(str(path))))
