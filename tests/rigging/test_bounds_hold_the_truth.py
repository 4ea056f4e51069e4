"""Whatever is told truly of a rope, in whatever window, the range always holds the true number.

The truth is invented: every broken wire with its place, strand, zone and number. What an
inspector might tell of it is derived by brute force that shares nothing with the engine.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from rigging.engine import RopeFacts, RopeObservation
from rigging.engine.observation import ZONES, window_from
from rigging.engine.wire_counts import Wanted, count_bounds

# Lay length and diameter in millimetres, sometimes not known.
LAY, DIAMETER = 60, 10
WINDOWS = (["lay", 1], ["lay", 2], ["diameters", 6], ["diameters", 3], ["length", "45 mm"],
           ["length", "120 mm"], ["whole_rope"])  # fmt: skip


@dataclass(frozen=True)
class Wire:
    place: int
    strand: int
    zone: str
    number: int


wires = st.lists(
    st.builds(
        Wire, st.integers(0, 300), st.integers(1, 3), st.sampled_from(ZONES), st.integers(1, 5)
    ),
    max_size=9,
    unique=True,
)
windows = st.sampled_from(WINDOWS)
wanteds = st.fixed_dictionaries(
    {
        "window": windows,
        "only": st.sampled_from(((), ("valley",), ("termination",), ("crown", "valley"))),
        "without": st.sampled_from(((), ("termination",))),
        "how": st.sampled_from(("all", "per_strand", "adjacent")),
    }
)
tellings = st.lists(
    st.fixed_dictionaries(
        {"window": windows, "zone": st.sampled_from((None, *ZONES)), "strand": st.booleans(),
         "adjacent": st.booleans()}
    ),
    max_size=3,
)  # fmt: skip


def length(window: list[Any]) -> int | None:
    """In millimetres; None is the whole rope."""
    if window[0] == "length":
        return int(window[1].split()[0])
    return {"lay": LAY, "diameters": DIAMETER}[window[0]] * window[1] if window[1:] else None


def worst(truth: list[Wire], window: list[Any], how: str) -> int:
    """The true number, by looking at every window that starts at a wire."""
    span, most = length(window), 0
    for start in truth:
        here = [
            each
            for each in truth
            if span is None or start.place <= each.place <= start.place + span
        ]
        if how == "all":
            most = max(most, len(here))
            continue
        for strand in (1, 2, 3):
            ours = [each for each in here if each.strand == strand]
            most = max(most, len(ours) if how == "per_strand" else run(ours))
    return most


def run(strand: list[Wire]) -> int:
    """Wires side by side: tried from every number upwards."""
    numbers = {each.number for each in strand}
    runs = [0]
    for first in numbers:
        size = 0
        while first + size in numbers:
            size += 1
        runs.append(size)
    return max(runs)


def told(truth: list[Wire], telling: dict[str, Any]) -> dict[str, Any]:
    """A true count in one window, of one zone or all. In one strand: of the same wires."""
    of = [each for each in truth if telling["zone"] in (None, each.zone)]
    number = worst(of, telling["window"], "all")
    strand = worst(of, telling["window"], "per_strand")
    side = worst(of, telling["window"], "adjacent")
    return {
        "number": number, "window": telling["window"], "zone": telling["zone"],
        "in_one_strand": strand if telling["strand"] else None,
        "adjacent": side if telling["adjacent"] else None,
    }  # fmt: skip


def listed(wire: Wire, hidden: str) -> dict[str, Any]:
    said = {
        "position": f"{wire.place} mm", "strand": wire.strand, "zone": wire.zone,
        "wire": wire.number,
    }  # fmt: skip
    return {name: None if name in hidden else value for name, value in said.items()}


@settings(max_examples=600, deadline=None)
@given(
    wires, tellings, wanteds, st.booleans(),
    st.sampled_from(("", "zone", "strand", "wire", "zone strand wire")),
    st.sampled_from(("", "lay_length", "nominal_diameter")),
)  # fmt: skip
def test_the_true_number_lies_in_the_range(truth, tellings, wanted, with_list, hidden, unknown):
    facts = {"lay_length": f"{LAY} mm", "nominal_diameter": f"{DIAMETER} mm"}
    facts.pop(unknown, None)
    seen = RopeObservation.from_dict(
        {
            "counts": [told(truth, each) for each in tellings],
            "broken_wires": [listed(each, hidden) for each in truth] if with_list else [],
        }
    )
    asked = Wanted(
        window_from(list(wanted["window"]), "window"), wanted["only"], wanted["without"],
        wanted["how"] == "per_strand", wanted["how"] == "adjacent",
    )  # fmt: skip
    found = count_bounds(RopeFacts.from_dict(facts), seen, asked)
    counted = [
        each
        for each in truth
        if each.zone not in wanted["without"]
        and (not wanted["only"] or each.zone in wanted["only"])
    ]
    number = Fraction(worst(counted, wanted["window"], wanted["how"]))
    assert found.low <= number, (found, number)
    assert found.high is None or number <= found.high, (found, number)
    assert not any("disagree" in note for note in found.notes)
