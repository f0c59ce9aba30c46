"""Runs the command line in this process as `recap …` would run, and hands back what it wrote and how it ended."""

from __future__ import annotations

import io
import json
import sys
from typing import Any, NamedTuple
from unittest import mock

from jsonschema import Draft202012Validator
from referencing import Registry, Resource

from recap.cli import main
from recap.sources import data_folder

_FILES = (data_folder() / "schemas").glob("*.schema.json")
SCHEMAS = {path.name: json.loads(path.read_text(encoding="utf-8")) for path in _FILES}
_REGISTRY: Any = Registry().with_resources((name, Resource.from_contents(schema)) for name, schema in SCHEMAS.items())


class Ended(NamedTuple):
    """How a command ended."""

    code: int
    out: bytes
    err: str

    @property
    def document(self) -> dict[str, Any]:
        """Return the JSON document printed; anything that JSON does not know fails."""
        found: dict[str, Any] = json.loads(self.out, parse_constant=_not_json)
        return found


def _not_json(name: str) -> float:
    raise AssertionError(f"{name} is no JSON")


def recap(*arguments: str) -> Ended:
    """Run the command line; whatever is no orderly end is raised."""
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2))
    with mock.patch.multiple(sys, stdout=out, stderr=err, argv=["recap", *arguments]):
        try:
            main()
        except SystemExit as end:
            code = end.code
    for stream in (out, err):
        stream.flush()
    assert isinstance(code, int)
    return Ended(code, out.buffer.getvalue(), err.buffer.getvalue().decode())


def assert_described(document: object, schema: str) -> None:
    """Fail with the first place where a document is not what its schema says."""
    validator = Draft202012Validator(SCHEMAS[f"{schema}.schema.json"], registry=_REGISTRY)
    for error in validator.iter_errors(document):
        raise AssertionError(f"{schema}: {error.json_path}: {error.message[:300]}")
