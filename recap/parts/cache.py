"""What was read of a catalogue, kept in the platform's cache folder and found again by the file's content.

Nothing is written beside the user's files. A kept catalogue is an Arrow file that is mapped, not read: columns
that nobody asks for cost nothing. One that is damaged or was written by another version is passed over.
"""

from __future__ import annotations

import hashlib
import json
import mmap
import os
import time
from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

import numpy as np
import pyarrow as pa

from recap.parts.catalogue import Shelf, Words
from recap.problems import Location, Problem, Severity
from recap.sources import data_folder

SMALLEST_KEPT = 200_000
"""Bytes; a smaller file is read as quickly as it is found again."""
MOST_KEPT = 4_000_000_000
_SETTLED_NS = 2_000_000_000
"""A file changed less than this before it was looked at may change again without its time showing it."""


def load(path: Path, renames: Mapping[str, str]) -> tuple[list[Shelf], list[Problem]] | None:
    """Return what was read of a file with this content before, or None."""
    try:
        if path.stat().st_size < SMALLEST_KEPT:
            return None
        entry = _folder() / _key(path, renames)
        shelves = [_load_shelf(part, str(path)) for part in sorted(entry.glob("*.arrow"))]
        problems = json.loads((entry / "problems.json").read_text(encoding="utf-8"))
    except (OSError, ValueError, KeyError, pa.ArrowInvalid):
        return None
    os.utime(entry)
    return shelves, [_problem(item, str(path)) for item in problems]


def store(path: Path, renames: Mapping[str, str], shelves: Sequence[Shelf], problems: Sequence[Problem]) -> None:
    """Keep what was read of a file; a folder that cannot be written to is no matter."""
    try:
        if path.stat().st_size < SMALLEST_KEPT:
            return
        folder = _folder()
        folder.mkdir(parents=True, exist_ok=True)
        _make_room(folder)
        entry = folder / _key(path, renames)
        draft = folder / f"{entry.name}.{os.getpid()}.draft"
        draft.mkdir(exist_ok=True)
        for number, shelf in enumerate(shelves):
            _store_shelf(shelf, draft / f"{number:03}.arrow")
        (draft / "problems.json").write_text(json.dumps([item.as_json() for item in problems]), encoding="utf-8")
        _remove(entry)
        draft.rename(entry)
    except OSError:
        return


def _folder() -> Path:
    from platformdirs import user_cache_path

    return user_cache_path("recap", appauthor=False) / "catalogues"


def _key(path: Path, renames: Mapping[str, str]) -> str:
    told = json.dumps([_reader_version(), sorted(renames.items())])
    return hashlib.sha256((_content(path) + told).encode()).hexdigest()[:32]


@cache
def _reader_version() -> str:
    """Return what changes whenever the reading may change: release, the reader's own code, the tables it reads by."""
    try:
        release = version("electrolytic-recap")
    except PackageNotFoundError:
        release = ""
    package = Path(__file__).parent.parent
    files = [*sorted((package / "parts").glob("*.py")), *sorted((package / "intake").rglob("*.py"))]
    files += [data_folder() / "tables" / f"{name}.csv" for name in ("catalogue_columns", "choice_synonyms")]
    digest = hashlib.sha256(release.encode())
    for file in files:
        digest.update(file.read_bytes())
    return digest.hexdigest()


def _content(path: Path) -> str:
    """Return the digest of a file's content; one that has not been touched since is not read again for it."""
    stat = path.stat()
    seen = f"{path.resolve()}|{stat.st_size}|{stat.st_mtime_ns}|{stat.st_ino}"
    note = _folder() / "seen" / hashlib.sha256(seen.encode()).hexdigest()[:32]
    try:
        return note.read_text(encoding="ascii")
    except OSError:
        pass
    with path.open("rb") as stream, mmap.mmap(stream.fileno(), 0, access=mmap.ACCESS_READ) as data:
        digest = hashlib.sha256(data).hexdigest()
    if time.time_ns() - stat.st_mtime_ns > _SETTLED_NS:
        try:
            note.parent.mkdir(parents=True, exist_ok=True)
            note.write_text(digest, encoding="ascii")
        except OSError:
            pass
    return digest


