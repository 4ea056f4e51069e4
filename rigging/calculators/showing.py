"""An answer for the eye and for a file: both unit habits, rounded to the safe side. Pure."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from fractions import Fraction
from typing import Any

from rigging.calculators.contract import Answer, Calculator, Figure, Rounding, Source
from venue.quantities import UNITS, rounded_text

# The unit of the other habit, printed beside. Both ways.
PAIRS = (
    ("mm", "in"), ("m", "ft"), ("kg", "lb"), ("kN", "lbf"), ("m/s", "ft/s"), ("N m", "lbf ft"),
    ("kN/m2", "lbf/ft2"), ("kg/m", "lb/ft"), ("kN/m", "lbf/ft"), ("MPa", "lbf/in2"),
    ("m2", "ft2"),
)  # fmt: skip
OTHER_UNIT = dict(PAIRS) | {other: one for one, other in PAIRS}
OTHER_UNIT |= {"N": "lbf", "kgf": "kN", "kip": "kN", "t": "lb", "cm": "in", "m/min": "ft/min"}
OTHER_UNIT |= {"ft/min": "m/s", "kN m": "lbf ft", "lbf in": "N m", "N/m": "lbf/ft", "cm2": "in2"}


def in_unit(value: Fraction | int | float, unit: str) -> Fraction:
    """A value in a unit, exactly; of a float, the twelve digits that can be trusted."""
    exact = Fraction(f"{value:.12g}") if isinstance(value, float) else Fraction(value)
    return exact / UNITS[unit].factor


def rounded(value: Fraction, digits: int, rounding: Rounding) -> str:
    """A value with so many significant digits, away from zero (up), towards it (down) or to the
    nearest; whole digits are never dropped.

    >>> rounded(Fraction(31137, 1000), 3, Rounding.DOWN), rounded(Fraction(12345), 2, Rounding.UP)
    ('31.1', '12345')
    """
    if not value:
        return "0"
    places = max(0, digits - 1 - math.floor(math.log10(abs(value))))
    size = abs(value) * 10**places
    # A float that is a whole number but for its last trusted digits is that number.
    if size.denominator > 10**6 and abs(size - round(size)) < Fraction(1, 10**6):
        size = Fraction(round(size))
    steps = {
        Rounding.UP: math.ceil(size), Rounding.DOWN: math.floor(size),
        Rounding.NEAREST: round(size),
    }[rounding]  # fmt: skip
    text = rounded_text(Fraction(steps if value > 0 else -steps, 10**places), places)
    return text.rstrip("0").rstrip(".") if "." in text else text


def figure_text(figure: Figure, unit: str = "") -> str:
    """A figure in its own unit, or in another."""
    if isinstance(figure.value, str):
        return figure.value
    unit = unit or figure.unit
    number = rounded(in_unit(figure.value, unit), figure.digits, figure.rounding)
    label = UNITS[unit].label
    return f"{number}{'' if label in ('', '°') else ' '}{label}"


def other_habit(figure: Figure) -> str:
    """The same figure in the other unit habit; empty where there is none."""
    unit = OTHER_UNIT.get(figure.unit)
    return figure_text(figure, unit) if unit and not isinstance(figure.value, str) else ""


def quantity_text(
    value: Fraction | float, unit: str, digits: int = 4, rounding: Rounding = Rounding.NEAREST
) -> str:
    """An SI value in a unit, for a line of the working.

    >>> quantity_text(Fraction(3, 1000), "mm")
    '3 mm'
    """
    return figure_text(Figure("", "", value, unit, rounding, digits))


def both_habits(
    value: Fraction | float, unit: str, digits: int = 4, rounding: Rounding = Rounding.NEAREST
) -> str:
    """An SI value in a unit with the other habit's beside it.

    >>> both_habits(Fraction(254, 10000), "in")
    '1 in (25.4 mm)'
    """
    figure = Figure("", "", value, unit, rounding, digits)
    other = other_habit(figure)
    return f"{figure_text(figure)} ({other})" if other else figure_text(figure)


def source_data(source: Source) -> dict[str, str]:
    return {
        "document": source.document, "edition": source.edition, "clause": source.clause,
        "backing": source.backing,
    }  # fmt: skip


def _figure_data(figure: Figure) -> dict[str, str]:
    told = {"slug": figure.slug, "label": figure.label, "shown": figure_text(figure)}
    if isinstance(figure.value, str):
        return told
    exact = figure.value if isinstance(figure.value, float) else Fraction(figure.value)
    return told | {
        "other": other_habit(figure), "unit": figure.unit, "ucum": UNITS[figure.unit].ucum,
        "si": str(exact), "rounded": figure.rounding.value,
    }  # fmt: skip


def answer_data(calculator: Calculator, answer: Answer, typed: dict[str, str]) -> dict[str, Any]:
    """An answer as plain texts and lists, for JSON. `si` is exact, or a float's own digits."""
    return {
        "calculator": calculator.slug,
        "title": calculator.title,
        "typed": typed,
        "figures": [_figure_data(figure) for figure in answer.figures],
        "checks": [
            {
                "slug": one.slug, "label": one.label, "state": one.state, "words": one.words,
                "source": source_data(one.source),
            }
            for one in answer.checks
        ],
        "tables": [
            {"title": one.title, "headings": list(one.headings), "rows": [list(r) for r in one.rows]}
            for one in answer.tables
        ],
        "cannot": [
            {"what": one.what, "datum": one.datum, "slug": one.slug, "sentence": one.sentence}
            for one in answer.cannot
        ],
        "working": list(answer.working),
        "assumptions": list(answer.assumptions),
        "limits": list(answer.limits),
        "warnings": list(answer.warnings),
        "sources": [source_data(source) for source in calculator.sources],
        "caution": answer.caution,
    }  # fmt: skip


Say = Callable[[str], str]


def answer_pieces(said: dict[str, Any]) -> tuple[tuple[str, ...], ...]:
    """Answer data as pieces of a line, what is beyond or undecided first: a limit as its label, state
    and words, what cannot be decided as its sentence, a figure as its label and what is shown."""
    checks = sorted(said["checks"], key=lambda check: check["state"] == "within")
    return (
        *((check["label"], check["state"], check["words"]) for check in checks),
        *((missing["sentence"],) for missing in said["cannot"]),
        *((figure["label"], _shown(figure)) for figure in said["figures"]),
    )


def _shown(figure: dict[str, Any]) -> str:
    return f"{figure['shown']} ({figure['other']})" if figure.get("other") else figure["shown"]


def line_of_pieces(title: str, pieces: Iterable[tuple[str, ...]], say: Say = str) -> str:
    """One line of a list or a report. `say`: each text in the language of whoever reads it.

    >>> line_of_pieces("Fleet angle", [("Drum", "beyond", "2° against 1.5°."), ("Angle", "2°")])
    'Fleet angle. Drum: beyond, 2° against 1.5°; Angle 2°.'
    """
    told = ([say(text).rstrip(".") for text in piece] for piece in pieces)
    joined = (
        f"{piece[0]}: {piece[1]}, {piece[2]}" if len(piece) == 3 else " ".join(piece)
        for piece in told
    )
    return f"{say(title)}. {'; '.join(joined)}."


def answer_line(said: dict[str, Any], say: Say = str) -> str:
    return line_of_pieces(said["title"], answer_pieces(said), say)
