"""Total obscuration, per foot, per metre, optical density and decibels of a smoke beam. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.calculators.contract import (
    ABOVE_ZERO,
    Answer,
    BadValue,
    Bounds,
    Calculator,
    Example,
    ExampleClass,
    Figure,
    Given,
    Input,
    Missing,
    Source,
)
from rigging.calculators.house.light_loss import (
    FOOT,
    decibels_from_total,
    density_from_total,
    rate_from_total,
    total_from_decibels,
    total_from_rate,
)
from rigging.calculators.showing import both_habits

VOCABULARY = Source("IEC 60050-845", "as stored", "transmittance optical density, D = −log10 τ")
ARITHMETIC = Source("Own arithmetic on Beer and Lambert", "", "", "own arithmetic")
POWER = Source("Decibels of power, 10·log10", "", "", "from memory")
LEVELS = Source("A maker's beam detector manual", "as stored", "alarm at 0.5 and 1.5 dB")
CHART = Source("A maker's beam detector manual", "as stored", "page 18, chart read off a graph")
METRE = Fraction(1)
SHARE = Bounds("Type zero or more, and less than 100 %.", least=0, below=1)
ENTRIES = ("total", "per_foot", "per_metre", "density", "decibels")
ASSUMPTIONS = (
    "Even smoke along the whole path; the path is the light's, there and back if "
    "the maker counts it so.",
)
LIMITS = (
    "Loss per length times length is wrong: 0.5 % a foot over 250 ft is 71 %, not 125 %.",
    "Decibels are of power. A data sheet with 20·log10 prints twice the figure.",
    "What a detector must alarm at is set by its maker and its listing.",
)


def compute(given: Given) -> Answer:
    typed = [slug for slug in ENTRIES if slug in given]
    if not typed:
        what = "The loss of light"
        return Answer(cannot=(Missing(what, "one of the five ways to say it", "total"),))
    if len(typed) > 1:
        raise BadValue(typed[1], "Type one of the five and leave the others empty.")
    path = given["path"]
    total = _total(typed[0], float(given[typed[0]]), path)
    if total >= 1:
        raise BadValue(typed[0], "No light at all is left: the detector reads a blocked beam.")
    density, metres = density_from_total(total), float(path)
    per_foot, per_metre = rate_from_total(total, FOOT, path), rate_from_total(total, METRE, path)
    return Answer(
        figures=(
            Figure("total", "Total over the path", total, "%", digits=5),
            Figure("per_foot", "Per foot", per_foot, "%/ft", digits=5),
            Figure("per_metre", "Per metre", per_metre, "%/m", digits=5),
            Figure("density", "Optical density of the path", density, "1", digits=5),
            Figure("decibels", "Loss", decibels_from_total(total), "dB", digits=5),
            Figure("decibels_per_metre", "Loss per metre", decibels_from_total(total) / metres,
                   "dB/m", digits=5),
        ),
        working=(
            f"total = 1 − (1 − p)^(path ÷ length of p), path {both_habits(path, 'm')}: "
            f"{100 * total:.5g} %",
            f"D = −log10(1 − total) = {density:.5g}, {density / metres:.5g} a metre; dB = 10 × D",
        ),
        assumptions=ASSUMPTIONS,
        limits=LIMITS,
    )  # fmt: skip


def _total(slug: str, value: float, path: Fraction) -> float:
    if slug == "per_foot":
        return total_from_rate(value, FOOT, path)
    if slug == "per_metre":
        return total_from_rate(value, METRE, path)
    if slug == "density":
        return total_from_decibels(10 * value)
    return total_from_decibels(value) if slug == "decibels" else value


def _own(name: str, typed: dict[str, str], printed: dict[str, str]) -> Example:
    return Example(name, typed, ARITHMETIC, ExampleClass.OWN_OUTPUT, printed)


CALCULATOR = Calculator(
    slug="smoke-in-a-beam",
    title="Smoke in a detector's beam",
    family="Fire",
    purpose="One loss of light said in every way: total, per foot, per metre, density, decibels.",
    inputs=(
        Input("path", "Length of the beam", "length", "30 m, 100 ft", bounds=ABOVE_ZERO),
        Input("total", "Total loss", "ratio", "25 %", optional=True, bare="%", bounds=SHARE),
        Input("per_foot", "Loss per foot", "ratio", "0.5 %", optional=True, bare="%", bounds=SHARE),
        Input(
            "per_metre", "Loss per metre", "ratio", "1.6 %", optional=True, bare="%", bounds=SHARE
        ),
        Input(
            "density", "Optical density of the whole path", "number", "0.3", optional=True,
            bounds=Bounds("Type from 0 to 10.", least=0, most=10),
        ),
        Input(
            "decibels", "Decibels over the whole path", "number", "1.5", optional=True,
            bounds=Bounds("Type from 0 to 100.", least=0, most=100),
        ),
    ),
    compute=compute,
    sources=(VOCABULARY, LEVELS, POWER, ARITHMETIC),
    examples=(
        _own("0.5 % a foot over 250 ft", {"per_foot": "0.5 %", "path": "250 ft"},
             {"total": "71.439212 %"}),
        _own("1 % a foot over 60 ft", {"per_foot": "1 %", "path": "60 ft"},
             {"total": "45.284336 %", "per_metre": "3.2435842 %/m"}),
        _own("4 % a foot over 30 ft", {"per_foot": "4 %", "path": "30 ft"},
             {"total": "70.614236 %", "per_metre": "12.534909 %/m"}),
        _own("2 % a foot", {"per_foot": "2 %", "path": "1 ft"}, {"per_metre": "6.4132945 %/m"}),
        _own("0.5 % a foot", {"per_foot": "0.5 %", "path": "1 m"},
             {"per_metre": "1.6310861 %/m", "total": "1.6310861 %"}),
        _own("25 % over 30 ft", {"total": "25 %", "path": "30 ft"}, {"per_foot": "0.95435707 %/ft"}),
        _own("25 % over 100 ft", {"total": "25 %", "path": "100 ft"},
             {"per_foot": "0.28726866 %/ft"}),
        _own("30 % over 60 ft", {"total": "30 %", "path": "60 ft"}, {"per_foot": "0.59269483 %/ft"}),
        _own("35 % over 328 ft", {"total": "35 %", "path": "328 ft"},
             {"per_foot": "0.13125005 %/ft"}),
        _own("35 % over 100 m", {"total": "35 %", "path": "100 m"},
             {"per_metre": "0.4298564 %/m", "density": "0.1870866",
              "decibels": "1.870866 dB", "decibels_per_metre": "0.01870866 dB/m"}),
        _own("50 % over 100 m", {"total": "50 %", "path": "100 m"},
             {"per_metre": "0.6907505 %/m", "density": "0.30103", "decibels": "3.0103 dB"}),
        _own("1.5 dB", {"decibels": "1.5", "path": "10 m"}, {"total": "29.205422 %"}),
        Example(
            "0.5 % a foot over 50 ft, as a chart has it", {"per_foot": "0.5 %", "path": "50 ft"},
            CHART, ExampleClass.PRINTED, {"total": "20 %"}, within=Fraction(11, 100),
            note="The chart says 20 %, read off a curve; the formula 22.17 %.",
        ),
    ),
)  # fmt: skip
