"""`python bench/plan.py --size M --seconds 120 --seed 1`: the year planner against two plans a
person could make, on a synthetic house; the last line is JSON."""

from __future__ import annotations

import argparse
import json
import resource
import sys
import time
from dataclasses import asdict, dataclass, replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from bench.planner.houses import SIZES, synthetic_house
from inspections.planning.capacity import Capacity
from inspections.planning.evaluate import Evaluation, evaluate
from inspections.planning.greedy import cheapest_fit, earliest_fit
from inspections.planning.groups import groups_of
from inspections.planning.house import House, Task
from inspections.planning.outcome import COST, LATE, MOVED, Options, Outcome, Progress

QUARTERS_AN_HOUR = 4


@dataclass(frozen=True)
class Line:
    """One plan of the table."""

    plan: str
    late_days: int
    late_bound: int | None
    cost: float
    bound: float | None
    gap: float | None
    visit_days: int
    isolations: int
    overtime_h: float
    over_target_h: float
    tight_days: int
    executions: int
    moves: int | None
    moves_bound: int | None
    first_s: float
    wall_s: float
    cpu_s: float
    """Processor seconds of this plan: what is comparable on a machine that does other work."""
    peak_mb: float


def line(
    plan: str, judged: Evaluation, seconds: float, cpu: float, outcome: Outcome | None = None
) -> Line:
    if judged.faults:
        raise SystemExit(f"{plan}: {judged.faults[0]}")
    stage = outcome.stage(COST) if outcome else None
    late_bound = outcome.stage(LATE).bound if outcome else None
    return Line(
        plan, judged.late_days, late_bound, judged.cost / 100, stage.bound / 100 if stage else None,
        round(stage.gap, 4) if stage else None, judged.visit_days, judged.set_up_count,
        judged.overtime_quarters / QUARTERS_AN_HOUR, judged.over_target_quarters / QUARTERS_AN_HOUR,
        judged.tight_days, judged.executions, None, None,
        round(outcome.first_seconds if outcome else seconds, 2), round(seconds, 1),
        round(processor_seconds() - cpu, 1), peak_megabytes(),
    )  # fmt: skip


def processor_seconds() -> float:
    """Of this process and of those beside it that are over: the proof has one of its own."""
    beside = resource.getrusage(resource.RUSAGE_CHILDREN)
    return time.process_time() + beside.ru_utime + beside.ru_stime


def peak_megabytes() -> int:
    """The most that this process held and the most that one beside it held."""
    both = (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    return round(sum(resource.getrusage(who).ru_maxrss for who in both) / 1024)


def baselines(house: House) -> list[Line]:
    groups, capacity = groups_of(house), Capacity(house)
    found = []
    for name, make in (("earliest that fits", earliest_fit), ("cheapest that fits", cheapest_fit)):
        began, cpu = time.monotonic(), processor_seconds()
        tasks = make(house, groups, capacity)
        found.append(line(name, evaluate(house, tasks), time.monotonic() - began, cpu))
    return found


def say(progress: Progress) -> None:
    judged = progress.evaluation
    print(
        f"  {progress.seconds:6.1f} s  late {judged.late_days}  moved {judged.moved}  "
        f"cost {judged.cost / 100:,.0f}  level {judged.level}  "
        f"({progress.aim}, proven {progress.bound:,})",
        flush=True,
    )


def one_show_more(house: House, tasks: tuple[Task, ...]) -> House:
    """The agreed plan, and a show on the half-day that has most of its tasks in the last third."""
    later = [task.slot for task in tasks if task.slot > house.slots * 2 // 3]
    taken = max(sorted(set(later)), key=later.count)
    access = tuple(frozenset() if slot == taken else a for slot, a in enumerate(house.access))
    return replace(house, access=access, agreed=frozenset(tasks))


def measure(house: House, options: Options, *, replan: bool) -> list[Line]:
    # Loaded here so that the time and memory of the baselines are their own.
    from inspections.planning.solve import plan_year

    cpu = processor_seconds()
    outcome = plan_year(house, options, say)
    found = [line("planner", outcome.evaluation, outcome.seconds, cpu, outcome)]
    if not replan:
        return found
    changed, cpu = one_show_more(house, outcome.tasks), processor_seconds()
    again = plan_year(changed, replace(options, seconds=options.seconds / 2), say)
    moved = line("planner, one show more", again.evaluation, again.seconds, cpu, again)
    least = again.stage(MOVED).bound if again.stage(LATE).gap == 0 else None
    return [*found, replace(moved, moves=again.stage(MOVED).value, moves_bound=least)]


def table(lines: list[Line]) -> None:
    names = list(asdict(lines[0]))
    print("| " + " | ".join(name.replace("_", " ") for name in names) + " |")
    print("|" + " --- |" * len(names))
    for row in lines:
        cells = ("" if value is None else f"{value:,}" if name != "plan" else value
                 for name, value in asdict(row).items())  # fmt: skip
        print("| " + " | ".join(cells) + " |")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--size", choices=sorted(SIZES), default="S")
    parser.add_argument("--seconds", type=float, default=120)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=Options.workers)
    parser.add_argument("--no-replan", action="store_true", help="leave out the show added")
    asked = parser.parse_args()
    house = synthetic_house(asked.size, asked.seed)
    options = Options(seconds=asked.seconds, seed=asked.seed, workers=asked.workers)
    lines = baselines(house) + measure(house, options, replan=not asked.no_replan)
    table(lines)
    last = lines[-1]
    planner = asdict(lines[2]) | {"moves": last.moves, "moves_bound": last.moves_bound}
    print(json.dumps({
        "size": asked.size, "seed": asked.seed, "plans": len(house.plans), **planner,
        "baselines": [asdict(row) for row in lines[:2]],
        "replan": None if asked.no_replan else asdict(last),
    }))  # fmt: skip


if __name__ == "__main__":
    main()
