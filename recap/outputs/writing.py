"""Documents written whole or not at all.

The new set is built in a folder beside the target, flushed to the disk, and put in the target's place by
renaming: a reader sees the old set or the new one, never a mixture. What else lies in the folder comes along.
"""

from __future__ import annotations

import errno
import json
import os
import secrets
import shutil
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from recap.outputs.naming import EARLIER, FOLDERS, PLAN, is_document
from recap.outputs.swapping import flush, recover, swap
from recap.problems import RecapError

Writer = Callable[[Path], None]


class NotWritten(RecapError):
    """The documents could not be written; what was there before is still there."""

    exit_code = 3


def write_set(
    folder: Path, writers: Mapping[str, Writer], is_filled: Callable[[Path], bool], replace: bool = False
) -> list[Path]:
    """Write a set of documents into a folder; return their paths, then those of copies that were kept.

    `is_filled` says whether a document holds somebody's entries; such a one is replaced only if `replace` is
    set, and then a copy is kept. Raises NotWritten.
    """
    folder = Path(os.path.abspath(folder))
    building = folder.with_name(f".{folder.name}.new-{secrets.token_hex(4)}")
    try:
        recover(folder)
        before = _state(folder)
        earlier = _earlier_documents(folder)
        filled = _filled(folder, sorted({*earlier, *writers}), is_filled)
        if filled and not replace:
            names = ", ".join(str(folder / name) for name in filled)
            raise NotWritten(f"{names} already holds entries; give --replace to make it anew (a copy is kept)")
        folder.parent.mkdir(parents=True, exist_ok=True)
        building.mkdir()
        kept = _build(building, folder, writers, {*earlier, *writers}, filled)
        _flush_folders(building)
        if _state(folder) != before:
            raise NotWritten(f"{folder} was changed while the documents were made; run it again")
        swap(building, folder)
    except OSError as error:
        raise NotWritten(_explained(error, folder)) from error
    finally:
        shutil.rmtree(building, ignore_errors=True)
    return [folder / name for name in (*writers, *kept)]


def _build(
    building: Path, folder: Path, writers: Mapping[str, Writer], documents: set[str], filled: Sequence[str]
) -> list[str]:
    for name, write in writers.items():
        path = building / name
        path.parent.mkdir(parents=True, exist_ok=True)
        write(path)
        with path.open("rb+") as stream:
            os.fsync(stream.fileno())
    if not folder.exists():
        return []
    _carry_over(folder, building, documents)
    return [_keep_copy(folder / name, building) for name in filled]


def _keep_copy(path: Path, building: Path) -> str:
    shelf = building / EARLIER
    shelf.mkdir(exist_ok=True)
    number = 1
    while (copy := shelf / f"{path.stem} {number}{path.suffix}").exists():
        number += 1
    shutil.copy2(path, copy)
    return f"{EARLIER}/{copy.name}"


def _carry_over(folder: Path, building: Path, documents: set[str]) -> None:
    """Bring along everything that is not a document of ours; links stay links and are not followed."""
    for root, folders, files in os.walk(folder, onerror=_stop):
        here = Path(root).relative_to(folder)
        links = [name for name in folders if (Path(root) / name).is_symlink()]
        for name in (*files, *links):
            if (here / name).as_posix() in documents:
                continue
            target = building / here / name
            target.parent.mkdir(parents=True, exist_ok=True)
            try:
                os.link(Path(root) / name, target, follow_symlinks=False)
            except (OSError, NotImplementedError):
                shutil.copy2(Path(root) / name, target, follow_symlinks=False)


def _earlier_documents(folder: Path) -> list[str]:
    """Return the documents of the order that lies in the folder; refuse a folder that holds anything else."""
    if folder.is_symlink():
        raise NotWritten(f"{folder} is a link; name the folder itself")
    if not folder.exists():
        return []
    if not folder.is_dir():
        raise NotWritten(f"{folder} is a file; name a folder for the documents")
    for name in FOLDERS:
        if (folder / name).is_symlink():
            raise NotWritten(f"{folder / name} is a link; put the folder itself there")
    try:
        result = json.loads((folder / PLAN).read_text(encoding="utf-8"))["result"]
        names = [str(name) for name in result["documents"]]
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        if any(folder.iterdir()):
            raise NotWritten(
                f"{folder} is not empty and holds no earlier order; name a new or an empty folder"
            ) from None
        return []
    return [name for name in names if is_document(name)]


def _state(folder: Path) -> dict[Path, tuple[int, int, int]]:
    """Return when each file below was last written and how long it is, to see whether somebody saved meanwhile."""
    found = {}
    for root, _, files in os.walk(folder, onerror=_stop):
        for path in (Path(root) / name for name in files):
            about = path.lstat()
            found[path] = (about.st_ino, about.st_mtime_ns, about.st_size)
    return found


def _stop(error: OSError) -> None:
    """A folder that is there and cannot be listed must not be passed over: what lies in it would be lost."""
    if not isinstance(error, FileNotFoundError | NotADirectoryError):
        raise error


def _filled(folder: Path, names: Sequence[str], is_filled: Callable[[Path], bool]) -> list[str]:
    filled = []
    for name in names:
        path = folder / name
        for lock in (path.with_name(f".~lock.{path.name}#"), path.with_name(f"~${path.name}")):
            if lock.exists():
                raise NotWritten(f"{path} is open in a spreadsheet program; close it first")
        if path.is_file() and not path.is_symlink() and is_filled(path):
            filled.append(name)
    return filled


def _flush_folders(building: Path) -> None:
    for root, _, _ in os.walk(building, onerror=_stop):
        flush(Path(root))


def _explained(error: OSError, folder: Path) -> str:
    reasons = {
        errno.ENOSPC: "the disk is full",
        errno.EDQUOT: "the disk quota is used up",
        errno.EROFS: "the disk is read-only",
        errno.EACCES: "that is not permitted there",
        errno.EPERM: "that is not permitted there",
        errno.ENAMETOOLONG: "a name is too long",
        errno.EBUSY: "the folder is in use",
    }
    reason = reasons.get(error.errno or 0, error.strerror or str(error))
    return f"cannot write the documents into {folder}: {reason}; nothing was changed"
