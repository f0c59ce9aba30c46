"""Orders that are cut off, by a kill, a full disk or a closed folder: the old documents or the new, nothing between."""

from __future__ import annotations

import json
import os
import random
import re
import resource
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from inspection_files import write_csv
from openpyxl import load_workbook
from sample_plan import POWER, PROBLEMS, UNIT, sample_plan

from recap.bench.filled import read_filled
from recap.jobs import order
from recap.outputs import swapping, writing
from recap.outputs.documents import write_documents
from recap.outputs.writing import NotWritten

HEAD = "Board;Ref;Value;Volts;Type;Dia;Height;LS;Condition;Pad A is;As found;Net;Net found by\n"
POLARITY = "nearer the fuse;plus at A;plus at A;meter"
FIRST = HEAD + f"PSU;C1;2200u;25;elko radial;16;26;7.5;leaked;{POLARITY}\n"
SECOND = FIRST + f"CPU;C2;100u;16;elko radial;6.3;11;2.5;leaked;{POLARITY}\n"
READING = "0.123"


def recap(*arguments: object, **how: Any) -> subprocess.Popen[str]:
    command = [sys.executable, "-m", "recap", *map(str, arguments)]
    pipes = {"stdout": subprocess.DEVNULL, "stderr": subprocess.PIPE, "text": True}
    return subprocess.Popen(command, **(pipes | how))


def run(*arguments: object, **how: Any) -> tuple[int, str]:
    process = recap(*arguments, **how)
    return process.wait(timeout=120), process.stderr.read() if process.stderr else ""


def fill(path: Path) -> None:
    """Write a reading into a work order, as somebody at the bench would."""
    book = load_workbook(path)
    book["Readings"].cell(5, 5).value = READING
    book.save(path)


def digest_of(folder: Path) -> str:
    """Return the plan's digest, having checked that every document of the folder is there and belongs to it."""
    result = json.loads((folder / "plan.json").read_text(encoding="utf-8"))["result"]
    ours = {path for path in folder.rglob("*") if path.is_file() and path.name != "notes.txt"}
    ours = {path for path in ours if path.parent.name != "earlier"}
    assert ours == {folder / name for name in result["documents"]}
    for path in ours:
        if path.suffix == ".html" and path.name != "labels.html":
            assert re.search(r'data-plan="(\w+)"', path.read_text(encoding="utf-8"))[1] == result["digest"]  # type: ignore[index]
        if path.parent.name == "work-orders" and path.suffix == ".xlsx" and "bring-up" not in path.name:
            assert read_filled(path).plan == result["digest"]
    return str(result["digest"])


def everything(folder: Path) -> dict[str, bytes]:
    return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def readings(folder: Path) -> int:
    """Count the work orders, kept copies included, that hold the reading."""
    return sum(
        load_workbook(path)["Readings"].cell(5, 5).value == READING
        for path in folder.rglob("*.xlsx")
        if path.parent.name in ("work-orders", "earlier") and "bring-up" not in path.name
    )


@pytest.mark.slow
def test_killed_at_any_moment(tmp_path: Path) -> None:
    first, second = (write_csv(tmp_path / f"{name}.csv", text) for name, text in (("a", FIRST), ("b", SECOND)))
    out = tmp_path / "order"
    digests = {}
    for path in (first, second):
        order([path], tmp_path / f"whole-{path.stem}")
        digests[path] = digest_of(tmp_path / f"whole-{path.stem}")
    order([first], out)
    fill(out / "work-orders" / "a - PSU.xlsx")
    (out / "notes.txt").write_text("mine")
    chance = random.Random(15)
    ends = set()
    for attempt in range(15):
        process = recap("order", (second, first)[attempt % 2], "--out", out, "--replace")
        # Most of the time goes by before anything is written; what matters comes after.
        while attempt % 5 and process.poll() is None and not list(tmp_path.glob(".order.new-*")):
            time.sleep(0.001)
        time.sleep(chance.random() * (0.5 if attempt % 5 else 2))
        process.kill()
        ends.add(process.wait(timeout=60))
        assert digest_of(out) in digests.values()
        assert (out / "notes.txt").read_text() == "mine"
        assert readings(out) >= 1
    assert -9 in ends, "no run was really cut off"
    assert run("order", first, "--out", out, "--replace")[0] == 0
    assert digest_of(out) == digests[first]


class Cut(BaseException):
    """Stands for the end of the process."""


def _cut_at(step: int, monkeypatch: pytest.MonkeyPatch) -> Callable[[], int]:
    """Let the numbered call that changes the disk be the last one; return what counts them."""
    count = 0

    def counted(function: Callable[..., Any]) -> Callable[..., Any]:
        def call(*arguments: Any, **how: Any) -> Any:
            nonlocal count
            count += 1
            if count >= step:
                raise Cut
            return function(*arguments, **how)

        return call

    for name in ("fsync", "link", "rename", "mkdir"):
        monkeypatch.setattr(os, name, counted(getattr(os, name)))
    monkeypatch.setattr(swapping, "exchange", counted(swapping.exchange))
    monkeypatch.setattr(writing.shutil, "rmtree", counted(writing.shutil.rmtree))
    return lambda: count


