"""Believable answers to the checks of a regime, from a seeded chance. Pure.

What is typed is what somebody would type into the form; the verdict is the real engine's.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date

from inspections.calendar_rules import due_date
from inspections.regime_shapes import Check

Typed = dict[str, str]


@dataclass(frozen=True)
class Spread:
    """Between which values a sound machine reads, to how many places, in which unit."""

    low: float
    high: float
    places: int
    unit: str
    instrument: str = ""


MEASURED = {
    "running_gap": Spread(6, 13, 1, "mm", "Taper gauge 1"),
    "stopping_offset": Spread(-2.5, 3, 1, "mm", "Steel rule 3"),
    "edge_reversal": Spread(66, 86, 0, "mm", "Steel rule 3"),
    "corner_level": Spread(0.5, 2.2, 1, "mm", "Level 2"),
    "guide_clearance": Spread(0.8, 1.7, 1, "mm", "Feeler gauge 4"),
    "brake_gap": Spread(0.25, 0.45, 2, "mm", "Feeler gauge 4"),
    "brake_air_gap": Spread(0.25, 0.45, 2, "mm", "Feeler gauge 4"),
    "edge_pressure": Spread(14, 24, 0, "kPa", "Push gauge"),
    "bevel_angle": Spread(80, 86, 0, "deg", "Bevel"),
    "refuge_space": Spread(0.72, 0.81, 2, "m", "Tape 5"),
    "motor_current": Spread(19, 24, 1, "A", "Clamp meter"),
    "speed_with_people": Spread(0.09, 0.11, 2, "m/s"),
    "stopping_distance": Spread(22, 40, 0, "mm", "Steel rule 3"),
    "brake_creep": Spread(0, 0, 0, "mm", "Dial gauge"),
    "axial_play": Spread(0.15, 0.45, 2, "mm", "Dial gauge"),
    "safety_nut_gap": Spread(4.2, 4.8, 1, "mm", "Feeler gauge 4"),
    "position_error": Spread(-4, 5, 0, "mm", "Tape 5"),
    "brake_holding_load": Spread(135, 140, 0, "%"),
    "speed_off_plate": Spread(-3, 4, 1, "%"),
    "overload_stops_at": Spread(107, 115, 0, "%"),
    "fleet_angle": Spread(0.7, 1.6, 1, "deg"),
    "flange_height": Spread(1.9, 2.4, 1, "x"),
    "insulation": Spread(40, 180, 0, "Mohm", "Insulation tester 1"),
    "cell_span": Spread(-0.9, 1.1, 1, "%"),
    "cell_off_share": Spread(-4, 5, 1, "%"),
    "share_of_rating": Spread(18, 32, 0, "%"),
    "batten_bow": Spread(4, 10, 0, "mm", "String line"),
    "line_angle": Spread(0.3, 1.0, 1, "deg"),
    "lock_holds": Spread(23, 27, 0, "kg", "Spring scale"),
    "weight_off_marked": Spread(-1.5, 2, 1, "%", "Platform scale"),
    "side_play": Spread(0.4, 1.1, 1, "mm", "Feeler gauge 4"),
    "bearing_play": Spread(0.06, 0.25, 2, "mm", "Dial gauge"),
    "moved_on_beam": Spread(0, 0, 0, "mm"),
    "enters_in_plane": Spread(0.2, 0.9, 1, "deg"),
    "chain_longer": Spread(0.3, 1.1, 1, "%", "Chain gauge"),
    "link_loss": Spread(0.8, 3, 1, "%", "Caliper 2"),
    "throat_opened": Spread(0.4, 1.8, 1, "%", "Caliper 2"),
    "hook_twist": Spread(0.5, 2, 1, "deg"),
    "hoist_brake_drift": Spread(6, 14, 0, "mm", "Steel rule 3"),
    "compensation_used": Spread(4, 14, 0, "%", "Panel"),
    "light_filter_used": Spread(20, 20, 0, "%"),
    "dark_filter_used": Spread(45, 45, 0, "%"),
    "time_to_alarm": Spread(8, 16, 0, "s", "Stop watch"),
    "proof_force": Spread(6.4, 6.8, 1, "kN", "Pull tester"),
    "full_closing_time": Spread(21, 25, 1, "s", "Stop watch"),
    "last_eight_feet": Spread(6.1, 7.4, 1, "s", "Stop watch"),
    "raised_by_one": Spread(95, 130, 0, "s", "Stop watch"),
    "floor_load_posted": Spread(3, 3, 0, "kN/m2"),
    "floor_load_stored": Spread(3.2, 4.8, 1, "kN/m2"),
    "rail_height_iso": Spread(1170, 1190, 0, "mm", "Tape 5"),
    "clear_width": Spread(690, 720, 0, "mm", "Tape 5"),
    "head_room": Spread(2220, 2300, 0, "mm", "Tape 5"),
    "panel_step": Spread(0.5, 2.5, 1, "mm", "Feeler gauge 4"),
    "rung_spacing": Spread(298, 304, 0, "mm", "Tape 5"),
}

# What a check that counts should find, where that is not none.
COUNTED = {
    "wraps_left": (3, 4), "persons_on_list": (6, 8), "operators_trained": (3, 5),
    "loaders_trained": (4, 6), "hand_line_years": (4, 5),
    "nuisance_alarms": (0, 2), "false_alarms_half_year": (0, 1), "pieces_counted": (1460, 1460),
}  # fmt: skip

WRITTEN = {
    "lubricated_with": ("Screws and guides, lithium grease", "Screws, guides and chain, lithium grease"),
    "net_age": ("Net 2, label of March 2023",),
    "watched_whom": ("Priya Kestrel, on the day of this check",),
    "gear_oil": ("At the mark, no leak, quiet", "At the mark, a damp seal wiped dry, quiet"),
    "protective_conductor": ("0.12 ohm, low-resistance meter 2", "0.14 ohm, low-resistance meter 2"),
    "clutch_slips_at": ("Slips at 128 % of the rated load", "Slips at 131 % of the rated load"),
    "tests_made": ("Full travel unloaded and with the rated load", "Function test only, no load put on"),
}  # fmt: skip

NOT_HERE = {"plates_kept": "The stack is under 600 mm; no spreader plate is called for"}

ROPE_FORM = {
    "instrument": "Caliper 2", "uncertainty": "0.02 mm", "broken_valley": "0", "broken_end": "0",
    "looked": "yes",
}  # fmt: skip


class Chance:
    """A seeded chance for one machine: what is its own, and what differs from day to day."""

    def __init__(self, own: str, day: date) -> None:
        self.own, self.of_day = random.Random(own), random.Random(f"{own} {day}")  # nosec B311 - a demo, not a secret

    def between(self, low: float, high: float) -> float:
        """Mostly the machine's own value, a little of the day's."""
        return low + (high - low) * (0.8 * self.own.random() + 0.2 * self.of_day.random())


def answer_to(check: Check, interval: str, day: date, chance: Chance) -> Typed:
    """What a sound machine gives. Ropes: `rope_answer`."""
    if check.slug in NOT_HERE:
        return {"given": "not_applicable", "reason": NOT_HERE[check.slug]}
    if check.slug == "next_date":
        return {"text": due_date(day, interval, 1).isoformat()}
    return _BY_ANSWER[check.answer](check, chance)


def rope_answer(diameter: float, broken: int = 0, in_one_strand: int = 0) -> Typed:
    """A rope measured twice across at its worst place, and its broken wires in the worst lay."""
    first, second = f"{diameter:.2f} mm", f"{diameter + 0.01:.2f} mm"
    return ROPE_FORM | {
        "dia_1_a": first, "dia_1_b": second, "broken_lay": str(broken),
        "broken_strand_count": str(in_one_strand),
    }  # fmt: skip


def _yes_no(check: Check, chance: Chance) -> Typed:
    return {"given": "yes" if check.yes_means_good else "no"}


def _measured(check: Check, chance: Chance) -> Typed:
    spread = MEASURED[check.slug]
    value = round(chance.between(spread.low, spread.high), spread.places) + 0.0  # never "-0"
    return {"value": f"{value:.{spread.places}f} {spread.unit}", "instrument": spread.instrument}


def _counted(check: Check, chance: Chance) -> Typed:
    return {"value": str(chance.own.randint(*COUNTED.get(check.slug, (0, 0))))}


def _chosen(check: Check, chance: Chance) -> Typed:
    return {"choice": check.choices[0]}


def _written(check: Check, chance: Chance) -> Typed:
    return {"text": chance.of_day.choice(WRITTEN[check.slug])}


_BY_ANSWER = {
    "yes_no": _yes_no, "photo": _yes_no, "measured": _measured, "count": _counted,
    "choice": _chosen, "text": _written,
}  # fmt: skip
