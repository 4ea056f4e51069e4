"""Minimum breaking force of a rope as a table prints it. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.calculators.contract import (
    ABOVE_ZERO,
    Answer,
    Calculator,
    Example,
    ExampleClass,
    Figure,
    Given,
    Input,
    Missing,
    Rounding,
    Table,
)
from rigging.calculators.rope.tables import RopeSize, ropes, slug_of, sources
from rigging.calculators.showing import both_habits

NAMES = {slug_of(name): name for name in ropes()}
NOMINAL = Fraction(
    1, 100_000
)  # m; a nominal size typed in the other unit may differ in the last digit


def printed_size(rope: str, diameter: Fraction) -> RopeSize | None:
    """The row of a table for a nominal diameter in m; None where the table has none: nothing
    between two rows is made up. Limits: the nominal size, not a measured one. Source: each row.

    >>> printed_size("7x19-zinc-coated-cable", Fraction(635, 100_000)).row["strength"]
    '7000 lbf'
    """
    sizes = ropes()[NAMES[rope]]
    return next((one for one in sizes if abs(one.diameter - diameter) <= NOMINAL), None)


def compute(given: Given) -> Answer:
    name = NAMES[given["rope"]]
    found = printed_size(given["rope"], given["diameter"])
    if found is None:
        datum = f"a row for {given.words('diameter')} in the table of {name}"
        return Answer(
            cannot=(Missing("The minimum breaking force", datum),), tables=(_sizes(name),)
        )
    strength = found.row["strength"]
    figures = [Figure("mbf", "Minimum breaking force", found.strength, "kN", Rounding.DOWN)]
    if found.mass is not None:
        figures.append(Figure("mass", "Mass of a length", found.mass, "kg/m", digits=3))
    return Answer(
        figures=tuple(figures),
        working=(f"{name}, {found.size}: {strength} as printed [{found.row.source}]",),
        assumptions=(
            "The rope is what its certificate says: construction, core and grade.",
            "The diameter is the nominal one of the certificate, not a measured one.",
        ),
        limits=(
            "A new rope, pulled straight, before its ends and bends take their share.",
            "The certificate of the rope itself comes first.",
        ),
        warnings=_warnings(found),
        tables=(_sizes(name),),
    )


def _warnings(found: RopeSize) -> tuple[str, ...]:
    backing = found.row.source.backing
    if backing in ("document", "two documents"):
        return ()
    return (
        f"Not verified: this row is backed by {_article(backing)} only. Ask for the certificate.",
    )


def _article(backing: str) -> str:
    return {"maker's manual": "a maker's manual", "second-hand": "a quotation"}.get(
        backing, backing
    )


def _sizes(name: str) -> Table:
    return Table(
        f"{name}: every size in the table",
        ("Size", "Minimum breaking force", "Source"),
        tuple(
            (one.size, both_habits(one.strength, "kN", 3, Rounding.DOWN), str(one.row.source))
            for one in ropes()[name]
        ),
    )


FAA, API = sources()["faa-7-3"], sources()["api-9a"]
CATALOGUE = sources()["catalogue-k"]


def _faa(rope: str, size: str, pounds: str) -> Example:
    typed = {"rope": slug_of(rope), "diameter": size}
    name = f"{rope} of {size}"
    return Example(name, typed, FAA, ExampleClass.PRINTED, {"mbf": f"{pounds} lbf"})


CALCULATOR = Calculator(
    slug="rope-strength",
    title="Breaking force from a table",
    family="Ropes",
    purpose="The minimum breaking force of a new rope as a table prints it, with its source.",
    inputs=(
        Input("rope", "Rope", "choice", choices=tuple(NAMES.items())),
        Input(
            "diameter", "Nominal diameter", "length", "1/4, 3/8 in, 6 mm", bounds=ABOVE_ZERO
        ),
    ),
    compute=compute,
    sources=tuple(
        dict.fromkeys(one.row.source for sizes in ropes().values() for one in sizes)
    ),
    examples=(
        _faa("7x19 zinc-coated cable", "1/8 in", "2000"),
        _faa("7x19 zinc-coated cable", "3/16 in", "4200"),
        _faa("7x19 zinc-coated cable", "1/4 in", "7000"),
        _faa("7x19 zinc-coated cable", "3/8 in", "14400"),
        _faa("7x19 stainless cable", "1/4 in", "6400"),
        _faa("7x7 zinc-coated cable", "1/16 in", "480"),
        Example(
            "6x7 fibre core of 12 mm", {"rope": "6x7-fibre-core-grade-1770", "diameter": "12 mm"},
            API, ExampleClass.PRINTED, {"mbf": "84.6 kN", "mass": "0.497 kg/m"},
        ),
        Example(
            "6x36 steel core of 16 mm",
            {"rope": "6x36-steel-core-grade-1960", "diameter": "16 mm"}, CATALOGUE,
            ExampleClass.PRINTED, {"mbf": "179 kN"},
        ),
        Example(
            "A size that the table has not",
            {"rope": "7x19-metric-grade-2070", "diameter": "3.5 mm"}, sources()["maker-7x19"],
            ExampleClass.OWN_OUTPUT, cannot=("",),
            note="The sheet prints 3.5 mm weaker than 3.2 mm: a misprint, so the row is left out.",
        ),
    ),
)  # fmt: skip
