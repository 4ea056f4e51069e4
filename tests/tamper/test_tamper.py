"""Every kind of change once, and the tools of a stranger catch each; `make tamper` does more."""

from __future__ import annotations

from pathlib import Path

import pytest
from pytest_django import Settings

from tests.inspections.outside_tools import tool
from tests.tamper.evidence import make_evidence
from tests.tamper.forgeries import CHANGES
from tests.tamper.run import run
from tests.tamper.table import table
from tests.tamper.tools import OURS


@pytest.mark.long
@pytest.mark.django_db
@pytest.mark.one_database
def test_no_change_goes_uncaught_by_a_strangers_tools_or_by_ours(
    settings: Settings, tmp_path: Path
) -> None:
    for name, package in (
        ("openssl", "openssl"), ("pdfsig", "poppler-utils"), ("certutil", "libnss3-tools"),
    ):  # fmt: skip
        tool(name, package)
    settings.LOFTBOOK_FILES = tmp_path / "files"
    found = run(make_evidence(tmp_path), len(CHANGES), seed=20261126)
    print(table(found))
    assert found.uncaught == []
    assert found.missed == []
    assert found.line == f"changes={len(CHANGES)} uncaught=0"
    assert found.by["history rewritten, by an insider", "with the kept head"] == 1
    assert found.by["a photograph left out, by an insider", "verify_complete"] == 1
    assert not [kind for kind in CHANGES if not found.by[kind, OURS]]
