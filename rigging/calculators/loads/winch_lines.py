"""What each line of a winch with several lines carries, also with one slack or short. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from rigging.calculators.contract import (
    ABOVE_ZERO,
    BEYOND,
    NOT_BELOW_ZERO,
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
    Table,
)
from rigging.calculators.loads.batten import (
    ASSUMPTIONS,
    ELASTIC_LINE,
    FORMULAS,
    INPUTS,
    LIMITS,
    PIPE_INPUTS,
    Batten,
    batten_of,
    drawing,
    level,
    pipe_rigidity,
)
from rigging.calculators.loads.lines_that_pull import BeamTips
from rigging.calculators.showing import both_habits, quantity_text

GENERAL_LEG = Source("DGUV Information 215-313", "", "1.4: the heaviest leg sizes every leg")
MAKERS_RULE = Source(
    "A maker's page on stage hoists", "as stored", "each rope for 40 % of the load, 70 % in the "
    "middle of three", "document",
)  # fmt: skip
MECHANICS = Source("Mechanics, 1 + a ÷ g", "", "", "from memory")
FACTOR = Bounds("Type a factor of one or more.", least=1)


@dataclass(frozen=True)
class Case:
    """Line loads in newtons with the dynamic factor; `tips` if nothing holds the batten level."""

    name: str
    tensions: tuple[Fraction, ...] = ()
    tips: bool = False

    @property
    def worst(self) -> Fraction:
        return max(self.tensions, default=Fraction(0))


def compute(given: Given) -> Answer:
    batten, factor = batten_of(given), given["factor"]
    hung = level(batten)
    cases = [Case("All level", tuple(factor * tension for tension in hung.tensions))]
    cases += slack_cases(batten, factor)
    short, missing = _short_cases(given, batten, factor)
    cases += short
    worst = max(cases, key=lambda case: case.worst)
    return Answer(
        figures=_figures(batten, cases, factor),
        checks=_checks(given, cases),
        tables=(_cases_table(batten, cases),),
        working=(
            f"line load = share × whole load × factor, whole load {both_habits(batten.total, 'kN')}"
            f", factor {given.words('factor')}",
            f"heaviest of all cases: {worst.name}, {both_habits(worst.worst, 'kN')}",
        ),
        assumptions=(
            *ASSUMPTIONS,
            "A short line: the others do not stretch, which is the hard case for the short one.",
        ),
        limits=("A line that breaks jerks the others: more than the case “slack” shows.", *LIMITS),
        warnings=tuple(
            f"{case.name}: nothing holds the batten level; it tips." for case in cases if case.tips
        ),
        cannot=missing + _limit_missing(given),
        diagram=drawing(
            batten, hung,
            f"The batten on {len(batten.lines)} level lines; the heaviest carries "
            f"{both_habits(max(hung.tensions), 'kN')} at rest.",
        ),
    )  # fmt: skip


def slack_cases(batten: Batten, factor: Fraction) -> list[Case]:
    """Each line slack in turn, the load on the others: the same beam without that line."""
    found = []
    for i in range(len(batten.lines)):
        name = f"Line {i + 1} slack"
        try:
            tensions = batten.hung(cut=(i,)).tensions
            found.append(Case(name, tuple(factor * tension for tension in tensions)))
        except BeamTips:
            found.append(Case(name, tips=True))
    return found


def _short_cases(
    given: Given, batten: Batten, factor: Fraction
) -> tuple[list[Case], tuple[Missing, ...]]:
    """Each line short in turn, the others level; a line the batten is lifted off goes slack."""
    if "short_by" not in given:
        return [], ()
    rigidity = pipe_rigidity(given)
    if isinstance(rigidity, Missing):
        return [], (rigidity,)
    found, count = [], len(batten.lines)
    for i in range(count):
        drops = tuple(-given["short_by"] if i == j else Fraction(0) for j in range(count))
        tensions = batten.hung(drops, rigidity).tensions
        found.append(Case(f"Line {i + 1} short", tuple(factor * tension for tension in tensions)))
    return found, ()


def _figures(batten: Batten, cases: list[Case], factor: Fraction) -> tuple[Figure, ...]:
    slack = max((case for case in cases if "slack" in case.name), key=lambda case: case.worst)
    figures = [
        Figure("level", "Heaviest line, all level", cases[0].worst, "kN", Rounding.UP),
        Figure("slack", f"Heaviest line, {slack.name[0].lower()}{slack.name[1:]}", slack.worst,
               "kN", Rounding.UP),
        Figure("drum", "Pull on the drum, all lines", batten.total * factor, "kN", Rounding.UP),
        Figure("worst_share", "Share of the heaviest line, all level",
               cases[0].worst / factor / batten.total, "%"),
    ]  # fmt: skip
    short = [case for case in cases if "short" in case.name]
    if short:
        worst = max(short, key=lambda case: case.worst)
        label = f"Heaviest line, {worst.name[0].lower()}{worst.name[1:]}"
        figures.append(Figure("short", label, worst.worst, "kN", Rounding.UP))
    return tuple(figures)


def _checks(given: Given, cases: list[Case]) -> tuple[Check, ...]:
    allowed = given.get("allowed")
    checks = []
    for slug, name in (("level", "All level"), ("slack", "slack"), ("short", "short")):
        worst = [case for case in cases if name in case.name]
        if not worst:
            continue
        heaviest = max(case.worst for case in worst)
        tips = any(case.tips for case in worst)
        if allowed is None:
            state, words = UNDECIDED, "The allowed load of one line is not given."
        else:
            state = WITHIN if heaviest <= allowed and not tips else BEYOND
            words = (
                f"{both_habits(heaviest, 'kN', 4, Rounding.UP)} against at most "
                f"{given.words('allowed')} on one line{'; the batten tips' if tips else ''}."
            )
        label = "All lines level" if slug == "level" else f"One line {slug}"
        checks.append(Check(slug, label, state, words, GENERAL_LEG))
    return tuple(checks)


def _limit_missing(given: Given) -> tuple[Missing, ...]:
    if "allowed" in given:
        return ()
    return (Missing("Whether a line may carry this", "Allowed load of one line", "allowed"),)


def _cases_table(batten: Batten, cases: list[Case]) -> Table:
    count = len(batten.lines)
    rows = tuple(
        (case.name, *(["tips"] * count if case.tips else [_told(one) for one in case.tensions]))
        for case in cases
    )
    heads = ("Case", *(f"Line {i + 1}" for i in range(count)))
    return Table("Load of each line, dynamic factor included", heads, rows)


def _told(tension: Fraction) -> str:
    return quantity_text(tension, "kN", 4, Rounding.UP) if tension else "slack"


ARITHMETIC = Source("Own arithmetic on table 2.1", "", "500 kg on five lines", "own arithmetic")
CALCULATOR = Calculator(
    slug="winch-lines",
    title="Lines of a winch",
    family="Loads",
    purpose="What each line of a winch carries while it moves, with one line slack, or one short.",
    inputs=(
        *INPUTS,
        Input(
            "factor", "Dynamic factor", "number", "1 at rest; see the stop of a moving load",
            default="1", bounds=FACTOR,
        ),
        Input(
            "short_by", "One line short by", "length", "10 mm, 3/8 in", optional=True,
            bounds=ABOVE_ZERO,
        ),
        *PIPE_INPUTS,
        Input(
            "allowed", "Allowed load of one line", "load", "2 kN, 450 lbf", optional=True,
            bounds=NOT_BELOW_ZERO,
        ),
    ),
    compute=compute,
    sources=(GENERAL_LEG, FORMULAS, ELASTIC_LINE, MAKERS_RULE, MECHANICS),
    examples=(
        Example(
            "500 kg spread over five lines, factor 1.37",
            {
                "length": "16 m", "lines": "0 m; 4 m; 8 m; 12 m; 16 m", "own": "31.25 kg/m",
                "factor": "1.37", "allowed": "200 kg",
            },
            ARITHMETIC, ExampleClass.OWN_OUTPUT, {"level": "195.7 kg", "worst_share": "28.57 %"},
            {"level": WITHIN, "slack": BEYOND},
        ),
        Example(
            "Middle of three lines",
            {"length": "20 ft", "lines": "0 ft; 10 ft; 20 ft", "own": "10 lb/ft"},
            FORMULAS, ExampleClass.PRINTED, {"level": "125 lb"}, {"level": UNDECIDED},
            cannot=("allowed",), note="Printed as 5/8 + 5/8 of w·l.",
        ),
    ),
)  # fmt: skip
