"""Room that an arrested fall needs, with the place it is counted from. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.calculators.contract import (
    BEYOND,
    NOT_BELOW_ZERO,
    UNDECIDED,
    WITHIN,
    Answer,
    Calculator,
    Check,
    Example,
    ExampleClass,
    Figure,
    Given,
    Input,
    Missing,
    Rounding,
    Source,
)
from rigging.calculators.drawing import Box, Disc, Drawing, Mark, Stroke, Words
from rigging.calculators.house.fall_room import room_below_anchor, room_below_surface
from rigging.calculators.showing import both_habits, quantity_text

MANUAL = Source("OSHA Technical Manual", "as quoted", "section V, chapter 4: list of parts")
TWO_PAGES = Source("Two public guides on fall clearance", "as stored", "6 + 3.5 + 6 + 3 ft",
                   "two documents")  # fmt: skip
LANYARD = Source("A maker's lanyard manual", "as stored", "page 6: 6 + 4 + 6 + 2 ft")
RETRACTING = Source("A maker's manual, retracting device", "as stored", "page 18")
RECOMMENDED = Source("A maker's catalogue", "as stored", "page 18: 6 + 3.5 + 5 + 2 ft")
OWN = Source("Own arithmetic on the two datums", "", "", "own arithmetic")
PARTS = (
    ("connector", "Connector, or free fall", "6 ft, 1.8 m; 0 for an overhead retracting device"),
    ("deceleration", "Deceleration", "3.5 ft, 1.1 m: its maker's figure"),
    ("stretch", "Harness stretch and shift of the ring", "1 ft; 0 where the next counts it"),
    ("ring", "From the back ring down to the feet", "5 ft, 1.5 m"),
    ("margin", "Safety margin", "2 ft, 3 ft"),
)
# Beside the drawing there is room for few words.
DRAWN = {
    "connector": "free fall", "deceleration": "deceleration", "stretch": "stretch",
    "ring": "ring to feet", "margin": "margin",
}  # fmt: skip
ANCHOR, SURFACE = "anchor", "surface"
ASSUMPTIONS = (
    "The figure is counted from the anchor down to the next lower level. Two figures from "
    "two datums must never be compared.",
)
LIMITS = (
    "The anchor is overhead, there is no swing and no other slack.",
    "The maker's figure for the device rules where it is greater.",
    "Clear of what is below, too: set pieces, rails, people.",
)


def compute(given: Given) -> Answer:
    parts = [given[slug] for slug, _, _ in PARTS]
    needed = room_below_anchor(parts)
    figures = [Figure("below_anchor", "Needed below the anchor", needed, "m", Rounding.UP)]
    height = given.get("height")
    if height is not None:
        below = room_below_surface(needed, height)
        label = "Needed below the surface one stands on"
        figures.append(Figure("below_surface", label, below, "m", Rounding.UP))
    check, missing = _check(given, needed)
    sums = " + ".join(given.words(slug) for slug, _, _ in PARTS)
    working = [f"needed below the anchor = {sums} = {both_habits(needed, 'm', 4, Rounding.UP)}"]
    if height is not None:
        working.append(f"below the surface: minus the anchor's height, {given.words('height')}")
    return Answer(
        figures=tuple(figures), checks=(check,), working=tuple(working),
        assumptions=ASSUMPTIONS,
        limits=LIMITS,
        warnings=("A plan to rescue a person who hangs is part of this.",),
        cannot=missing,
        diagram=_drawing(parts, needed),
    )  # fmt: skip


def _check(given: Given, needed: Fraction) -> tuple[Check, tuple[Missing, ...]]:
    label, what = "Room there is", "Whether there is room"
    if "available" not in given:
        check = Check("room", label, UNDECIDED, "The room there is was not given.", MANUAL)
        return check, (Missing(what, "the clear room below", "available"),)
    wanted, datum = needed, "the anchor"
    if given["datum"] == SURFACE:
        if "height" not in given:
            check = Check("room", label, UNDECIDED, "The anchor's height is not given.", MANUAL)
            return check, (Missing(what, "the anchor's height above the surface", "height"),)
        wanted, datum = room_below_surface(needed, given["height"]), "the surface"
    short = wanted - given["available"]
    words = f"{given.words('available')} against {both_habits(wanted, 'm')}, both below {datum}"
    words += f": short by {both_habits(short, 'm', 4, Rounding.UP)}." if short > 0 else "."
    return Check("room", label, BEYOND if short > 0 else WITHIN, words, MANUAL), ()


def _drawing(parts: list[Fraction], needed: Fraction) -> Drawing:
    """The parts under the anchor, one below the other."""
    marks: list[Mark] = [
        Stroke(((40, 24), (200, 24)), "steel"), Disc(120, 24, 6), Words(215, 29, "anchor", "start"),
    ]  # fmt: skip
    y, scale = 24.0, 210 / float(needed) if needed else 0
    for (slug, _, _), part in zip(PARTS, parts, strict=True):
        if not part:
            continue
        step = round(float(part) * scale, 1)
        look = "ghost" if slug == "margin" else "load"
        marks.append(Box(110, round(y, 1), 20, step, look))
        words = DRAWN[slug]
        marks.append(Words(145, round(y + step / 2 + 4, 1), f"{words}: {quantity_text(part, 'm', 3)}",
                           "start"))  # fmt: skip
        y += step
    marks.append(Stroke(((40, round(y, 1)), (200, round(y, 1))), "steel"))
    marks.append(Words(40, round(y + 18, 1), "next lower level", "start"))
    told = f"Below the anchor {both_habits(needed, 'm', 4, Rounding.UP)} must be clear."
    return Drawing("Room for a fall", told, tuple(marks), 400, 270)


def _typed(*parts: str, **more: str) -> dict[str, str]:
    return {slug: text for (slug, _, _), text in zip(PARTS, parts, strict=True)} | more


CALCULATOR = Calculator(
    slug="fall-clearance",
    title="Room for an arrested fall",
    family="Access",
    purpose="How much clear room an arrested fall needs, and from where it is counted.",
    inputs=(
        *(Input(slug, words, "length", hint, bounds=NOT_BELOW_ZERO) for slug, words, hint in PARTS),
        Input(
            "height", "Anchor above the surface one stands on", "length", "5 ft, 1.5 m",
            optional=True, bounds=NOT_BELOW_ZERO,
        ),
        Input(
            "available", "Clear room there is", "length", "16 ft, 5 m", optional=True,
            bounds=NOT_BELOW_ZERO,
        ),
        Input(
            "datum", "Counted from", "choice", default=ANCHOR,
            choices=((ANCHOR, "The anchor"), (SURFACE, "The surface one stands on")),
        ),
    ),
    compute=compute,
    sources=(MANUAL, TWO_PAGES),
    examples=(
        Example("Lanyard of 6 ft", _typed("6 ft", "4 ft", "0 ft", "6 ft", "2 ft"), LANYARD,
                ExampleClass.WORKED_EXAMPLE, {"below_anchor": "18 ft"}, {"room": UNDECIDED}),
        Example("Two guides agree", _typed("6 ft", "3.5 ft", "0 ft", "6 ft", "3 ft"), TWO_PAGES,
                ExampleClass.WORKED_EXAMPLE, {"below_anchor": "18.5 ft"}),
        Example("Overhead retracting device", _typed("0 ft", "4.5 ft", "1.5 ft", "5 ft", "1.5 ft"),
                RETRACTING, ExampleClass.WORKED_EXAMPLE, {"below_anchor": "12.5 ft"}),
        Example("The same in metres", _typed("0 m", "1.4 m", "0.5 m", "1.5 m", "0.5 m"),
                RETRACTING, ExampleClass.WORKED_EXAMPLE, {"below_anchor": "3.9 m"}),
        Example("Back ring at 5 ft", _typed("6 ft", "3.5 ft", "0 ft", "5 ft", "2 ft"), RECOMMENDED,
                ExampleClass.WORKED_EXAMPLE, {"below_anchor": "16.5 ft"}),
        Example("Over a stage, 16 ft clear",
                _typed("6 ft", "3.5 ft", "0 ft", "6 ft", "3 ft", available="16 ft"), OWN,
                ExampleClass.OWN_OUTPUT, {"below_anchor": "18.5 ft"}, {"room": BEYOND}),
        Example("One device, two datums",
                _typed("6 ft", "3.5 ft", "1 ft", "5 ft", "2 ft", height="5 ft", available="13 ft",
                       datum=SURFACE),
                OWN, ExampleClass.OWN_OUTPUT,
                {"below_anchor": "17.5 ft", "below_surface": "12.5 ft"}, {"room": WITHIN}),
    ),
)  # fmt: skip
