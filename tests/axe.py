"""`python -m tests.axe`: the accessibility sweep, told in one line at the end."""

from __future__ import annotations

import json
import sys
from pathlib import Path

import pytest

COUNT = Path(__file__).resolve().parents[1] / "var" / "axe.txt"  # the sweep writes it


def main() -> int:
    COUNT.unlink(missing_ok=True)
    failed = pytest.main(["-q", "tests/browser/test_accessibility.py"])
    told = json.loads(COUNT.read_text()) if COUNT.exists() else {}
    pages = max((each["pages"] for each in told.values()), default=0)
    themes = max((each["looks"] for each in told.values()), default=0)
    found = sum(each["findings"] for each in told.values())
    print(f"pages={pages} themes={themes} sizes={len(told)} findings={found}")
    return int(bool(failed) or not pages)


if __name__ == "__main__":
    sys.exit(main())
