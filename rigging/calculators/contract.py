"""What a calculator is: what it asks, what it answers, where it comes from. Pure.

A calculator is one module below `rigging/calculators/` with a `CALCULATOR`; the registry finds it.
`compute` gets a `Given`: exact SI values by slug (`given["load"]`, `given.get("wear")`), and the
words of each as the person typed them (`given.words("load")`) for the lines of the working.
Required inputs are there and within their bounds when it is called; an optional one may be
missing, and then what hangs on it goes to `cannot`, by name: it is never guessed.

Dimensions of an input: those of `venue.quantities.DIMENSIONS` and, besides,
- "load": a force or a weight; 500 lb or 250 kg is taken as a weight under standard gravity, which
  the answer then says; arrives in newtons. A plain "force" field asks for lbf where lb is typed.
- "choice": one of `choices`; arrives as its slug.
- "measure": any measured value with its unit; arrives as a `Quantity`, for a calculator that only
  compares values of one kind.
- "number": a plain number without unit, like a factor; arrives as a Fraction.
- `many=True`: a list, one a line or parted by `;`; arrives as a tuple.
- a tuple of dimensions, like ("load", "length"): typed `200 lb at 27 ft` or with
  by, from, to, @ between the parts; arrives as tuples.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from fractions import Fraction
from typing import Any

from rigging.calculators.drawing import Drawing
from rigging.engine.verdicts import CAUTION

# A Fraction in SI, the slug of a choice, or (many, pairs) tuples of these.
Value = Any


class BadValue(ValueError):
    """A value that cannot be used. The sentence says what to do."""

    def __init__(self, slug: str, sentence: str) -> None:
        super().__init__(sentence)
        self.slug = slug
        self.sentence = sentence


@dataclass(frozen=True)
class Bounds:
    """Where a value may lie, in SI, and the sentence for whoever is outside. None is no bound."""

    sentence: str
    above: Fraction | int | None = None
    least: Fraction | int | None = None
    below: Fraction | int | None = None
    most: Fraction | int | None = None

    def hold(self, value: Fraction) -> bool:
        return (
            (self.above is None or value > self.above)
            and (self.least is None or value >= self.least)
            and (self.below is None or value < self.below)
            and (self.most is None or value <= self.most)
        )


ABOVE_ZERO = Bounds("Type a value above zero.", above=0)
NOT_BELOW_ZERO = Bounds("Type zero or more.", least=0)


@dataclass(frozen=True)
class Input:
    """One thing that is asked. `bare` is the unit of a number typed without one; left empty, the
    unit must be typed (a bare fraction of a length, like 3/8, is inches). `default` is typed text
    and is shown in the field; an input with neither `default` nor `optional` is required."""

    slug: str
    label: str
    dimension: str | tuple[str, ...]
    hint: str = ""
    optional: bool = False
    default: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    bounds: Bounds | None = None
    bare: str = ""
    many: bool = False
    negative: bool = False  # whether a value below zero is possible


@dataclass(frozen=True)
class Source:
    """Where a formula or a figure comes from. `backing` is one of the engine's: X"""

    document: str
    edition: str = ""
    clause: str = ""
    backing: str = "document"

    def __str__(self) -> str:
        return ", ".join(part for part in (self.document, self.edition, self.clause) if part)


BACKINGS = (
    "two documents", "document", "second-hand", "maker's manual", "common practice",
    "own arithmetic", "from memory",
)  # fmt: skip
# A limit backed only so is marked as not verified in every answer that uses it.
WEAK_BACKINGS = ("second-hand", "maker's manual", "from memory")


class Rounding(StrEnum):
    """Which side a figure is rounded to for the eye: the safe one."""

    UP = "up"
    DOWN = "down"
    NEAREST = "nearest"