@pytest.mark.parametrize("in_one_step", [True, False])
def test_cut_off_at_every_step(tmp_path: Path, in_one_step: bool) -> None:
    old = sample_plan()
    new = replace(old, policy="other")
    out = tmp_path / "order"
    write_documents(new, PROBLEMS, tmp_path / "new")
    expected = {digest_of(tmp_path / "new")}
    write_documents(old, PROBLEMS, out)
    expected.add(digest_of(out))
    fill(out / "work-orders" / f"{UNIT} - {POWER}.xlsx")
    step, finished = 0, False
    while not finished:
        step += 1 if step > 24 else 6
        with pytest.MonkeyPatch.context() as patch:
            if not in_one_step:
                patch.setattr(swapping, "exchange", lambda one, other: False)
            done = _cut_at(step, patch)
            try:
                write_documents(new, PROBLEMS, out, replace=True)
                finished = done() < step
            except Cut:
                pass
        swapping.recover(out)
        assert digest_of(out) in expected
        assert readings(out) >= 1
    assert step > 20


def _small_files() -> None:
    resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))


def test_no_room_for_a_file(tmp_path: Path) -> None:
    first, second = (write_csv(tmp_path / f"{name}.csv", text) for name, text in (("a", FIRST), ("b", SECOND)))
    out = tmp_path / "order"
    order([first], out)
    before = everything(out)
    code, said = run("order", second, "--out", out, preexec_fn=_small_files)
    assert code == 3
    assert f"cannot write the documents into {out}" in said
    assert "nothing was changed" in said
    assert "Traceback" not in said
    assert everything(out) == before
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a.csv", "b.csv", "order"]


@contextmanager
def unprivileged() -> Iterator[None]:
    """Do without the rights of the superuser, whom no permission stops."""
    user = os.geteuid()
    if user == 0:
        os.seteuid(65534)
    try:
        yield
    finally:
        os.seteuid(user)


def test_a_folder_that_may_not_be_written(tmp_path: Path) -> None:
    closed = tmp_path / "closed"
    write_documents(sample_plan(), PROBLEMS, closed / "order")
    before = everything(closed)
    closed.chmod(0o555)
    for folder in (tmp_path, *list(tmp_path.parents)[:2]):
        folder.chmod(folder.stat().st_mode | 0o055)
    with unprivileged():
        for name in ("order", "other"):
            with pytest.raises(NotWritten, match="that is not permitted there; nothing was changed"):
                write_documents(sample_plan(), PROBLEMS, closed / name)
    closed.chmod(0o755)
    assert everything(closed) == before


def test_a_file_where_the_folder_should_be(tmp_path: Path) -> None:
    path = write_csv(tmp_path / "a.csv", FIRST)
    (tmp_path / "order").write_text("years of work")
    code, said = run("order", path, "--out", tmp_path / "order")
    assert (code, "is a file; name a folder" in said) == (3, True)
    assert (tmp_path / "order").read_text() == "years of work"


class TestTricks:
    """What somebody may have put into the folder."""

    @pytest.mark.parametrize("name", ["work-orders", "life", "earlier"])
    def test_a_folder_of_ours_that_is_a_link(self, tmp_path: Path, name: str) -> None:
        out, outside = tmp_path / "order", tmp_path / "outside"
        write_documents(sample_plan(), PROBLEMS, out)
        outside.mkdir()
        fill(out / "work-orders" / f"{UNIT} - {POWER}.xlsx")
        if (out / name).exists():
            (out / name).rename(tmp_path / "moved")
        (out / name).symlink_to(outside, target_is_directory=True)
        with pytest.raises(NotWritten, match=f"{name} is a link"):
            write_documents(sample_plan(), PROBLEMS, out, replace=True)
        assert list(outside.iterdir()) == []

    @pytest.mark.parametrize(
        "name",
        ["notes.txt", "work-orders/../notes.txt", "../outside.txt", "/etc/passwd", "work-orders/notes.txt", "a\0b"],
    )
    def test_a_plan_that_names_what_is_not_ours(self, tmp_path: Path, name: str) -> None:
        out = tmp_path / "order"
        write_documents(sample_plan(), PROBLEMS, out)
        for path in (out / "notes.txt", out / "work-orders" / "notes.txt", tmp_path / "outside.txt"):
            path.write_text("mine")
        plan = json.loads((out / "plan.json").read_text(encoding="utf-8"))
        plan["result"]["documents"].append(name)
        (out / "plan.json").write_text(json.dumps(plan))
        write_documents(sample_plan(), PROBLEMS, out)
        for path in (out / "notes.txt", out / "work-orders" / "notes.txt", tmp_path / "outside.txt"):
            assert path.read_text() == "mine"

    @pytest.mark.parametrize("text", ["", "[" * 100_000, "{}", '{"result": {"documents": 5}}', "nothing of the kind"])
    def test_a_plan_that_is_none(self, tmp_path: Path, text: str) -> None:
        (tmp_path / "plan.json").write_text(text)
        with pytest.raises(NotWritten, match="holds no earlier order"):
            write_documents(sample_plan(), PROBLEMS, tmp_path)

    def test_what_a_killed_run_left_behind_goes_in_time(self, tmp_path: Path) -> None:
        left = [tmp_path / f".order.{kind}-0123" for kind in ("new", "old")]
        write_documents(sample_plan(), PROBLEMS, tmp_path / "order")
        for path in left:
            path.mkdir()
            os.utime(path, (0, 0))
        (tmp_path / ".order.new-4567").mkdir()
        write_documents(sample_plan(), PROBLEMS, tmp_path / "order")
        assert sorted(path.name for path in tmp_path.iterdir()) == [".order.new-4567", "order"]
