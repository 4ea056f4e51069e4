"""What is posted for a batten, what was recorded as hung on it, and what its lines would carry. Pure.

Nothing is guessed: a figure that nobody posted or recorded stays not known, and what is worked out for
an evenly spread load says that nobody recorded how the load is spread.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from rigging.calculators import BadValue, Given, answer, load_calculators
from rigging.calculators.contract import Rounding
from rigging.calculators.drawing import Drawing
from rigging.calculators.showing import quantity_text
from rigging.engine.figures import shown
from venue.quantities import Quantity, exact_text
from venue.quantity_units import GRAVITY

CALCULATOR = "line-loads"
PLUMB = Fraction(90)
BELOW, AT, BEYOND, UNDECIDED = "below", "at", "beyond", "cannot be decided"
WIDTH, BAR = 360, 14  # of a bar in the drawing's own units


@dataclass(frozen=True)
class Hung:
    """A load as it was recorded, with the doubt of whatever it was weighed by."""

    load: Quantity
    doubt: Quantity | None = None

    @property
    def ends(self) -> tuple[Fraction, Fraction]:
        doubt = self.doubt.si if self.doubt else Fraction(0)
        return self.load.si - doubt, self.load.si + doubt


@dataclass(frozen=True)
class Posted:
    """One posted figure beside what was recorded against it."""

    label: str
    rated: Quantity | None
    source: str
    is_recorded_by_a_check: bool
    hung: Hung | None = None

    @property
    def state(self) -> str:
        if self.rated is None or self.hung is None:
            return UNDECIDED
        least, most = self.hung.ends
        if least > self.rated.si:
            return BEYOND
        if least == most == self.rated.si:
            return AT
        return BELOW if most <= self.rated.si else UNDECIDED

    @property
    def gap(self) -> str:
        """How far the load is from the posted figure, in its unit; rounded so that there is never
        more room than there is."""
        if self.rated is None or self.hung is None:
            return ""
        unit = self.rated.unit
        gap = abs(self.hung.load.si - self.rated.si)
        side = Rounding.UP if self.state == BEYOND else Rounding.DOWN
        return quantity_text(gap, unit, 4, side)

    @property
    def bar(self) -> tuple[float, float] | None:
        """How long the bar is and where the posted figure lies on it."""
        if self.rated is None or not self.rated.si:
            return None
        load = self.hung.load.si if self.hung else Fraction(0)
        scale = WIDTH / float(max(load, self.rated.si))
        return round(float(load) * scale, 1), round(float(self.rated.si) * scale, 1)


@dataclass(frozen=True)
class LineShare:
    number: int
    place: str
    carries: str  # rounded up
    newtons: Fraction


@dataclass(frozen=True)
class Spread:
    """The lines under a load that is spread evenly, the batten's own weight with it."""

    load: Quantity
    lines: tuple[LineShare, ...]
    diagram: Drawing | None
    over_one_line: tuple[int, ...]  # lines that carry more than is posted for any one
    typed: Mapping[str, str]


@dataclass(frozen=True)
class Batten:
    """What the register knows of it; each may be None."""

    length: Quantity | None
    own_weight: Quantity | None
    spacing: Quantity | None
    line_count: int | None

    @property
    def missing(self) -> tuple[str, ...]:
        asked = {"batten_length": self.length, "batten_weight": self.own_weight,
                 "line_spacing": self.spacing, "lift_line_count": self.line_count}  # fmt: skip
        return tuple(name for name, known in asked.items() if known is None)

    @property
    def laid_out(self) -> LaidOut | None:
        """None where the register does not know enough, or its lines do not fit on the batten. They
        are as far apart as it says, with both ends alike."""
        length, own, spacing = self.length, self.own_weight, self.spacing
        if length is None or own is None or spacing is None or not self.line_count:
            return None
        first = (length.si - spacing.si * (self.line_count - 1)) / 2
        places = tuple(first + spacing.si * number for number in range(self.line_count))
        return LaidOut(length.si, own.si, places) if first >= 0 else None


@dataclass(frozen=True)
class LaidOut:
    """A batten in metres and kilograms, with the places of its lines from one end."""

    length: Fraction
    own_weight: Fraction
    places: tuple[Fraction, ...]


def spread_evenly(batten: Batten, load: Quantity, one_line: Quantity | None) -> Spread | None:
    """By the calculator of line loads; None where that has not enough to go by."""
    laid = batten.laid_out
    if laid is None:
        return None
    given = Given(
        {
            "length": laid.length, "lines": laid.places, "own": laid.own_weight / laid.length,
            "spread": ((load.si * GRAVITY, Fraction(0), laid.length),),
            "loft_wrap": PLUMB, "head_wrap": PLUMB,
        }
    )  # fmt: skip
    try:
        found = answer(load_calculators()[CALCULATOR], given)
    except BadValue:
        return None
    lines = tuple(
        _share(number, place, Fraction(found.figure(f"line_{number}").value), load.unit)
        for number, place in enumerate(laid.places, 1)
    )
    over = [one for one in lines if one_line and one.newtons > one_line.si * GRAVITY]
    return Spread(
        load, lines, found.diagram, tuple(one.number for one in over),
        _typed(laid, load),
    )  # fmt: skip


def _share(number: int, place: Fraction, force: Fraction, unit: str) -> LineShare:
    place_unit = "ft" if unit == "lb" else "m"
    return LineShare(
        number, quantity_text(place, place_unit),
        quantity_text(force / GRAVITY, unit, 4, Rounding.UP), force,
    )  # fmt: skip


def _typed(laid: LaidOut, load: Quantity) -> dict[str, str]:
    """What opens the calculator with the same figures; the batten's own weight rounded up."""
    own = Fraction(-(-laid.own_weight * 1000 // laid.length), 1000)
    length = f"{shown(laid.length, None, 4)} m"
    return {
        "length": length, "lines": "; ".join(f"{shown(place, None, 4)} m" for place in laid.places),
        "own": f"{shown(own, None, 3)} kg/m",
        "spread": f"{exact_text(load.value)} {load.unit} from 0 m to {length}",
    }  # fmt: skip
