"""Who and what the demo house has. All of it is invented."""

from __future__ import annotations

PASSWORD = "larkspur-by-the-harbour"

# Email, name, role at the Larkspur, level, certificate.
PEOPLE = (
    ("odile@larkspur.example", "Odile Varga", "manager", "competent_person", "House appointment 4"),
    (
        "tam@larkspur.example",
        "Tam Achterberg",
        "competent",
        "qualified_person",
        "Rigging course 2023",
    ),
    ("priya@larkspur.example", "Priya Kestrel", "stagehand", "trained_user", "House induction"),
    (
        "jonas@larkspur.example",
        "Jonas Quill",
        "competent",
        "competent_person",
        "House appointment 9",
    ),
    (
        "marisol@examiner.example",
        "Marisol Dunne",
        "examiner",
        "outside_examiner",
        "Examiner card 118",
    ),
    ("ines@insurer.example", "Ines Halloran", "auditor", "", ""),
)

# Slug, name, parent, level, hazards, access.
PLACES: tuple[tuple[str, str, str | None, int, list[str], list[str]], ...] = (
    ("stage-house", "Stage house", None, 3, [], []),
    (
        "machine-pit",
        "Machine pit",
        "stage-house",
        0,
        ["Lift above: lock it off before you go in"],
        ["machine_locked"],
    ),
    (
        "stage",
        "Stage and forestage",
        "stage-house",
        1,
        ["Open pit edge when the lift is away"],
        ["stage_clear"],
    ),
    ("fly-gallery", "Fly gallery", "stage-house", 2, ["Moving arbors at the wall"], []),
    (
        "loading-gallery",
        "Loading gallery",
        "stage-house",
        3,
        ["Weights over the rail"],
        ["nobody_below"],
    ),
    (
        "gridiron",
        "Gridiron",
        "stage-house",
        4,
        ["Openings between the channels"],
        ["grid_empty", "nobody_below"],
    ),
    ("auditorium", "Auditorium", None, 3, [], []),
    (
        "catwalks",
        "Catwalks over the auditorium",
        "auditorium",
        4,
        ["Seats below"],
        ["house_empty", "nobody_below"],
    ),
    (
        "upper-void",
        "Upper void",
        "auditorium",
        5,
        ["Low beams, no daylight"],
        ["detector_isolated"],
    ),
)

WINCH = {"service": "normal", "line_count": "2", "over_people": "no"}
LIFT = {"screw_count": "4", "carries_people": "yes", "travel": "3.2 m", "blind_edges": "2"}
SET = {
    "lift_line_count": "5",
    "batten_length": "14 m",
    "travel": "17 m",
    "imbalance_limit": "20 kg",
}
DETECTOR = {
    "beam_type": "reflective", "path_length": "22 m", "zone": "Upper void", "alarm_setting": "35 %",
    "blocked_beam_signal": "fault_only", "control_monitored": "yes",
    "sensitivity_record": "first_test_in_range", "installed_on": "2021-06-14",
}  # fmt: skip
ROPE = {
    "construction": "7x19", "nominal_diameter": "6 mm", "core": "wire_strand", "lay_type": "ordinary",
    "lay_length": "38 mm", "rotation_resistant": "no", "duty": "running", "strands": "7",
    "wires_per_strand": "19", "total_wires": "133", "outer_load_bearing_wires": "114",
    "minimum_breaking_force": "25 kN", "mbf_source": "certificate", "baseline_diameter": "6.2 mm",
    "drum": "single_layer",
}  # fmt: skip


def equipment() -> list[tuple[str, str, str, str, dict[str, str], int]]:
    """Tag, name, kind, place, fields, number of wire ropes."""
    rows = [
        ("L1", "Forestage lift north", "pit_lift_screw", "machine-pit", LIFT, 0),
        ("L2", "Forestage lift south", "pit_lift_screw", "machine-pit", LIFT, 0),
        ("L3", "Wagon lift", "pit_lift_screw", "machine-pit", LIFT | {"carries_people": "no"}, 0),
        (
            "W1",
            "Canopy winch",
            "multi_line_winch",
            "gridiron",
            _multi(8, "Forestage canopy", "yes"),
            8,
        ),
        (
            "W2",
            "Cluster winch left",
            "multi_line_winch",
            "upper-void",
            _multi(2, "Loudspeakers", "yes"),
            2,
        ),
        (
            "W3",
            "Cluster winch right",
            "multi_line_winch",
            "upper-void",
            _multi(2, "Loudspeakers", "yes"),
            2,
        ),
        ("W4", "Paint frame winch", "drum_winch", "stage", WINCH, 2),
        ("GR", "Gridiron", "gridiron", "gridiron", {"height": "19 m"}, 0),
        ("LG", "Loading gallery", "loading_gallery", "loading-gallery", {"height": "16 m"}, 0),
        ("FC", "Fire safety curtain", "fire_safety_curtain", "stage", _curtain(), 0),
    ]
    rows += [
        (f"C{n}", f"Catwalk {n}", "catwalk", "catwalks", {"height": "11 m"}, 0) for n in (1, 2, 3)
    ]
    rows += [_set(n) for n in range(1, 41)]
    rows += [_hoist(n) for n in range(1, 7)]
    rows += [
        (
            f"D{n:02}",
            f"Beam detector {n}",
            "beam_smoke_detector",
            "upper-void",
            DETECTOR | {"panel_address": f"2/{n:03}"},
            0,
        )
        for n in range(1, 15)
    ]
    rows += [_anchor(n) for n in range(1, 23)]
    return rows


def _multi(lines: int, load: str, over_people: str) -> dict[str, str]:
    return WINCH | {
        "line_count": str(lines), "over_people": over_people, "load_description": load, "load_cells": "no",
    }  # fmt: skip


def _curtain() -> dict[str, str]:
    return {
        "curtain_type": "framed", "release_count": "2", "fusible_link_count": "4", "asbestos": "none_shown_by_test",
    }  # fmt: skip


def _set(number: int) -> tuple[str, str, str, str, dict[str, str], int]:
    kind = "counterweight_set_single" if number <= 28 else "counterweight_set_double"
    return (
        f"S{number:02}",
        f"Line set {number}",
        kind,
        "fly-gallery",
        SET | {"set_number": str(number)},
        0,
    )


def _hoist(number: int) -> tuple[str, str, str, str, dict[str, str], int]:
    fields = {
        "serial_number": f"LT-{4100 + number}",
        "service": "normal",
        "hoist_class": "area_empty_only",
    }
    return (f"H{number}", f"Chain hoist {number}", "chain_hoist", "stage", fields, 0)


def _anchor(number: int) -> tuple[str, str, str, str, dict[str, str], int]:
    fields = {
        "anchor_number": str(number), "anchor_type": "bolted", "persons": "1", "fixed_to": "Roof steel",
        "installed_on": "2019-03-04",
    }  # fmt: skip
    return (f"A{number:02}", f"Anchor {number}", "fall_arrest_anchor", "gridiron", fields, 0)
