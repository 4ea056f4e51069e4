"""Hours a protection was out within any 24, against the rule that is followed. Pure."""

from __future__ import annotations

import math
from dataclasses import dataclass
from fractions import Fraction

from rigging.calculators.contract import (
    BEYOND,
    WITHIN,
    Answer,
    BadValue,
    Bounds,
    Calculator,
    Check,
    Example,
    ExampleClass,
    Figure,
    Given,
    Input,
    Rounding,
    Source,
    Table,
)
from rigging.calculators.house.outages import DAY, Outage, joined, worst_day

HOUR = Fraction(3600)
CUMULATIVE = Source(
    "Joint Commission, standards FAQ on life safety", "as stored",
    "more than 4 h (sprinklers 10 h) in 24 h, counted together; NFPA 101, 9.6.1.6", "document",
)  # fmt: skip
SPRINKLERS = Source("NFPA 25, chapter 15, and the same FAQ", "as quoted", "10 h", "two documents")
FIRE_OFFICE = Source("NFPA 1, 13.1.9, as a fire office quotes it", "as stored", "8 h",
                     "two documents")  # fmt: skip
AT_ONCE = Source("International Fire Code, 901.7", "two adoptions", "at once", "two documents")
OWN = Source("Own arithmetic on the rule of 24 h", "", "", "own arithmetic")


@dataclass(frozen=True)
class Rule:
    words: str
    hours: Fraction
    source: Source


RULES = {
    "alarm_4": Rule("Fire alarm, more than 4 h in 24", Fraction(4), CUMULATIVE),
    "alarm_8": Rule("Fire alarm, more than 8 h", Fraction(8), FIRE_OFFICE),
    "sprinkler_10": Rule("Sprinklers, more than 10 h in 24", Fraction(10), SPRINKLERS),
    "at_once": Rule("Any required system, at once", Fraction(0), AT_ONCE),
}
ASSUMPTIONS = (
    "Hours are counted from midnight of the first day; outages at once count once.",
    "An outage that runs on is given with the end that is expected.",
)
LIMITS = (
    "Three thresholds stand side by side in codes: at once, 4 h, 8 h. The authority and "
    "the insurer say which one binds here.",
    "One detector isolated for haze is an outage too: told, isolated, restored, told.",
    "A night in which the clocks change is an hour longer or shorter than it looks.",
)


def compute(given: Given) -> Answer:
    try:
        together = joined((begin / HOUR, end / HOUR) for begin, end in given["outages"])
    except ValueError as fault:
        raise BadValue("outages", str(fault)) from fault
    rule, worst = RULES[given["rule"]], worst_day(together)
    total = sum((end - begin for begin, end in together), Fraction(0))
    state = BEYOND if worst.hours > rule.hours else WITHIN
    words = f"{float(worst.hours):.4g} h within 24 h against at most {float(rule.hours):g} h."
    return Answer(
        figures=(
            Figure("worst", "Most within any 24 h", worst.hours * HOUR, "h", Rounding.UP),
            Figure("begins", "Those 24 h begin, from midnight of the first day",
                   worst.begins * HOUR, "h"),
            Figure("total", "In all", total * HOUR, "h", Rounding.UP),
        ),
        checks=(Check("limit", rule.words, state, words, rule.source),),
        working=("most = greatest sum of what lies within a window of 24 h, wherever it begins",),
        tables=(_days_table(together),),
        assumptions=ASSUMPTIONS,
        limits=LIMITS,
    )  # fmt: skip


def _days_table(outages: list[Outage]) -> Table:
    """By calendar day, to show what such a count misses."""
    last = max((math.ceil(end / DAY) for _, end in outages), default=0)
    rows = []
    for day in range(last):
        start, end = day * DAY, (day + 1) * DAY
        hours = sum(
            (max(Fraction(0), min(stop, end) - max(begin, start)) for begin, stop in outages),
            Fraction(0),
        )
        if hours:
            rows.append((str(day + 1), f"{float(hours):.4g} h"))
    return Table("By calendar day, for comparison only", ("Day", "Out of service"), tuple(rows))


def _example(name: str, outages: str, rule: str, worst: str, state: str) -> Example:
    return Example(
        name, {"outages": outages, "rule": rule}, OWN, ExampleClass.OWN_OUTPUT,
        {"worst": worst}, {"limit": state},
    )  # fmt: skip


CALCULATOR = Calculator(
    slug="impairment-hours",
    title="Hours out of service within 24",
    family="Fire",
    purpose="How long a protection was out within any 24 hours, counted together.",
    inputs=(
        Input(
            "outages", "Outages, in hours from midnight of the first day", ("time", "time"),
            "20 h to 22 h; 34 h to 36 h", many=True, bare="h",
            bounds=Bounds(
                "Type hours from 0 to 8784: a year at most is looked at.", least=0,
                most=8784 * HOUR,
            ),
        ),
        Input(
            "rule", "The rule that is followed", "choice",
            choices=tuple((slug, rule.words) for slug, rule in RULES.items()),
        ),
    ),
    compute=compute,
    sources=(CUMULATIVE, FIRE_OFFICE, SPRINKLERS, AT_ONCE),
    examples=(
        _example("Three outages over a night", "20 h to 22 h; 34 h to 36 h; 43 h to 44.5 h",
                 "alarm_4", "5.0 h", BEYOND),
        _example("One outage", "9 h to 12.983333 h", "alarm_4", "3.9833 h", WITHIN),
        _example("Sprinklers twice in a day", "8 h to 13 h; 18 h to 23.5 h", "sprinkler_10",
                 "10.5 h", BEYOND),
        Example("Four hours are not more than four", {"outages": "1 h to 5 h", "rule": "alarm_4"},
                CUMULATIVE, ExampleClass.PRINTED, {"worst": "4 h"}, {"limit": WITHIN},
                note="Printed: more than 4 h in 24."),
        Example("Told at once", {"outages": "1 h to 1.1 h", "rule": "at_once"}, AT_ONCE,
                ExampleClass.PRINTED, {"worst": "0.1 h"}, {"limit": BEYOND},
                note="Printed: immediately."),
    ),
)  # fmt: skip
