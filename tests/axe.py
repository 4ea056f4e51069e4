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
    pages = told.get("pages", 0)
    print(
        " ".join(f"{name}={told.get(name, 0)}" for name in ("pages", "themes", "sizes", "findings"))
    )
    return int(bool(failed) or not pages)


if __name__ == "__main__":
    sys.exit(main())
