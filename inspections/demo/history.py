"""Records of the last months, written through the same actions as any check."""

from __future__ import annotations

from datetime import datetime, timedelta

from inspections.actions.fill_check import keep_answer, start_use_check
from inspections.actions.open_finding import take_out_of_service
from inspections.actions.submit_check import submit_check
from inspections.queries.questions import questions_for
from inspections.regime_files import regimes
from venue.models import Equipment, Person, Venue

# Days ago, measured diameter of line 3, broken wires in its worst lay: one rope is about to fail.
WEARING = ((700, "6.18", 0), (540, "6.10", 0), (380, "6.02", 1), (220, "5.94", 2), (60, "5.80", 4))


def write_history(venue: Venue, people: dict[str, Person], now: datetime) -> None:
    tam, jonas = people["tam@larkspur.example"], people["jonas@larkspur.example"]
    canopy = venue.equipment.get(tag="W1")
    for days, diameter, broken in WEARING:
        _ropes_checked(canopy, diameter, broken, tam, now - timedelta(days=days))
    for tag in ("W2", "W3", "W4"):
        _ropes_checked(venue.equipment.get(tag=tag), "6.12", 0, jonas, now - timedelta(days=35))
    take_out_of_service(
        equipment=venue.equipment.get(tag="S17"), why="Hand line glazed where it passes the lock",
        by=people["priya@larkspur.example"], at=now - timedelta(days=2),
    )  # fmt: skip


def _ropes_checked(piece: Equipment, diameter: str, broken: int, by: Person, at: datetime) -> None:
    regime = regimes()["winch_ropes_monthly"]
    draft = start_use_check(equipment=piece, regime=regime, by=by, at=at - timedelta(minutes=25))
    for place, question in enumerate(questions_for(piece, regime), 1):
        worn = question.part_label.startswith("line 3")
        typed = {"given": "yes"}
        if question.check.answer == "rope":
            typed = _rope(diameter if worn else "6.14", broken if worn else 0)
        keep_answer(
            draft=draft, key=question.key, typed=typed, at=at - timedelta(minutes=25 - place)
        )
    submit_check(draft=draft, by=by, at=at)


def _rope(diameter: str, broken: int) -> dict[str, str]:
    return {
        "dia_1_a": f"{diameter} mm", "dia_1_b": f"{diameter} mm", "instrument": "Caliper 2",
        "uncertainty": "0.02 mm", "broken_lay": str(broken), "broken_strand_count": str(min(broken, 1)),
        "broken_valley": "0", "broken_end": "0", "looked": "yes",
    }  # fmt: skip
