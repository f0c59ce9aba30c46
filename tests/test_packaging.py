"""Rule data is found in a checkout (editable install) and in a built wheel."""

import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from recap.sources import bibliography, data_folder

ROOT = Path(__file__).parent.parent


def test_data_is_found_in_a_checkout():
    assert (data_folder() / "sources.toml").is_file()
    assert "common-practice" in bibliography()


@pytest.fixture(scope="module")
def unpacked_wheel(tmp_path_factory):
    folder = tmp_path_factory.mktemp("wheel")
    build = [sys.executable, "-m", "build", "--wheel", "--no-isolation", "--outdir", str(folder), str(ROOT)]
    subprocess.run(build, check=True, capture_output=True)
    (wheel,) = folder.glob("electrolytic_recap-*.whl")
    with zipfile.ZipFile(wheel) as archive:
        archive.extractall(folder / "site")
    return folder / "site"


def test_the_wheel_holds_every_file_of_data(unpacked_wheel):
    source = {path.relative_to(ROOT / "data") for path in (ROOT / "data").rglob("*") if path.is_file()}
    packed = {path.relative_to(unpacked_wheel / "recap/data") for path in (unpacked_wheel / "recap/data").rglob("*.*")}
    assert source <= packed


def test_the_wheel_alone_reads_its_data(unpacked_wheel, tmp_path):
    code = "import recap.sources as s; print(s.data_folder()); print(len(s.bibliography()))"
    environment = {**os.environ, "PYTHONPATH": str(unpacked_wheel)}
    command = [sys.executable, "-c", code]
    shown = subprocess.run(command, check=True, capture_output=True, text=True, cwd=tmp_path, env=environment).stdout
    folder, count = shown.splitlines()
    assert Path(folder) == unpacked_wheel / "recap" / "data"
    assert int(count) == len(bibliography())
