"""One folder takes another's place, in one step where the system can do that."""

from __future__ import annotations

import ctypes
import os
import secrets
import shutil
import sys
import time
from contextlib import suppress
from functools import cache
from pathlib import Path
from typing import Any

_HERE = -100  # AT_FDCWD: relative paths count from the working folder
_EXCHANGE = 2  # RENAME_EXCHANGE of Linux, RENAME_SWAP of macOS
_LEFT_BEHIND_S = 3600


def swap(building: Path, folder: Path) -> None:
    """Put a new folder in another's place; what was there before is then called what the new one was called."""
    if not folder.exists():
        os.rename(building, folder)
    else:
        shutil.copymode(folder, building)
        if not exchange(building, folder):
            _in_two_steps(building, folder)
    flush(folder.parent)


def exchange(one: Path, other: Path) -> bool:
    """Exchange the names of two folders in one step; tell whether the system did it."""
    function, arguments = _system_call()
    if function is None:
        return False
    paths = (os.fsencode(one), os.fsencode(other))
    return bool(function(*arguments(*paths)) == 0)


def _in_two_steps(building: Path, folder: Path) -> None:
    old = folder.with_name(f".{folder.name}.old-{secrets.token_hex(4)}")
    os.rename(folder, old)
    try:
        os.rename(building, folder)
    except OSError:
        os.rename(old, folder)
        raise
    os.rename(old, building)


def recover(folder: Path) -> None:
    """Clear up after runs that were cut off; an earlier set goes back if that was between the two renamings."""
    if not folder.parent.is_dir():
        return
    name = _literal(folder.name)
    left = sorted(folder.parent.glob(f".{name}.old-*"))
    if left and not folder.exists():
        os.rename(left.pop(), folder)
    for path in (*left, *folder.parent.glob(f".{name}.new-*")):
        # A younger one may belong to a run that is still going on.
        if time.time() - path.lstat().st_mtime > _LEFT_BEHIND_S:
            shutil.rmtree(path, ignore_errors=True)


def flush(folder: Path) -> None:
    """See that a folder's list of names reaches the disk."""
    # Not every system lets a folder be opened; its files are flushed in any case.
    with suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _literal(name: str) -> str:
    return "".join(f"[{letter}]" if letter in "*?[" else letter for letter in name)


@cache
def _system_call() -> tuple[Any, Any]:
    """Return the system's exchange of two names and how its arguments stand, or nothing where there is none."""
    with suppress(OSError, AttributeError, TypeError):
        library = ctypes.CDLL(None, use_errno=True)
        if sys.platform == "linux":
            return library.renameat2, lambda one, other: (_HERE, one, _HERE, other, _EXCHANGE)
        if sys.platform == "darwin":
            return library.renamex_np, lambda one, other: (one, other, _EXCHANGE)
    return None, None
