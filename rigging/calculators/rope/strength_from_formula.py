"""Minimum breaking force of a rope by K·d²·R. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.calculators.contract import (
    ABOVE_ZERO,
    Answer,
    Bounds,
    Calculator,
    Example,
    ExampleClass,
    Figure,
    Given,
    Input,
    Rounding,
)
from rigging.calculators.rope.tables import rows, slug_of, sources
from rigging.calculators.showing import quantity_text

ROPES = tuple((slug_of(f"{row['class']} {row['core']}"), row) for row in rows("k_factors"))
MEGAPASCAL = 1_000_000


def breaking_force(k: Fraction, diameter: Fraction, grade: Fraction) -> Fraction:
    """Minimum breaking force in N: `F = K × d² × R`.

    `k`: factor of the class and core; `diameter`: nominal, in m; `grade`: of the rope, in Pa.
    Valid for new ropes of the class that the factor is for. Source: EN 12385-4.

    >>> round(float(breaking_force(Fraction("0.356"), Fraction(16, 1000), Fraction(1960 * 10**6))))
    178627
    """
    return k * diameter**2 * grade


def compute(given: Given) -> Answer:
    row = dict(ROPES)[given["rope"]]
    k, w = row.number("k"), row.number("w")
    d_mm, grade = given["diameter"] * 1000, given["grade"] / MEGAPASCAL
    force = breaking_force(k, given["diameter"], given["grade"])
    d, r = f"{float(d_mm):g} mm", f"{float(grade):g} N/mm²"
    unverified = row.source.backing == "second-hand"
    return Answer(
        figures=(
            Figure("mbf", "Minimum breaking force", force, "kN", Rounding.DOWN),
            Figure("mass", "Mass of a length, about", w * d_mm**2 / 100, "kg/m", digits=3),
        ),
        working=(
            f"F = K × d² × R = {row['k']} × ({d})² × {r} = {quantity_text(force, 'N', 6)}",
            f"mass of 100 m = W × d² = {row['w']} × ({d})²",
        ),
        assumptions=("The rope is made to the standard that the factor is from.",),
        limits=(
            "A new rope, pulled straight, before its ends and bends take their share.",
            "The nominal diameter, not a measured one. The rope's certificate comes first.",
        ),
        warnings=("Not verified: this factor is backed by a quotation only.",) * unverified,
    )


AGREED, API, CATALOGUE = (sources()[code] for code in ("en-12385-agreed", "api-9a", "catalogue-k"))


def _printed(rope: str, size: str, grade: str, kilonewtons: str) -> Example:
    return Example(
        f"{rope} of {size}, grade {grade}",
        {"rope": slug_of(rope), "diameter": size, "grade": f"{grade} N/mm2"},
        API if grade == "1770" else CATALOGUE, ExampleClass.PRINTED,
        {"mbf": f"{kilonewtons} kN"}, within=Fraction(3, 1000),
        note="Printed values are rounded one by one: 0.3 % is allowed.",
    )  # fmt: skip


CALCULATOR = Calculator(
    slug="rope-strength-formula",
    title="Breaking force by K·d²·R",
    family="Ropes",
    purpose="The minimum breaking force of a new rope from its class, diameter and grade.",
    inputs=(
        Input(
            "rope", "Class and core", "choice",
            choices=tuple((slug, f"{row['class']}, {row['core']}") for slug, row in ROPES),
        ),
        Input("diameter", "Nominal diameter", "length", "8 mm, 3/8", bounds=ABOVE_ZERO),
        Input(
            "grade", "Rope grade", "pressure", "1770 N/mm2, 1960 MPa", bare="MPa",
            bounds=Bounds(
                "Type the grade of the rope in N/mm2: between 1000 and 2500.",
                least=1000 * MEGAPASCAL, most=2500 * MEGAPASCAL,
            ),
        ),
    ),
    compute=compute,
    sources=(AGREED, sources()["en-12385-quoted"]),
    examples=(
        *(
            _printed("6x36 steel core", f"{d} mm", "1960", force)
            for d, force in (("8", "44.7"), ("10", "69.8"), ("16", "179.0"), ("20", "279.0"),
                             ("22", "338.0"))
        ),
        *(
            _printed("6x7 fibre core", f"{d} mm", "1770", force)
            for d, force in (("6", "21.2"), ("8", "37.6"), ("10", "58.8"), ("12", "84.6"),
                             ("16", "150"), ("20", "235"))
        ),
    ),
)  # fmt: skip
