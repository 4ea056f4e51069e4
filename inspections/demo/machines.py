"""The equipment of both houses, as the rows of a register file. All figures are invented."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

GRIDIRON, STAGE = "Stage house / Gridiron", "Stage house / Stage and forestage"
PIT, VOID = "Stage house / Machine pit", "Auditorium / Upper void"


@dataclass(frozen=True)
class Machine:
    """One piece of equipment: its fields and its rated loads as somebody would type them."""

    tag: str
    name: str
    kind: str
    place: str
    made_on: str
    fields: dict[str, str]
    loads: dict[str, str] = field(default_factory=dict)


LIFT = {
    "screw_count": "4", "carries_people": "yes", "platform_length": "11.2 m", "platform_width": "2.1 m",
    "travel": "3.2 m", "rated_speed": "0.10 m/s", "landings": "3", "blind_edges": "2",
    "running_gap_limit": "25 mm", "stopping_distance_limit": "60 mm", "guide_clearance_limit": "3 mm",
    "motor_current_plate": "28 A", "seating_wagons": "yes", "installed_on": "1998-09-01",
}  # fmt: skip
LIFT_LOADS = {"moving": "4500 kg", "at_rest": "9000 kg"}
WINCH = {
    "service": "normal", "drum_count": "1", "line_count": "2", "rated_speed": "0.12 m/s", "travel": "12 m",
    "over_people": "no", "hours_counter": "no", "installed_on": "2009-05-11",
}  # fmt: skip
SET = {
    "lift_line_count": "5", "line_spacing": "3.2 m", "batten_length": "14 m", "batten_weight": "62 kg",
    "travel": "17 m", "imbalance_limit": "20 kg", "batten_bow_limit": "15 mm",
    "installed_on": "1998-08-20",
}  # fmt: skip
POINT_POSTED = (5, 12, 20)  # the sets on whose batten somebody painted what one point takes
DETECTOR = {
    "beam_type": "reflective", "path_length": "22 m", "reflector_count": "1", "zone": "Upper void",
    "alarm_setting": "35 %", "no_alarm_filter": "18 %", "alarm_filter": "50 %",
    "alarm_time_limit": "30 s", "compensation_limit": "50 %", "blocked_beam_signal": "fault_only",
    "control_monitored": "yes", "sensitivity_record": "first_test_in_range", "installed_on": "2021-06-14",
}  # fmt: skip
WALKWAY = {
    "length": "18 m", "width": "0.72 m", "height": "11 m", "floor_kind": "grating",
    "rail_installed_on": "1998-08-20",
}  # fmt: skip


def larkspur_machines() -> Iterator[Machine]:
    yield from _lifts()
    yield from _winches()
    yield from _walkways()
    yield Machine(
        "FC", "Fire safety curtain", "fire_safety_curtain", STAGE, "1998",
        {
            "curtain_type": "framed", "opening_width": "11.4 m", "opening_height": "7.2 m",
            "curtain_weight": "2900 kg", "closing_time_limit": "28 s", "release_count": "2",
            "fusible_link_count": "4", "asbestos": "none_shown_by_test", "installed_on": "1998-08-20",
        },
    )  # fmt: skip
    yield from (_set(number) for number in range(1, 41))
    yield from (_hoist(number, STAGE) for number in range(1, 7))
    yield from (_detector(number, VOID, "Upper void") for number in range(1, 15))
    yield from (_anchor(number) for number in range(1, 23))


def studio_machines() -> Iterator[Machine]:
    floor, grid = "Studio / Floor", "Studio / Grid"
    yield Machine(
        "W1", "Cyclorama winch", "drum_winch", grid, "2014",
        WINCH | {"line_count": "2", "travel": "6 m"}, {"whole": "200 kg", "per_line": "100 kg"},
    )  # fmt: skip
    yield Machine(
        "GR", "Studio grid", "gridiron", grid, "2014",
        {"length": "14 m", "width": "11 m", "height": "6.2 m", "floor_kind": "grating"},
        {"uniform": "2.5 kN/m2"},
    )  # fmt: skip
    yield from (_hoist(number, floor, "2016") for number in range(1, 5))
    yield from (_detector(number, grid, "Studio grid") for number in range(1, 3))


def _lifts() -> Iterator[Machine]:
    for tag, name in (("L1", "Forestage lift north"), ("L2", "Forestage lift south")):
        yield Machine(tag, name, "pit_lift_screw", PIT, "1998", LIFT, LIFT_LOADS)
    wagon = LIFT | {"carries_people": "no", "platform_length": "6 m", "seating_wagons": "no"}
    yield Machine(
        "L3", "Wagon lift", "pit_lift_screw", "Stage house / Trap room", "1998", wagon, LIFT_LOADS
    )


def _winches() -> Iterator[Machine]:
    canopy = WINCH | {"drum_count": "8", "line_count": "8", "over_people": "yes"}
    yield Machine(
        "W1", "Canopy winch", "multi_line_winch", GRIDIRON, "1998",
        canopy | {"load_description": "Forestage canopy", "load_cells": "yes", "skew_limit": "30 mm"},
        {"whole": "820 kg", "per_line": "125 kg"},
    )  # fmt: skip
    for tag, side in (("W2", "left"), ("W3", "right")):
        cluster = WINCH | {"drum_count": "2", "over_people": "yes", "load_cells": "yes"}
        yield Machine(
            tag, f"Cluster winch {side}", "multi_line_winch", VOID, "2009",
            cluster | {"load_description": "Loudspeakers", "secondary_suspension": "yes"},
            {"whole": "500 kg", "per_line": "280 kg"},
        )  # fmt: skip
    yield Machine(
        "W4", "Paint frame winch", "drum_winch", "Stage house / Scene dock", "1998",
        WINCH | {"travel": "9 m", "paint_frame": "yes"}, {"whole": "500 kg", "per_line": "300 kg"},
    )  # fmt: skip


def _walkways() -> Iterator[Machine]:
    yield Machine(
        "GR", "Gridiron", "gridiron", GRIDIRON, "1998",
        WALKWAY | {"length": "16 m", "width": "12 m", "height": "19 m", "well_count": "7",
                   "floor_kind": "slots_or_channels", "load_plan_displayed": "yes"},
        {"uniform": "3 kN/m2"},
    )  # fmt: skip
    yield Machine(
        "LG", "Loading gallery", "loading_gallery", "Stage house / Loading gallery", "1998",
        WALKWAY | {"length": "16 m", "height": "16 m", "piece_count": "1460",
                   "weight_on_book": "16600 kg", "toe_board_height": "150 mm"},
        {"uniform": "7.5 kN/m2"},
    )  # fmt: skip
    for number in (1, 2, 3):
        yield Machine(
            f"C{number}", f"Catwalk {number}", "catwalk", "Auditorium / Catwalks", "1998",
            WALKWAY | {"emergency_light": "yes"}, {"uniform": "2 kN/m2"},
        )  # fmt: skip


def _set(number: int) -> Machine:
    double = number > 28
    fields = SET | {"set_number": str(number)}
    if number == 40:
        del fields["batten_bow_limit"]  # one figure nobody knows, as in every house
    kind = "counterweight_set_double" if double else "counterweight_set_single"
    return Machine(
        f"S{number:02}", f"Line set {number}", kind, "Stage house / Fly gallery", "1998", fields,
        {"whole": "350 kg" if double else "450 kg", "per_line": "110 kg"}
        | ({"per_point": "60 kg"} if number in POINT_POSTED else {}),
    )  # fmt: skip


def _hoist(number: int, place: str, year: str = "2012") -> Machine:
    fields = {
        "serial_number": f"LT-{4100 + number if year == '2012' else 4300 + number}", "service": "normal",
        "hoist_class": "area_empty_only", "falls": "1", "hook_height": "12 m", "rated_speed": "0.07 m/s",
        "brake_drift_limit": "25 mm", "body_position": "body_up", "made_in_year": year,
    }  # fmt: skip
    return Machine(
        f"H{number}", f"Chain hoist {number}", "chain_hoist", place, year, fields,
        {"whole": "500 kg"},
    )  # fmt: skip


def _detector(number: int, place: str, zone: str) -> Machine:
    fields = DETECTOR | {"zone": zone, "panel_address": f"2/{number:03}"}
    return Machine(
        f"D{number:02}", f"Beam detector {number}", "beam_smoke_detector", place, "2021", fields
    )


def _anchor(number: int) -> Machine:
    place = GRIDIRON if number <= 10 else "Auditorium / Catwalks" if number <= 18 else "Roof"
    fixed_to = "Roof steel" if number <= 18 else "Concrete upstand"
    fields = {
        "anchor_number": str(number), "anchor_type": "bolted", "persons": "1", "fixed_to": fixed_to,
        "installed_on": "2019-03-04", "structure_report": "Survey 2019, sheet 3",
    }  # fmt: skip
    return Machine(f"A{number:02}", f"Anchor {number}", "fall_arrest_anchor", place, "2019", fields)
