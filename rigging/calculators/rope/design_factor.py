"""Design factor of a rope with what its ends and bends take, against a rule. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from rigging.calculators.contract import (
    ABOVE_ZERO,
    BEYOND,
    UNDECIDED,
    WITHIN,
    Answer,
    Bounds,
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
from rigging.calculators.rope.sheave_ratio import sheave_ratio, strength_left
from rigging.calculators.rope.tables import choices_of, row_of, sources
from rigging.calculators.showing import rounded

OWN = "own"
OWN_SOURCE = Source("The factor typed by the person who asks", "", "", "common practice")
TERMINATIONS = (*choices_of("terminations"), (OWN, "Another: type its strength left"))
BENDS = (
    ("straight", "No: straight from end to end"),
    ("bent", "Yes: over a sheave, drum or pin"),
)


def design_factor(
    strength: Fraction, load: Fraction, left: Fraction, dynamic: Fraction
) -> Fraction:
    """`F × share left ÷ (load × dynamic factor)`; forces in one unit, the rest plain numbers.

    Valid for one rope under its greatest load. Definition: breaking force over load.

    >>> design_factor(Fraction(7000), Fraction(500), Fraction(1), Fraction(1))
    Fraction(14, 1)
    """
    return strength * left / (load * dynamic)


@dataclass(frozen=True)
class Share:
    """What a termination or a bend leaves: None where it cannot be decided."""

    left: Fraction | None
    words: str
    missing: tuple[Missing, ...] = ()


def compute(given: Given) -> Answer:
    end, bend = _end(given), _bend(given)
    cannot = (*end.missing, *bend.missing)
    load, dynamic, strength = given["load"], given["dynamic"], given["strength"]
    gross = design_factor(strength, load, Fraction(1), dynamic)
    wanted, words, source = _wanted(given)
    figures = [Figure("gross", "Breaking force over load, ends and bends left out", gross, "1",
                      Rounding.DOWN)]  # fmt: skip
    factor: Fraction | None = None
    if end.left is not None and bend.left is not None:
        left = end.left * bend.left
        factor = design_factor(strength, load, left, dynamic)
        figures.append(Figure("factor", "Design factor", factor, "1", Rounding.DOWN))
        if wanted is not None:
            most = strength * left / (wanted * dynamic)
            figures.append(Figure("most", "Greatest load for that rule", most, "kN", Rounding.DOWN))
    if wanted is None:
        cannot += (Missing("The check", "the factor that is wanted", "wanted"),)
    return Answer(
        figures=tuple(figures),
        checks=(_check(factor, gross, wanted, words, source), *_end_checks(given, end)),
        working=_working(given, end, bend, gross, factor),
        assumptions=(
            "The load is the greatest on this one rope, not a share of a total.",
            "What the end leaves and what the bend leaves are multiplied: they lie in different "
            "places of the rope, so this is on the safe side.",
        ),
        limits=(
            "A rope in good order. Wear, broken wires, corrosion and shock are not in the factor.",
            "Which rule applies, a competent person and the local code decide.",
        ),
        warnings=_warnings(source),
        cannot=cannot,
    )


def _end(given: Given) -> Share:
    kind = given["termination"]
    if kind != OWN:
        row = row_of("terminations", kind)
        return Share(
            row.quantity("strength left", "ratio"), f"{row['words']}: {row['strength left']}"
        )
    if "end_left" in given:
        return Share(given["end_left"], f"the end leaves {given.words('end_left')}")
    missing = Missing("The design factor", "the strength left at the end", "end_left")
    return Share(None, "", (missing,))


def _bend(given: Given) -> Share:
    if given["bend"] == "straight":
        return Share(Fraction(1), "no bend: 100 %")
    asked = (("tread", "the tread diameter of the sheave"), ("diameter", "the rope's diameter"))
    missing = tuple(
        Missing("The design factor", datum, slug) for slug, datum in asked if slug not in given
    )
    if missing:
        return Share(None, "", missing)
    ratio = sheave_ratio(given["tread"], given["diameter"])
    left = strength_left(ratio)
    if left is None:
        return Share(None, "", (Missing("The design factor", "a table for a D/d below 1"),))
    return Share(left, f"bend at D/d {rounded(ratio, 4, Rounding.DOWN)}: {float(left * 100):g} %")


def _wanted(given: Given) -> tuple[Fraction | None, str, Source]:
    if given["rule"] == OWN:
        return given.get("wanted"), "The factor typed", OWN_SOURCE
    row = row_of("design_factors", given["rule"])
    return row.number("factor"), row["words"], row.source


def _check(
    factor: Fraction | None, gross: Fraction, wanted: Fraction | None, words: str, source: Source
) -> Check:
    if wanted is None:
        return Check("rule", words, UNDECIDED, "No factor is given to hold it to.", source)
    # What the ends and bends take can only lower the factor: too low already is beyond the rule.
    if factor is None and gross >= wanted:
        return Check(
            "rule", words, UNDECIDED, "What the end and the bend leave is not known.", source
        )
    value = gross if factor is None else factor
    shown = f"{rounded(value, 4, Rounding.DOWN)} against {float(wanted):g} at least."
    return Check("rule", words, WITHIN if value >= wanted else BEYOND, shown, source)


def _end_checks(given: Given, end: Share) -> tuple[Check, ...]:
    """What the rule says of the ends, beside the factor."""
    if given["rule"] == OWN:
        return ()
    row, checks = row_of("design_factors", given["rule"]), []
    if row["clips"] == "no" and given["termination"] == "clips":
        words = "Wire rope clips are not allowed on load-carrying ends under this rule."
        checks.append(Check("clips", "Kind of end", BEYOND, words, row.source))
    if row["least end"] and end.left is not None:
        state = WITHIN if end.left >= row.quantity("least end", "ratio") else BEYOND
        words = f"The end leaves {float(end.left * 100):g} % against {row['least end']} at least."
        checks.append(Check("least_end", "Strength left at the end", state, words, row.source))
    return tuple(checks)


def _working(
    given: Given, end: Share, bend: Share, gross: Fraction, factor: Fraction | None
) -> tuple[str, ...]:
    load = f"({given.words('load')} × {given.words('dynamic')})"
    lines = [
        f"breaking force ÷ (load × dynamic factor) = {given.words('strength')} ÷ {load} = "
        f"{rounded(gross, 4, Rounding.DOWN)}",
        *(share.words for share in (end, bend) if share.words),
    ]
    if factor is not None and end.left is not None and bend.left is not None:
        lines.append(
            f"design factor = {given.words('strength')} × {float(end.left):g} × "
            f"{float(bend.left):g} ÷ {load} = {rounded(factor, 4, Rounding.DOWN)}"
        )
    return tuple(lines)


def _warnings(source: Source) -> tuple[str, ...]:
    if source.document.startswith("DGUV Vorschrift 17"):
        return ("The rule means the breaking force with dynamic effects in the load: type them.",)
    return ()


RULES = (*choices_of("design_factors"), (OWN, "Another: type the factor"))
HANDBOOK = Source("Radio mast guying note, worked by hand", "September 2001", "", "document")
SAFE_LOADS = Source("Teaching sheet on safe working loads", "", "breaking load over factor")
STAGE = Source(
    "Own arithmetic with stage figures", "", "7000 lb cable under 500 lb", "own arithmetic"
)

CALCULATOR = Calculator(
    slug="design-factor",
    title="Design factor of a rope",
    family="Ropes",
    purpose="Breaking force over load, with what the ends and bends take, against a rule.",
    inputs=(
        Input("strength", "Minimum breaking force", "force", "7000 lbf, 31 kN", bounds=ABOVE_ZERO),
        Input("load", "Greatest load on this rope", "load", "500 lb, 2.2 kN", bounds=ABOVE_ZERO),
        Input(
            "dynamic", "Dynamic factor of the load", "number", "1 at rest, 1.4 in an emergency stop",
            default="1", bounds=Bounds("Type 1 or more: a load never gets lighter.", least=1),
        ),
        Input("termination", "The weakest end of the rope", "choice", choices=TERMINATIONS),
        Input(
            "end_left", "Strength left at another end", "ratio", "90 %", optional=True,
            bounds=Bounds("Type a share above 0 and up to 100 %.", above=0, most=1),
        ),
        Input("bend", "Does it bend under the load?", "choice", choices=BENDS),
        Input(
            "tread", "Tread diameter of the smallest sheave", "length", "8 in, 200 mm",
            optional=True, bounds=ABOVE_ZERO,
        ),
        Input(
            "diameter", "Nominal diameter of the rope", "length", "1/4, 6 mm", optional=True,
            bounds=ABOVE_ZERO,
        ),
        Input("rule", "Rule to hold it to", "choice", choices=RULES),
        Input("wanted", "Another factor", "number", "8", optional=True, bounds=ABOVE_ZERO),
    ),
    compute=compute,
    sources=(
        sources()["army-table-4"], sources()["tackle-blocks"], sources()["dguv-17-9"],
        sources()["dguv-101-005"], sources()["wac-296-870"], sources()["wac-296-96"],
        sources()["machinery-directive"], sources()["california-1605"],
        sources()["cfr-1926-1414"], sources()["fnp-table-4"], sources()["stage-class"],
    ),
    examples=(
        Example(
            "7000 lb guy with clips at 3.5",
            {"strength": "7000 lbf", "load": "1600 lb", "termination": "clips", "bend": "straight",
             "rule": OWN, "wanted": "3.5"},
            HANDBOOK, ExampleClass.WORKED_EXAMPLE, {"most": "1600 lb", "factor": "3.5"},
            {"rule": WITHIN},
        ),
        Example(
            "The same guy with 95 % ends",
            {"strength": "7000 lbf", "load": "1601 lb", "termination": OWN, "end_left": "95 %",
             "bend": "straight", "rule": OWN, "wanted": "3.5"},
            HANDBOOK, ExampleClass.WORKED_EXAMPLE, {"most": "1900 lb"}, {"rule": WITHIN},
        ),
        Example(
            "1000 lb at a factor of 5",
            {"strength": "1000 lbf", "load": "200 lb", "termination": "poured-socket",
             "bend": "straight", "rule": "machinery-general"},
            SAFE_LOADS, ExampleClass.WORKED_EXAMPLE, {"most": "200 lb"}, {"rule": WITHIN},
        ),
        Example(
            "7000 lb cable under 500 lb",
            {"strength": "7000 lbf", "load": "500 lb", "termination": "poured-socket",
             "bend": "straight", "rule": "stage-running"},
            STAGE, ExampleClass.OWN_OUTPUT, {"factor": "14.0", "most": "875 lb"}, {"rule": WITHIN},
        ),
        Example(
            "7000 lb cable at 10",
            {"strength": "7000 lbf", "load": "701 lb", "termination": "poured-socket",
             "bend": "straight", "rule": "stage-carrying"},
            STAGE, ExampleClass.OWN_OUTPUT, {"most": "700 lb"}, {"rule": BEYOND},
        ),
        Example(
            "Clips on a carrying end of stage machinery",
            {"strength": "31 kN", "load": "1 kN", "termination": "clips", "bend": "straight",
             "rule": "stage-carrying"},
            sources()["dguv-17-9"], ExampleClass.PRINTED, {}, {"rule": WITHIN, "clips": BEYOND},
        ),
        Example(
            "An end of 76 % on a suspended platform",
            {"strength": "31 kN", "load": "1 kN", "termination": "hand-splice-stainless",
             "bend": "straight", "rule": "people-platform"},
            sources()["wac-296-870"], ExampleClass.PRINTED, {}, {"least_end": BEYOND},
        ),
        Example(
            "A sheave of unknown size",
            {"strength": "31 kN", "load": "2.2 kN", "termination": "clips", "bend": "bent",
             "diameter": "6 mm", "rule": "stage-running"},
            STAGE, ExampleClass.OWN_OUTPUT, {}, {"rule": UNDECIDED}, cannot=("tread",),
        ),
    ),
)  # fmt: skip
