"""`python -m tests.trials [N] [SEED]`: N checks under faults; the last line is the count."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from tests.trials.run import run


def main(words: list[str]) -> int:
    trials = int(words[0]) if words else 50
    seed = int(words[1]) if len(words) > 1 else 1
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as driver:
        found = run(trials, seed, Path(folder), driver)
    for fault, times in sorted(found.faults.items()):
        print(f"{times:5} {fault}")
    print(f"{found.sendings} messages reached the server, for {found.entered} checks")
    print(f"{found.other_bytes} stored with other bytes than were saved")
    print(found.line)
    return 0 if found.clean else 1


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
