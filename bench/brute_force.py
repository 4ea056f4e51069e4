"""`python bench/brute_force.py --houses 500`: on tiny houses, no plan at all beats the planner's."""

from __future__ import annotations

import argparse
import sys
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from inspections.planning.outcome import COST, LATE, Options
from inspections.planning.solve import plan_year
from tests.inspections.planning.every_plan import best_of_all, small_enough


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--houses", type=int, default=500)
    parser.add_argument("--first", type=int, default=0)
    asked = parser.parse_args()
    began, wrong = time.monotonic(), 0
    for seed in range(asked.first, asked.first + asked.houses):
        house = small_enough(seed)
        best, outcome = best_of_all(house), plan_year(house, Options(seconds=4, repeatable=True))
        agrees = outcome.evaluation.rank == best.rank
        bounded = outcome.stage(LATE).bound <= best.late_days
        bounded = bounded and outcome.stage(COST).bound <= best.cost
        if not (agrees and bounded):
            wrong += 1
            print(f"house {seed}: {outcome.evaluation.rank}, best of all {best.rank}", flush=True)
    took = time.monotonic() - began
    print(f"{asked.houses} houses, {wrong} where a better plan exists, {took:.0f} s")
    return 1 if wrong else 0


if __name__ == "__main__":
    raise SystemExit(main())