@dataclass(frozen=True)
class Figure:
    """One result. `value` is in SI (a Fraction, or a float where there are roots or angles), or
    words; `unit` is the unit code it is shown in. The other habit's unit is printed beside it."""

    slug: str
    label: str
    value: Fraction | int | float | str
    unit: str = "1"
    rounding: Rounding = Rounding.NEAREST
    digits: int = 4  # significant digits for the eye


@dataclass(frozen=True)
class Check:
    """A limit applied to a figure. Three-valued: "cannot be decided" is never a pass."""

    slug: str
    label: str
    state: str  # one of CHECK_STATES
    words: str  # value, limit and comparator in one sentence
    source: Source


WITHIN, BEYOND, UNDECIDED = "within", "beyond", "cannot be decided"
CHECK_STATES = (WITHIN, BEYOND, UNDECIDED)


@dataclass(frozen=True)
class Missing:
    """What cannot be decided, and the datum that would decide it."""

    what: str  # "The loss in the bend"
    datum: str  # the label of the input, or words: "the tread diameter of the sheave"
    slug: str = ""  # of the input, where it is one

    @property
    def sentence(self) -> str:
        return f"{self.what} cannot be decided: {self.datum} is missing."


@dataclass(frozen=True)
class Table:
    """Several results side by side, as shown: one line a support, one a brick size."""

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Answer:
    figures: tuple[Figure, ...] = ()
    checks: tuple[Check, ...] = ()
    working: tuple[str, ...] = ()  # each formula, with the user's own numbers in it
    assumptions: tuple[str, ...] = ()
    limits: tuple[str, ...] = ()  # of validity
    warnings: tuple[str, ...] = ()
    cannot: tuple[Missing, ...] = ()
    tables: tuple[Table, ...] = ()
    diagram: Drawing | None = None
    caution: str = CAUTION

    def figure(self, slug: str) -> Figure:
        return next(one for one in self.figures if one.slug == slug)


class ExampleClass(StrEnum):
    """How a worked example is backed; only the first three count as verified."""

    PRINTED = "printed"
    WORKED_EXAMPLE = "worked example"
    INDEPENDENT_PROGRAM = "independent program"
    COMMON_PRACTICE = "common practice"
    FROM_MEMORY = "from memory"
    OWN_OUTPUT = "own output"


@dataclass(frozen=True)
class Example:
    """What somebody printed. `printed` holds by the slug of a figure its text as printed, "31.1 kN"
    or the words; half a unit in the last printed place is allowed, or `within` of the value.
    `checks` holds states by slug; `cannot` the slugs of missing inputs."""

    name: str
    typed: Mapping[str, str]
    source: Source
    kind: ExampleClass
    printed: Mapping[str, str] = field(default_factory=dict)
    checks: Mapping[str, str] = field(default_factory=dict)
    cannot: tuple[str, ...] = ()
    within: Fraction | None = None
    note: str = ""


class Given(Mapping[str, Value]):
    """The values by slug, with the words they were typed in."""

    def __init__(self, values: Mapping[str, Value], words: Mapping[str, str] | None = None) -> None:
        self._values = dict(values)
        self._words = dict(words or {})

    def __getitem__(self, slug: str) -> Value:
        return self._values[slug]

    def __iter__(self) -> Iterator[str]:
        return iter(self._values)

    def __len__(self) -> int:
        return len(self._values)

    def words(self, slug: str) -> str:
        """As typed; an SI value that nobody typed is written out as it stands."""
        return self._words.get(slug) or str(self._values.get(slug, "?"))


@dataclass(frozen=True)
class Calculator:
    slug: str  # "design-factor"
    title: str
    family: str  # the heading it stands under in the list: "Ropes", "Loads", ...
    purpose: str  # one sentence
    inputs: tuple[Input, ...]
    compute: Callable[[Given], Answer]
    sources: tuple[Source, ...]
    examples: tuple[Example, ...]

    def input(self, slug: str) -> Input | None:
        return next((one for one in self.inputs if one.slug == slug), None)
