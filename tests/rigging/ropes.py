"""The rope and the observations that the tests of the engine start from."""

from __future__ import annotations

from typing import Any

from rigging.engine import CONDITIONS, RopeFacts, RopeObservation

# A 7x19 rope of which everything is known. Figures of the construction: 133 wires, 19 a strand,
# 114 in the outer strands.
WHOLE_ROPE: dict[str, Any] = {
    "construction": "7x19",
    "nominal_diameter": "6 mm",
    "baseline_diameter": "6.1 mm",
    "lay_length": "39 mm",
    "lay_type": "ordinary",
    "core": "wire_strand",
    "rotation_resistant": False,
    "duty": "running",
    "total_wires": 133,
    "wires_per_strand": 19,
    "outer_load_bearing_wires": 114,
    "drum": "single_layer",
}


def make_rope(**facts: Any) -> RopeFacts:
    return RopeFacts.from_dict(WHOLE_ROPE | facts)


def lay(number: int, in_one_strand: int | None = None, zone: str | None = None) -> dict[str, Any]:
    return {
        "number": number, "window": ["lay", 1], "in_one_strand": in_one_strand, "zone": zone,
    }  # fmt: skip


def make_observation(**seen: Any) -> RopeObservation:
    """Everything looked at, nothing found, unless said otherwise."""
    clean: dict[str, Any] = {
        "counts": [lay(0, 0)],
        "diameters": [{"a": "6.05 mm", "b": "6.05 mm"}],
        "conditions": dict.fromkeys(CONDITIONS, False),
    }
    return RopeObservation.from_dict(clean | seen)
