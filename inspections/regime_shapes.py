"""What a regime and its checks are, as read from a file. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from inspections.calendar_rules import interval_words
from venue.kind_files import Source
from venue.quantities import Quantity

LEVELS = ("trained_user", "competent_person", "qualified_person", "outside_examiner")
TRIGGERS = ("calendar", "before_use", "event")
COUNTINGS = ("from_last_done", "anchored")
ANSWERS = ("yes_no", "measured", "count", "choice", "text", "photo", "rope")
PHOTOS = ("none", "optional", "required")
# Five outcomes, not two.
OUTCOMES = (
    "not_used_until_cured", "used_until_date", "restricted", "observation", "imminent_risk",
)  # fmt: skip
# A limit may be a figure of the equipment itself: one of its fields, of its part, a rated load.
LIMIT_PLACES = ("field", "part", "load")


class FaultyRegimeFile(ValueError):
    """A regime that cannot be used. The message names the file and the fault."""


@dataclass(frozen=True)
class Check:
    """One thing to look at, measure or count, with its limit and what follows from a failure."""

    slug: str
    question: str
    answer: str
    on_fail: str
    source: Source
    instruction: str = ""
    yes_means_good: bool = True
    dimension: str = ""
    unit_metric: str = ""
    unit_us: str = ""
    minimum: Quantity | None = None
    maximum: Quantity | None = None
    minimum_from: str = ""
    maximum_from: str = ""
    limit_text: str = ""
    limit_of: str = ""  # the printed limit that its figures repeat, as "set:limit"
    choices: tuple[str, ...] = ()
    photo: str = "none"
    part_kind: str = ""
    out_of_service: bool = False
    fail_note: str = ""
    load_test: bool = False

    def unit(self, unit_habit: str) -> str:
        return self.unit_us if unit_habit == "us" else self.unit_metric

    @property
    def limits_from(self) -> tuple[str, ...]:
        """Where its limits are kept, as place:name, for those that are not in the file."""
        return tuple(name for name in (self.minimum_from, self.maximum_from) if name)


@dataclass(frozen=True)
class Variant:
    """A regime for some equipment of a kind only, by the value of one field."""

    field: str
    values: tuple[str, ...]


@dataclass(frozen=True)
class Regime:
    """A named list of checks with ONE interval and level. `body` is the file's own text."""

    slug: str
    title: str
    families: tuple[str, ...]
    kinds: tuple[str, ...]
    variant: Variant | None
    level: str
    trigger: str
    interval: str
    interval_source: Source | None
    counting: str
    early: str
    lawful_slack: str
    planned_before: str
    jurisdiction: str
    sources: tuple[Source, ...]
    checks: tuple[Check, ...]
    body: str
    hash: str

    @property
    def every(self) -> str:
        """How often, in words; nothing where no calendar asks for it."""
        return interval_words(self.interval) if self.interval else ""

    def check(self, slug: str) -> Check | None:
        return next((check for check in self.checks if check.slug == slug), None)
