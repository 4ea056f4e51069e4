"""`python -m tests.axe`: the accessibility sweep, told in one line at the end."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

import pytest

NAMES = ("pages", "themes", "sizes", "all_rules_in_all_themes", "findings")
COUNT = Path(__file__).resolve().parents[1] / "var" / "axe.txt"  # the sweep writes it


def main() -> int:
    COUNT.unlink(missing_ok=True)
    os.environ["AXE_OF_ALL"] = "yes"  # every rule, in every look, on every page
    failed = pytest.main(["-q", "tests/browser/test_accessibility.py"])
    told = json.loads(COUNT.read_text()) if COUNT.exists() else {}
    pages = told.get("pages", 0)
    print(" ".join(f"{name}={told.get(name, 0)}" for name in NAMES))
    return int(bool(failed) or not pages)


if __name__ == "__main__":
    sys.exit(main())
