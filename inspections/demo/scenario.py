"""Who the demo house has, and its places. All of it is invented."""

from __future__ import annotations

from dataclasses import dataclass

PASSWORD = "larkspur-by-the-harbour"

ODILE, TAM = "odile@larkspur.example", "tam@larkspur.example"
PRIYA, JONAS = "priya@larkspur.example", "jonas@larkspur.example"
MARISOL, INES = "marisol@examiner.example", "ines@insurer.example"
KIT = "studio@larkspur.example"

# Email, name, role at the Larkspur, level, certificate.
PEOPLE = (
    (ODILE, "Odile Varga", "manager", "competent_person", "House appointment 4"),
    (TAM, "Tam Achterberg", "competent", "qualified_person", "Rigging course 2023"),
    (PRIYA, "Priya Kestrel", "stagehand", "trained_user", "House induction"),
    (JONAS, "Jonas Quill", "competent", "competent_person", "House appointment 9"),
    (MARISOL, "Marisol Dunne", "examiner", "outside_examiner", "Examiner card 118"),
    (INES, "Ines Halloran", "auditor", "", ""),
)


@dataclass(frozen=True)
class Spot:
    """A place of the tree, with its height order, its hazards, the access state it needs and the side
    of the stage on which it lies."""

    path: str
    level: int
    hazards: tuple[str, ...] = ()
    access: tuple[str, ...] = ()
    side: str = ""


LARKSPUR_PLACES = (
    Spot("Stage house", 3),
    Spot(
        "Stage house / Machine pit", 0,
        ("Lift above: lock it off before you go in", "Oil on the floor after a service"),
        ("machine_locked",),
    ),
    Spot(
        "Stage house / Trap room", 0,
        ("Wagon lift overhead: it comes down without a sound",), ("machine_locked",),
    ),
    Spot(
        "Stage house / Stage and forestage", 1,
        ("Open pit edge when the lift is away",), ("stage_clear",),
    ),
    Spot("Stage house / Scene dock", 1, ("Arbors of sets 29 to 40 overhead",), side="stage left"),
    Spot("Stage house / Fly gallery", 3, ("Moving arbors at the wall",), side="stage left"),
    Spot(
        "Stage house / Loading gallery", 4, ("Weights over the rail",), ("nobody_below",),
        side="stage left",
    ),
    Spot(
        "Stage house / Gridiron", 5,
        ("Openings between the channels", "Head block steel at knee height"),
        ("grid_empty", "nobody_below"),
    ),
    Spot("Auditorium", 3),
    Spot(
        "Auditorium / Catwalks", 3, ("Seats below: tether every tool",),
        ("house_empty", "nobody_below"),
    ),
    Spot(
        "Auditorium / Upper void", 4, ("Low beams, no daylight", "Step on the boards only"),
        ("detector_isolated", "house_empty"),
    ),
    Spot("Roof", 6, ("Edge without a rail on the harbour side", "Not in wind or frost")),
)  # fmt: skip

STUDIO_PLACES = (
    Spot("Studio", 1),
    Spot("Studio / Floor", 1, ("Seating wagons roll",), ("stage_clear",)),
    Spot("Studio / Grid", 3, ("Ladder access only",), ("grid_empty", "nobody_below")),
)
