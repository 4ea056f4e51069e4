"""Writes `beams.json`: random battens solved by an independent program.

Only to be run where that program is installed, in an environment of its own:

    pip install PyNiteFEA==3.2.0
    python tests/vectors/beams.py

It is a finite-element library (MIT licence) that shares no code and no method with ours: stiffness
of members in floating point there, the elastic line in exact fractions here. The tests read the
file and need no such library.
"""

import itertools
import json
import random
from importlib.metadata import version
from pathlib import Path

BEAMS = 400
MADE_ON = "2026-11-25"
FILE = Path(__file__).with_name("beams.json")


def batten(draw: random.Random) -> dict:
    count = draw.randint(2, 9)
    length = draw.randint(40, 180)  # tenths of a metre
    places = sorted(draw.sample(range(length + 1), count))
    points = [[draw.randint(0, length), draw.randint(1, 3000)] for _ in range(draw.randint(0, 4))]
    spread = []
    for _ in range(draw.randint(0, 2)):
        start, end = sorted(draw.sample(range(length + 1), 2))
        spread.append([start, end, draw.randint(10, 900)])
    spread.append([0, length, draw.randint(1, 200)])
    moved = draw.random() < 0.5
    drops = [draw.randint(-20, 20) if moved else 0 for _ in range(count)]  # millimetres
    return {
        "length": length, "lines": places, "points": points, "spread": spread, "drops": drops,
        "rigidity": draw.randint(5_000, 400_000),  # N m2
    }  # fmt: skip


def solved(one: dict) -> list[float]:
    """Reactions in newtons, up positive, by members between every place that matters."""
    from Pynite import FEModel3D  # only here: the tests read the file, not the program

    marks = {0, one["length"], *one["lines"], *(place for place, _ in one["points"])}
    marks |= {place for start, end, _ in one["spread"] for place in (start, end)}
    nodes = sorted(marks)
    model = FEModel3D()
    model.add_material("M", 1e9, 1e9, 0.3, 1.0)
    section = one["rigidity"] / 1e9
    model.add_section("S", 1.0, section, section, section)
    for place in nodes:
        model.add_node(f"N{place}", place / 10, 0, 0)
        model.def_support(f"N{place}", True, False, True, True, True, False)
    for i, (start, end) in enumerate(itertools.pairwise(nodes)):
        model.add_member(f"B{i}", f"N{start}", f"N{end}", "M", "S")
        for begin, stop, rate in one["spread"]:
            if begin <= start and end <= stop:
                model.add_member_dist_load(f"B{i}", "FY", -rate, -rate)
    for place, load in one["points"]:
        model.add_node_load(f"N{place}", "FY", -load)
    for place, drop in zip(one["lines"], one["drops"], strict=True):
        model.def_support(f"N{place}", True, True, True, True, True, False)
        model.def_node_disp(f"N{place}", "DY", -drop / 1000)
    model.analyze_linear()
    return [model.nodes[f"N{place}"].RxnFY["Combo 1"] for place in one["lines"]]


def main() -> None:
    draw = random.Random(20261125)
    beams = []
    for _ in range(BEAMS):
        one = batten(draw)
        beams.append({**one, "reactions": [f"{value:.6f}" for value in solved(one)]})
    program = f"PyNiteFEA {version('PyNiteFEA')}"
    lines = ",\n".join(json.dumps(one) for one in beams)
    FILE.write_text(
        f'{{"program": "{program}", "date": "{MADE_ON}",\n"beams": [\n{lines}\n]}}\n',
        encoding="utf-8",
    )
    print(f"{len(beams)} battens by {program}")


if __name__ == "__main__":
    main()
