"""The parts of each machine, as the rows of a register file. All figures are invented."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from inspections.demo.machines import Machine


@dataclass(frozen=True)
class Piece:
    """One part in its position."""

    code: str
    kind: str
    name: str
    fields: dict[str, str] = field(default_factory=dict)
    identifier: str = ""
    installed_on: str = ""


ROPE = {
    "construction": "7x19", "nominal_diameter": "6 mm", "core": "wire_strand", "lay_type": "ordinary",
    "lay_length": "38 mm", "rotation_resistant": "no", "duty": "running", "strands": "7",
    "grade": "1960", "wires_per_strand": "19", "total_wires": "133", "outer_load_bearing_wires": "114",
    "minimum_breaking_force": "25 kN", "mbf_source": "certificate", "baseline_diameter": "6.2 mm",
    "drum": "single_layer", "length": "26 m", "certificate": "Mill certificate 5120",
}  # fmt: skip
LIFT_LINE = ROPE | {"drum": "no_drum", "length": "31 m"}
BLOCK = {
    "mounting": "upright", "sheave_count": "1", "sheave_diameter": "200 mm", "groove_for": "6 mm",
    "side_play_limit": "2 mm", "bearing_play_limit": "0.5 mm",
}  # fmt: skip
BRAKE = {"brake_type": "disc", "position": "motor", "air_gap_limit": "0.6 mm"}
SWITCHES = (
    ("normal top", "normal_top"), ("normal bottom", "normal_bottom"),
    ("ultimate top", "ultimate_top"), ("ultimate bottom", "ultimate_bottom"),
)  # fmt: skip


def pieces_of(machine: Machine) -> Iterator[Piece]:
    """In walking order. A kind without parts of its own gives none."""
    pieces = _PIECES.get(machine.kind)
    return pieces(machine) if pieces else iter(())


def _lift(machine: Machine) -> Iterator[Piece]:
    screw = {
        "screw_diameter": "60 mm", "lead": "9 mm", "safety_nut": "yes", "nut_gap_as_new": "5 mm",
        "nut_gap_limit": "2 mm", "axial_play_limit": "1 mm",
    }  # fmt: skip
    for corner in ("north-east", "north-west", "south-east", "south-west"):
        yield Piece(f"screw {corner}", "screw_and_nut", "Screw and nut", screw)
    yield from _drive()
    for side in ("house side", "stage side"):
        edge = {"side": side, "length": "11 m", "edge_type": "pressure_strip"}
        yield Piece(f"edge {side}", "safety_edge", "Safety edge", edge)
    for place in ("pit door", "trap room door"):
        door = {"guard": "door", "place_text": place, "interlocked": "yes"}
        yield Piece(place, "rail_or_opening", "Door", door)


def _winch(machine: Machine) -> Iterator[Piece]:
    lines = int(machine.fields["line_count"])
    for number in range(1, lines + 1):
        yield Piece(
            f"line {number}",
            "wire_rope",
            "Wire rope",
            ROPE,
            f"R-{machine.tag}-{number}",
            "2022-08-01",
        )
    yield from _drive()
    for number in range(1, lines + 1):
        yield Piece(
            f"block {number}", "block", "Diverter block", BLOCK | {"block_type": "diverter"}
        )
    if machine.kind == "multi_line_winch":
        for number in range(1, lines + 1):
            yield _hook(f"pick-up {number}", "pick_point", f"{machine.tag}-P{number}", "300 kg")


def _drive() -> Iterator[Piece]:
    for number in (1, 2):
        yield Piece(f"brake {number}", "brake", "Brake", BRAKE)
    yield Piece("gearbox", "gearbox", "Gearbox", {"gear_type": "worm", "oil": "Mineral, grade 220"})
    yield from _switches()


def _switches() -> Iterator[Piece]:
    for code, function in SWITCHES:
        fields = {"function": function, "kind_of_switch": "mechanical"}
        yield Piece(f"limit {code}", "limit_switch", "Limit switch", fields)


def _hook(code: str, position: str, mark: str, load: str) -> Piece:
    fields = {
        "hook_position": position, "identifier": mark, "throat_as_new": "28 mm",
        "section_as_new": "24 mm", "rated_load": load,
    }  # fmt: skip
    return Piece(code, "hook", "Hook", fields, mark)


def _counterweight_set(machine: Machine) -> Iterator[Piece]:
    for number in range(1, 6):
        yield Piece(
            f"line {number}",
            "wire_rope",
            "Lift line",
            LIFT_LINE,
            f"R-{machine.tag}-{number}",
            "2016-07-18",
        )
    head = BLOCK | {
        "block_type": "head",
        "sheave_count": "6",
        "sheave_diameter": "300 mm",
        "beam": "Head steel",
    }
    yield Piece("head block", "block", "Head block", head)
    for number in range(1, 6):
        loft = BLOCK | {"block_type": "loft", "beam": f"Loft beam {number}"}
        yield Piece(f"loft block {number}", "block", "Loft block", loft)
    arbor = {"rods": "2", "clear_height": "1900 mm", "capacity": "450 kg", "guide_shoes": "4"}
    yield Piece("arbor", "arbor", "Arbor", arbor)
    hand_line = {
        "fibre": "polyester", "nominal_diameter": "20 mm", "length": "40 m", "fitted_on": "2021-08-09",
        "life_limit_years": "10",
    }  # fmt: skip
    yield Piece("hand line", "hand_line", "Hand line", hand_line, installed_on="2021-08-09")
    yield Piece("rope lock", "rope_lock", "Rope lock", {"lock_for": "20 mm", "ring": "yes"})


def _hoist(machine: Machine) -> Iterator[Piece]:
    chain = {
        "link_diameter": "7 mm", "pitch": "21 mm", "gauge_links": "11", "gauge_length_as_new": "231 mm",
        "length": "24 m", "grade": "DAT", "fitted_on": "2019-02-11",
    }  # fmt: skip
    yield Piece("chain", "load_chain", "Load chain", chain, f"CH-{machine.tag}", "2019-02-11")
    yield _hook("top hook", "top", f"{machine.tag}-T", "500 kg")
    yield _hook("bottom hook", "bottom", f"{machine.tag}-B", "500 kg")
    yield Piece("brake", "brake", "Brake", BRAKE)
    yield from list(_switches())[:2]


def _detector(machine: Machine) -> Iterator[Piece]:
    for code, role in (("head", "emitter_receiver"), ("reflector", "reflector")):
        fields = {"role": role, "fixed_to": "main_steel", "height": "12.5 m"}
        yield Piece(code, "optical_head", code.title(), fields)


def _walkway(machine: Machine) -> Iterator[Piece]:
    for side in ("upstage rail", "downstage rail"):
        rail = {"guard": "guard_rail", "place_text": side, "as_built_height": "1180 mm"}
        yield Piece(side, "rail_or_opening", "Guard rail", rail)
    gate = {"guard": "gate_or_chain", "place_text": "ladder head", "removable": "no"}
    yield Piece("ladder gate", "rail_or_opening", "Gate", gate)


def _curtain(machine: Machine) -> Iterator[Piece]:
    rope = LIFT_LINE | {"nominal_diameter": "12 mm", "baseline_diameter": "12.4 mm", "lay_length": "76 mm",
                        "minimum_breaking_force": "96 kN", "length": "24 m"}  # fmt: skip
    for number in (1, 2):
        yield Piece(
            f"line {number}", "wire_rope", "Lift rope", rope, f"R-FC-{number}", "2015-08-03"
        )
    for number in (1, 2):
        yield Piece(f"block {number}", "block", "Head block", BLOCK | {"block_type": "head"})
    for place in ("stage left", "stage right", "above", "fly gallery"):
        link = {"rated_temperature_text": "74 °C", "place_text": place, "made_in_year": "2020"}
        yield Piece(f"link {place}", "fusible_link", "Fusible link", link)
    yield Piece("descent brake", "brake", "Descent brake", {"brake_type": "hydraulic_or_damper"})


_PIECES = {
    "pit_lift_screw": _lift,
    "multi_line_winch": _winch,
    "drum_winch": _winch,
    "counterweight_set_single": _counterweight_set,
    "counterweight_set_double": _counterweight_set,
    "chain_hoist": _hoist,
    "beam_smoke_detector": _detector,
    "gridiron": _walkway,
    "loading_gallery": _walkway,
    "catwalk": _walkway,
    "fire_safety_curtain": _curtain,
}
