"""Count the checks that somebody outside this project backs, and say so at the end of a run.

A pytest plugin (`-p tests.external_checks` in pyproject.toml). A test counts when it carries the
mark `external("printed")`, or when it is one of `..._worked_examples_...` and its parameter
`example` is of such a kind: `printed`, `worked example` or `independent program`. An example that
other tests only borrow counts once. What is known from memory, common practice, our own arithmetic
and our own output never count.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest

CLASSES = ("printed", "worked example", "independent program")
NAME = "external"


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line("markers", f"{NAME}(kind): backed from outside, one of {CLASSES}")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        kind = kind_of(item)
        if kind:
            # Properties travel with the report, from the processes of a parallel run too.
            item.user_properties.append((NAME, kind))


def kind_of(item: pytest.Item) -> str:
    """The class of one test, or nothing. A class that is none of the three is a fault."""
    mark = item.get_closest_marker(NAME)
    if mark:
        kind = str(mark.args[0])
        if kind not in CLASSES:
            raise pytest.UsageError(f"{item.nodeid}: {kind!r} is not one of {CLASSES}")
        return kind
    if "worked_examples" not in getattr(item, "originalname", ""):
        return ""
    params = getattr(getattr(item, "callspec", None), "params", {})
    kind = str(getattr(params.get("example"), "kind", ""))
    return kind if kind in CLASSES else ""


def pytest_terminal_summary(terminalreporter: Any) -> None:
    told = Counter(
        value
        for report in terminalreporter.stats.get("passed", [])
        for name, value in getattr(report, "user_properties", [])
        if name == NAME and getattr(report, "when", "") == "call"
    )
    if told:
        terminalreporter.write_line("external checks: " + counted(told))


def counted(told: Counter[str]) -> str:
    """The counts by class.

    >>> counted(Counter({"printed": 3}))
    'printed=3, worked example=0, independent program=0, in all=3'
    """
    parts = [f"{kind}={told[kind]}" for kind in CLASSES]
    return ", ".join([*parts, f"in all={sum(told.values())}"])