def _make_room(folder: Path) -> None:
    """Remove what was not used for longest until the rest is small enough."""
    entries = sorted((e for e in folder.iterdir() if e.is_dir() and e.name != "seen"), key=lambda e: -e.stat().st_mtime)
    total = 0
    for entry in entries:
        total += sum(file.stat().st_size for file in entry.iterdir())
        if total > MOST_KEPT:
            _remove(entry)


def _remove(entry: Path) -> None:
    if entry.is_dir():
        for file in entry.iterdir():
            file.unlink()
        entry.rmdir()


def _store_shelf(shelf: Shelf, path: Path) -> None:
    same = {name: float(values[0]) for name, values in shelf.numbers.items() if shelf.size and _all_same(values)}
    columns: dict[str, Any] = {
        f"n:{name}": pa.array(values) for name, values in shelf.numbers.items() if name not in same
    }
    for name, words in shelf.words.items():
        columns[f"w:{name}"] = pa.array(np.ascontiguousarray(words.codes))
    for name, texts in shelf.texts.items():
        columns[f"t:{name}"] = pa.array(texts, pa.string())
    columns["rows"] = pa.array(shelf.file_rows)
    starts = pa.array(shelf.break_starts, pa.int64())
    columns["break_quantities"] = pa.LargeListArray.from_arrays(starts, pa.array(shelf.break_quantities))
    columns["break_prices"] = pa.LargeListArray.from_arrays(starts, pa.array(shelf.break_prices))
    about = {
        "sheet": shelf.sheet,
        "size": shelf.size,
        "drawer": shelf.drawer,
        "same": same,
        "names": {name: words.names for name, words in shelf.words.items()},
    }
    table = pa.table(columns).replace_schema_metadata({"about": json.dumps(about)})
    with pa.OSFile(str(path), "wb") as sink, pa.ipc.new_file(sink, table.schema) as writer:
        writer.write_table(table)


def _load_shelf(path: Path, file: str) -> Shelf:
    table = pa.ipc.open_file(pa.memory_map(str(path))).read_all()
    about = json.loads(table.schema.metadata[b"about"])
    columns = {name: _one_piece(table.column(name)) for name in table.column_names}
    numbers = {name: np.broadcast_to(value, about["size"]) for name, value in about["same"].items()}
    return Shelf(
        file=file,
        sheet=about["sheet"],
        size=about["size"],
        numbers=numbers | {name[2:]: _numpy(column) for name, column in columns.items() if name.startswith("n:")},
        words={name: Words(_numpy(columns[f"w:{name}"]), tuple(names)) for name, names in about["names"].items()},
        texts={name[2:]: column for name, column in columns.items() if name.startswith("t:")},
        file_rows=_numpy(columns["rows"]),
        break_starts=_numpy(columns["break_prices"].offsets),
        break_quantities=_numpy(columns["break_quantities"].values),
        break_prices=_numpy(columns["break_prices"].values),
        drawer=about["drawer"],
    )


def _all_same(values: Any) -> bool:
    return bool(values[0] == values[-1] and (values == values[0]).all())


def _one_piece(column: pa.ChunkedArray) -> Any:
    """Return a column as one array, without a copy where it is one."""
    return column.chunk(0) if column.num_chunks == 1 else column.combine_chunks()


def _numpy(column: Any) -> Any:
    return column.to_numpy(zero_copy_only=False)


def _problem(item: Mapping[str, Any], file: str) -> Problem:
    place = Location(**item["location"])
    moved = replace(place, file=file) if place.file else place
    return Problem(item["code"], item["message"], moved, item["value"], item["hint"], Severity(item["severity"]))
