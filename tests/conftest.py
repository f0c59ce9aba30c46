"""Where RECAP_NO_SKIPS is set, a browser or spreadsheet test that is skipped counts as failed."""

from __future__ import annotations

import os
from collections.abc import Generator
from typing import Any

import pytest

_MUST_RUN = ("browser", "spreadsheet")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item, call: pytest.CallInfo[None]) -> Generator[None, Any, Any]:
    report = yield
    if report.skipped and os.environ.get("RECAP_NO_SKIPS") and any(map(item.get_closest_marker, _MUST_RUN)):
        report.outcome = "failed"
        report.longrepr = f"skipped where it must run: {report.longrepr}"
    return report
