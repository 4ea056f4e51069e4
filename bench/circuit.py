"""`python bench/circuit.py --houses 100 --seconds 600 --seed 1`: a circuit planned house by house;
the last line is JSON. The houses share no examiner and no crew, so their bounds add up."""

from __future__ import annotations

import argparse
import json
import sys
import time
from dataclasses import dataclass
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from bench.plan import peak_megabytes, processor_seconds
from bench.planner.houses import synthetic_house
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import Evaluation, evaluate
from inspections.planning.greedy import earliest_fit
from inspections.planning.groups import groups_of
from inspections.planning.outcome import COST, LATE, Options, Stage
from inspections.planning.solve import plan_year

LEAST_SECONDS = 1.0
"""A house gets so long also where those before it took all the time."""


@dataclass(frozen=True)
class OfOne:
    """One house of the circuit."""

    earliest: Evaluation
    plan: Evaluation
    late: Stage
    cost: Stage
    seconds: float


def of_one(seed: int, seconds: float) -> OfOne:
    house = synthetic_house("C", seed)
    earliest = evaluate(house, earliest_fit(house, groups_of(house), Capacity(house)))
    made = plan_year(house, Options(seconds=seconds, seed=seed))
    if made.evaluation.faults:
        raise SystemExit(f"house {seed}: {made.evaluation.faults[0]}")
    return OfOne(earliest, made.evaluation, made.stage(LATE), made.stage(COST), made.seconds)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--houses", type=int, default=100)
    parser.add_argument("--seconds", type=float, default=600)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    began, cpu = time.monotonic(), processor_seconds()
    made: list[OfOne] = []
    for number in range(asked.houses):
        left = asked.seconds - (time.monotonic() - began)
        share = max(LEAST_SECONDS, left / (asked.houses - number))
        made.append(of_one(1000 * asked.seed + number, share))
    cost, bound = sum(one.cost.value for one in made), sum(one.cost.bound for one in made)
    print(json.dumps({
        "houses": asked.houses, "seed": asked.seed,
        "late_days": sum(one.late.value for one in made),
        "late_bound": sum(one.late.bound for one in made),
        "cost": cost / 100, "bound": bound / 100, "gap": round(1 - bound / cost, 4),
        "solved_to_the_end": sum(one.cost.gap == 0 for one in made),
        "visit_days": sum(one.plan.visit_days for one in made),
        "isolations": sum(one.plan.set_up_count for one in made),
        "earliest_late_days": sum(one.earliest.late_days for one in made),
        "earliest_cost": sum(one.earliest.cost for one in made) / 100,
        "earliest_visit_days": sum(one.earliest.visit_days for one in made),
        "earliest_isolations": sum(one.earliest.set_up_count for one in made),
        "slowest_s": round(max(one.seconds for one in made), 1),
        "wall_s": round(time.monotonic() - began, 1),
        "cpu_s": round(processor_seconds() - cpu, 1),
        "peak_mb": peak_megabytes(),
    }))  # fmt: skip


if __name__ == "__main__":
    main()
