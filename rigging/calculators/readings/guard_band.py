"""Whether a reading clears its limit once its uncertainty is counted. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.calculators.contract import (
    BEYOND,
    NOT_BELOW_ZERO,
    UNDECIDED,
    WITHIN,
    Answer,
    BadValue,
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
from rigging.calculators.drawing import Arrow, Drawing, Stroke, Words
from venue.quantities import Quantity, show_exact

# The statement of four words with a guard band as wide as the expanded uncertainty: pass, and fail,
# stand here; the two conditional ones between them are "cannot be decided".
RULE = Source(
    "ILAC-G8, Guidelines on Decision Rules and Statements of Conformity", "09/2019",
    "4.1, 4.2.3 and figure 5 (guard band = expanded uncertainty)",
)  # fmt: skip
AT_MOST, AT_LEAST = "at_most", "at_least"
ARITHMETIC = Source("Own arithmetic: 495 ± 10 against 500", "", "", "own arithmetic")


def guarded_state(reading: Fraction, doubt: Fraction, limit: Fraction, side: str) -> str:
    """Within only if the whole of `reading ± doubt` is; beyond only if the whole of it is.

    For an upper limit: within if `reading + doubt ≤ limit`, beyond if `reading − doubt > limit`,
    else it cannot be decided. All in one unit. Limits: the uncertainty is that of the whole
    measurement, expanded. Source: ILAC-G8:09/2019, 4.2.3 and figure 5, guard band = uncertainty.

    >>> guarded_state(Fraction(495), Fraction(10), Fraction(500), "at_most")
    'cannot be decided'
    """
    if side == AT_LEAST:
        reading, limit = -reading, -limit
    if reading + doubt <= limit:
        return WITHIN
    return BEYOND if reading - doubt > limit else UNDECIDED


def compute(given: Given) -> Answer:
    reading, doubt, limit = _alike(given)
    state = guarded_state(reading.si, doubt.si, limit.si, given["side"])
    unit = limit.unit
    low, high = (show_exact(reading.si + sign * doubt.si, unit) for sign in (-1, 1))
    sign = "≤" if given["side"] == AT_MOST else "≥"
    last = limit.si - doubt.si if given["side"] == AT_MOST else limit.si + doubt.si
    told = f"{low} to {high} against {show_exact(limit.si, unit)} {_words(given['side'])}."
    cannot = (Missing("Whether it is within", "a reading with less uncertainty"),)
    return Answer(
        figures=(
            Figure("last", "Last reading that is surely within", last, unit,
                   Rounding.DOWN if given["side"] == AT_MOST else Rounding.UP, 6),
        ),
        checks=(Check("limit", "Reading against its limit", state, told, RULE),),
        working=(
            f"within only if {given.words('reading')} {'+' if sign == '≤' else '−'} "
            f"{given.words('doubt')} {sign} {given.words('limit')}",
        ),
        assumptions=(
            "The uncertainty is that of the whole measurement: instrument, place, hand.",
        ),
        limits=("A reading in the doubt zone is not a pass: measure again with less doubt.",),
        cannot=cannot if state == UNDECIDED else (),
        diagram=_drawing(reading.si, doubt.si, limit.si, state, told),
    )  # fmt: skip


def _alike(given: Given) -> tuple[Quantity, Quantity, Quantity]:
    reading, doubt, limit = given["reading"], given["doubt"], given["limit"]
    for slug, one in (("doubt", doubt), ("limit", limit)):
        if one.scale != reading.scale:
            raise BadValue(slug, f"Type it in a unit of {reading.dimension}, like the reading.")
    return reading, doubt, limit


def _words(side: str) -> str:
    return "at most" if side == AT_MOST else "at least"


def _drawing(reading: Fraction, doubt: Fraction, limit: Fraction, state: str, told: str) -> Drawing:
    ends = (reading - doubt, reading + doubt, limit)
    low, wide = min(ends), max(ends) - min(ends) or Fraction(1)

    def at(value: Fraction) -> float:
        return 60 + 280 * float((value - low) / wide)

    look = {WITHIN: "rope", BEYOND: "bad"}.get(state, "doubt")
    return Drawing(
        "Reading and limit",
        f"The reading with its doubt, {told[:-1]}: {state}.",
        (
            Stroke(((30, 80), (370, 80)), "measure"),
            Stroke(((at(reading - doubt), 80), (at(reading + doubt), 80)), look),
            Stroke(((at(reading), 68), (at(reading), 92)), look),
            Arrow(at(limit), 30, at(limit), 78, "load"),
            Words(at(limit), 24, "limit"), Words(at(reading), 112, "reading ± doubt"),
        ),
        height=130,
    )  # fmt: skip


CALCULATOR = Calculator(
    slug="guard-band",
    title="A reading, its doubt and its limit",
    family="Readings",
    purpose="Whether a reading is within its limit when the uncertainty of the measurement counts.",
    inputs=(
        Input("reading", "Reading", "measure", "495 lb, 9.4 mm, 0.372 in"),
        Input("doubt", "Uncertainty, ±", "measure", "10 lb, 0.02 mm", bounds=NOT_BELOW_ZERO),
        Input("limit", "Limit", "measure", "500 lb, 9.5 mm"),
        Input(
            "side", "The reading must be", "choice",
            choices=((AT_MOST, "At most the limit"), (AT_LEAST, "At least the limit")),
        ),
    ),
    compute=compute,
    sources=(RULE,),
    examples=(
        Example(
            "495 ± 10 against 500",
            {"reading": "495 lb", "doubt": "10 lb", "limit": "500 lb", "side": AT_MOST}, RULE,
            ExampleClass.OWN_OUTPUT, {"last": "490 lb"}, {"limit": UNDECIDED}, cannot=("",),
        ),
        Example(
            "490 ± 10 against 500, to the letter",
            {"reading": "490 lb", "doubt": "10 lb", "limit": "500 lb", "side": AT_MOST},
            ARITHMETIC, ExampleClass.OWN_OUTPUT, {}, {"limit": WITHIN},
        ),
        Example(
            "A rope that measures less than its least diameter for sure",
            {"reading": "0.2475 in", "doubt": "0.02 mm", "limit": "6.4 mm", "side": AT_LEAST},
            ARITHMETIC, ExampleClass.OWN_OUTPUT, {}, {"limit": BEYOND},
        ),
    ),
)  # fmt: skip
