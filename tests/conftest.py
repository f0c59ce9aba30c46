"""Properties are tried shortly, or for hours with `--hypothesis-profile=long`; RECAP_NO_SKIPS forbids some skips."""

from __future__ import annotations

import os
from collections.abc import Generator
from typing import Any

import pytest
from hypothesis import settings

settings.register_profile("ci", max_examples=60, deadline=None, derandomize=True)
settings.register_profile("long", max_examples=5000, deadline=None)
settings.load_profile("ci")

# Where the variable is set, a browser or spreadsheet test that is skipped counts as failed.
_MUST_RUN = ("browser", "spreadsheet")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Generator[None, Any, Any]:
    report = yield
    if report.skipped and os.environ.get("RECAP_NO_SKIPS") and any(map(item.get_closest_marker, _MUST_RUN)):
        report.outcome = "failed"
        report.longrepr = f"skipped where it must run: {report.longrepr}"
    return report
