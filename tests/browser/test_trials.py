"""Fifty checks on a phone while the line, the browser and the server fail; `make trials` does more."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.long
@pytest.mark.browser
def test_fifty_checks_under_faults_are_stored_once_each_in_the_right_name() -> None:
    command = [sys.executable, "-m", "tests.trials", "50", "20261125"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    told = done.stdout.strip().splitlines()
    assert done.returncode == 0, done.stdout + done.stderr[-3000:]
    assert told[-1].startswith("trials=50 entered=")
    assert told[-1].endswith("lost=0 doubled=0 wrong_name=0")
    entered = int(told[-1].split("entered=")[1].split()[0])
    assert entered >= 40, "most trials come as far as a saved check"
