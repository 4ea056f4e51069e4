"""Which regimes run on which equipment, since when, and when each was last done on paper."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from inspections.actions.plans import apply_regime
from inspections.regime_files import regimes
from venue.models import Equipment, Person, Venue

FROM_THE_START = 10_000  # more days ago than the history has
SETS = ("counterweight_set_single", "counterweight_set_double")
LIFT = ("pit_lift_screw",)
WINCHES = ("multi_line_winch", "drum_winch")
WALKWAYS = ("gridiron", "loading_gallery", "catwalk")
LOGGED = ("D01", "D03", "D09")  # those with nuisance alarms
OTHER_DETECTORS = tuple(f"D{number:02}" for number in range(1, 15) if number != 9)
INTERVAL_DAYS = {
    "P1M": 30,
    "P3M": 91,
    "P6M": 182,
    "P1Y": 365,
    "P2Y": 730,
    "P5Y": 900,
}  # none of the last falls in the history


@dataclass(frozen=True)
class Applied:
    """A regime put on the equipment of some kinds; `since` is days ago."""

    regime: str
    kinds: tuple[str, ...]
    since: int = FROM_THE_START
    tags: tuple[str, ...] = ()  # only these pieces; none named means every one
    done_before: int | None = None  # days before that it was last done; none named: spread out


APPLIED = (
    Applied("pit_lift_monthly", LIFT, tags=("L2",)),
    Applied("pit_lift_monthly", LIFT, since=250, tags=("L1", "L3")),
    Applied("pit_lift_quarterly", LIFT, since=540),
    Applied("pit_lift_yearly", LIFT),
    Applied("pit_lift_yearly_measured", LIFT),
    Applied("pit_lift_screw_yearly", LIFT),
    Applied("pit_lift_net_six_monthly", LIFT, since=420),
    Applied("pit_lift_load_test_five_yearly", LIFT),
    Applied("thorough_six_months_people", LIFT, tags=("L1", "L2")),
    # Due three weeks ago; the story of the overdue one sees to it that nobody did it.
    Applied("thorough_twelve_months_lift", LIFT, since=330, tags=("L3",), done_before=57),
    Applied("lock_out_yearly", (*LIFT, *WINCHES)),
    Applied("winch_ropes_monthly", WINCHES, since=580, tags=("W1", "W2")),
    Applied("winch_ropes_monthly", WINCHES, since=250, tags=("W3", "W4")),
    Applied("winch_quarterly", WINCHES, since=540),
    Applied("winch_yearly", WINCHES),
    Applied("multi_line_quarterly", ("multi_line_winch",), since=330),
    Applied("multi_line_yearly", ("multi_line_winch",), since=300),
    Applied("thorough_twelve_months", (*WINCHES, "chain_hoist")),
    Applied("thorough_twelve_months", SETS, since=150),
    Applied("blocks_yearly", WINCHES, since=330),
    Applied("counterweight_level_1_yearly", SETS, since=400),
    Applied("counterweight_lift_lines_yearly", SETS, since=170),
    Applied("counterweight_quarterly", SETS, since=40),
    Applied("blocks_yearly", SETS, since=25),
    Applied("chain_hoist_frequent_monthly", ("chain_hoist",), since=75),
    Applied("chain_hoist_periodic_yearly", ("chain_hoist",)),
    Applied("beam_detector_monthly_log", ("beam_smoke_detector",), since=100, tags=LOGGED),
    Applied("beam_detector_six_monthly", ("beam_smoke_detector",), tags=("D09",)),
    Applied("beam_detector_six_monthly", ("beam_smoke_detector",), since=200, tags=OTHER_DETECTORS),
    Applied("beam_detector_yearly", ("beam_smoke_detector",), since=500),
    Applied("beam_detector_sensitivity_two_yearly", ("beam_smoke_detector",), since=150),
    Applied("anchor_yearly", ("fall_arrest_anchor",), since=420),
    Applied("anchor_bolted_yearly", ("fall_arrest_anchor",), since=100),
    Applied("walkway_monthly", WALKWAYS, since=200),
    Applied("walkway_quarterly", WALKWAYS, since=330),
    Applied("walkway_yearly", ("catwalk",)),
    Applied("walkway_structure_yearly", WALKWAYS),
    Applied("gridiron_quarterly", ("gridiron",)),
    Applied("gridiron_yearly", ("gridiron",)),
    Applied("loading_gallery_quarterly", ("loading_gallery",)),
    Applied("loading_gallery_six_monthly", ("loading_gallery",)),
    Applied("loading_gallery_yearly", ("loading_gallery",)),
    Applied("fire_curtain_monthly", ("fire_safety_curtain",), since=420),
    Applied("fire_curtain_quarterly", ("fire_safety_curtain",)),
    Applied("fire_curtain_yearly", ("fire_safety_curtain",)),
    Applied("fire_curtain_training_yearly", ("fire_safety_curtain",)),
)


def starts(longest: int) -> set[int]:
    """On how many days ago plans begin, in a history of so many days."""
    return {min(each.since, longest) for each in APPLIED}


def apply_plans(*, venue: Venue, begun: int, longest: int, by: Person, at: datetime) -> None:
    """Put on the equipment what begins that many days ago."""
    pieces = list(venue.equipment.all())
    for each in APPLIED:
        if min(each.since, longest) != begun:
            continue
        regime = regimes()[each.regime]
        for order, piece in enumerate(_served(each, pieces)):
            age = each.done_before or _paper_age(regime.interval, order)
            last = (at - timedelta(days=age)).date()
            apply_regime(
                equipment=piece, regime=regime, anchor=last, last_done_on=last, by=by, at=at
            )


def _served(each: Applied, pieces: list[Equipment]) -> Iterator[Equipment]:
    for piece in pieces:
        if piece.kind in each.kinds and (not each.tags or piece.tag in each.tags):
            yield piece


def _paper_age(interval: str, order: int) -> int:
    """How many days before that it was last done, so that not everything falls on one day."""
    length = INTERVAL_DAYS[interval]
    return (order * 37 + 11) % (length - 10)
