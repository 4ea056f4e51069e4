"""What went wrong in the two years, when, and how it was put right. Days are counted back from
today; each happens on the next day on which the season lets somebody do that check."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from inspections.demo.readings import rope_answer
from inspections.demo.scenario import JONAS, MARISOL, ODILE, PRIYA, TAM

Typed = Mapping[str, str]


@dataclass(frozen=True)
class Cure:
    """The remedy so many days after the finding, and the second person who returns it later."""

    what: str
    by: str
    after: int = 1
    statement: str = ""
    returned_by: str = ""
    returned_after: int = 2
    new_rope: str = ""  # the identifier of the rope that takes the place of the retired one


@dataclass(frozen=True)
class Fault:
    """One check that fails. `part` is the code of the part it asks about."""

    days_ago: int
    tag: str
    regime: str
    check: str
    typed: Typed
    part: str = ""
    cure: Cure | None = None


@dataclass(frozen=True)
class Stop:
    """Taken out of service in one tap, outside any check."""

    days_ago: int
    tag: str
    why: str
    by: str
    part: str = ""
    cure: Cure | None = None


NO: Typed = {"given": "no"}

FAULTS = (
    Fault(
        230, "L1", "pit_lift_monthly", "edge_dead_points", {"value": "1"}, "edge house side",
        Cure("New pressure strip fitted over the whole house side", JONAS, 2,
             "Pressed every half metre: stops and backs away each time", TAM, 3),
    ),
    Fault(
        560, "D03", "beam_detector_yearly", "dark_filter_alarms", NO, "",
        Cure("Head replaced and aligned, memory cleared", JONAS, 1,
             "Darker filter put in twice: alarmed both times, right address", TAM, 2),
    ),
    Fault(
        505, "W2", "winch_ropes_monthly", "running_rope", rope_answer(5.93, 6, 2), "line 1",
        Cure("Rope of line 1 retired, a new one of the same make reeved", TAM, 2,
             "New rope, ends and drum anchor examined; run full travel with the cluster", MARISOL, 5,
             new_rope="R-W2-1B"),
    ),
    Fault(
        470, "W4", "winch_quarterly", "brake_air_gap", {"value": "0.72 mm", "instrument": "Feeler gauge 4"},
        "brake 1",
        Cure("Brake 1 adjusted to 0.30 mm and the linings cleaned", JONAS, 1,
             "Gap measured at three places, brake held with the rated load", TAM, 2),
    ),
    Fault(
        400, "S08", "counterweight_level_1_yearly", "splice_bolts_missing", {"value": "1"}, "",
        Cure("Bolt of grade 8.8 fitted, all splices torqued", PRIYA, 0,
             "Every splice of the batten looked at and tried", JONAS, 1),
    ),
    Fault(
        180, "C2", "walkway_monthly", "guard_in_place", NO, "downstage rail",
        Cure("Two clamps of the rail replaced", JONAS, 1, "Rail pushed by hand: firm", ODILE, 2),
    ),
    Fault(
        240, "GR", "gridiron_quarterly", "tie_offs_unknown", {"value": "2"}, "",
        Cure("Both slings traced to the musical, taken down", PRIYA, 3,
             "No line hangs without a name", TAM, 9),
    ),
    Fault(
        190, "FC", "fire_curtain_quarterly", "link_free", NO, "link above",
        Cure("Painted link replaced by a new one of 74 °C", JONAS, 1,
             "All four links seen bare and free, curtain dropped once", TAM, 1),
    ),
    Fault(
        260, "LG", "loading_gallery_six_monthly", "pieces_counted",
        {"value": "1457", "sure_value": "yes"}, "",
        Cure("Three pieces found in the scene dock and brought back", PRIYA, 6),
    ),
    Fault(
        200, "S31", "counterweight_level_1_yearly", "signs_right",
        {"given": "no", "grade": "restricted",
         "restriction": "Nothing above 250 kg until the sign and the register agree"},
    ),
    Fault(400, "A12", "anchor_yearly", "anchor_examined", NO),
    Fault(
        330, "S23", "counterweight_level_1_yearly", "lock_parts_sound", NO, "rope lock",
        Cure("Rope lock exchanged for the spare, set for 20 mm", JONAS, 2,
             "Held the house limit of imbalance for ten seconds", MARISOL, 6),
    ),
    Fault(
        45, "L3", "pit_lift_monthly", "stopping_offset",
        {"value": "8.5 mm", "instrument": "Steel rule 3", "grade": "used_until_date", "cured_by": "+60"},
    ),
)  # fmt: skip

STOPS = (
    Stop(
        365, "H2", "Chain jumps at the load wheel", JONAS, "chain",
        Cure("Load wheel and chain replaced by the maker's service", TAM, 9,
             "Full travel with the rated load, quiet, chain measured as new", MARISOL, 12),
    ),
    Stop(
        8, "H4", "Latch of the bottom hook does not close", PRIYA, "bottom hook",
        Cure("New latch fitted", JONAS, 2),
    ),
    Stop(2, "S17", "Hand line glazed where it passes the lock", PRIYA, "hand line"),
)  # fmt: skip


@dataclass(frozen=True)
class Trend:
    """A reading that grows from one value to another over the whole history."""

    tag: str
    check: str
    first: float
    last: float
    places: int
    unit: str
    instrument: str
    uncertainty: str = ""
    noted_from: float | None = None  # from here on whoever measures it writes an observation, once


TRENDS = (
    Trend("L2", "running_gap", 11.0, 24.4, 1, "mm", "Taper gauge 1", "0.2 mm", noted_from=23.8),
    Trend("D09", "compensation_used", 9, 46, 0, "%", "Panel"),
)


@dataclass(frozen=True)
class Wear:
    """One rope that ages faster than the others, by its identifier: from one diameter to another
    over the whole history, and its broken wires by the share of the history that has gone."""

    first: float
    last: float
    broken: tuple[tuple[float, int, int], ...]

    def at(self, share: float) -> tuple[float, int, int]:
        """Diameter in millimetres, broken wires in the worst lay, the most of them in one strand."""
        seen = [(wires, strand) for since, wires, strand in self.broken if since <= share]
        wires, strand = seen[-1] if seen else (0, 0)
        return self.first + (self.last - self.first) * share, wires, strand


WEARS = {
    # The rope that is about to fail.
    "R-W1-3": Wear(6.14, 5.86, ((0.45, 1, 1), (0.6, 2, 1), (0.74, 3, 1), (0.86, 4, 2), (0.955, 5, 2))),
    # The rope that did, and was replaced.
    "R-W2-1": Wear(6.02, 5.7, ((0.06, 2, 1), (0.16, 4, 2), (0.25, 5, 2))),
}  # fmt: skip

# From so many broken wires on the failing rope may run only until its successor is here.
RUNS_OUT = {"R-W1-3": (5, {"grade": "used_until_date", "cured_by": "+40"})}

# Photographs on the pages of equipment: tag and caption.
# What was hung anew: how many days ago, on which set, what it weighs and its heaviest single point.
NEW_HANGS = (
    (5, "S05", "310 kg", "46 kg"),
    (5, "S12", "185 kg", "22 kg"),
    (12, "S20", "428 kg", "58 kg"),
)

PICTURED = (
    ("W1", "Drum side, seen from the gridiron ladder"),
    ("L1", "North lift at stage level"),
    ("L2", "South lift, where the gap is measured"),
    ("FC", "Release handle at the prompt side"),
    ("S17", "Rope lock and hand line"),
    ("GR", "Loft wells from the upstage end"),
)

# The overdue one: nobody has done it, and why it was put off.
OVERDUE = ("L3", "thorough_twelve_months_lift")
PUT_OFF_BECAUSE = "The wagon stood under the set of the touring show when the examiner was here"
# What the insurer's engineer asked about the first of the cancelled checks, and what was answered.
ASKED = (
    80, "This monthly check was cancelled. How is it known that nobody went up there in those weeks?"
)  # fmt: skip
ANSWERED = (
    79, "The door to the catwalk was locked for the cable works and I held both keys; the key book at "
    "the stage door shows it. The next check of the catwalk was made before anybody else went up."
)  # fmt: skip
CANCELLED = (
    ("C3", "walkway_monthly", 150, "Closed off for the sound system's new cables; nobody went up there"),
    ("H5", "chain_hoist_frequent_monthly", 50, "Stored in the flight case over the dark fortnight"),
)  # fmt: skip
