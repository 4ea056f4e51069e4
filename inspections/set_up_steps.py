"""The steps of the first hour, in the order in which each helps the next. Pure."""

from __future__ import annotations

from dataclasses import dataclass

DONE, NEXT, LATER, TO_DO = "done", "next", "left for later", "to do"
# The drawing beside each word.
MARKS = {DONE: "done", NEXT: "due", LATER: "planned", TO_DO: "not-judged"}


@dataclass(frozen=True)
class Step:
    """`page` is the name of its address. `by_hand`: done when somebody says so, since nothing in
    the house shows it."""

    slug: str
    title: str
    why: str
    page: str
    by_hand: bool = False


STEPS = (
    Step("house", "The house", "How it measures, which stage words it uses, on what paper it prints.",
         "set_up_house", by_hand=True),
    Step("rules", "Rules for ropes", "By which published rule a rope is judged. Without one, no rope can be.",
         "set_up_rules"),
    Step("register", "Register", "What hangs, moves or is stood on: read from the spreadsheet you have.",
         "spreadsheet"),
    Step("regimes", "Regimes", "What is looked at, how often and by whom, each with its source.",
         "set_up_regimes"),
    Step("calendar", "Calendar", "What is booked decides when anything can be reached.",
         "set_up_calendar"),
    Step("tags", "Tags", "A printed code on each thing opens its page on a phone.",
         "set_up_tags", by_hand=True),
    Step("people", "People", "Who looks, with which competence. Nobody returns their own work to service.",
         "people"),
    Step("year", "The year", "Every dated inspection gets a day on which it can be done.",
         "year_plans"),
    Step("check", "First check", "Open the round on a phone, and look at the first thing.",
         "set_up_phone"),
)  # fmt: skip
SLUGS = tuple(step.slug for step in STEPS)


@dataclass(frozen=True)
class StepState:
    step: Step
    number: int
    state: str
    words: str  # what the house shows of it

    @property
    def mark(self) -> str:
        return MARKS[self.state]


def step_states(
    done: set[str], later: set[str], words: dict[str, str]
) -> list[StepState]:  # fmt: skip
    """Each step with its word. The next is the first that is neither done nor left for later.

    >>> [one.state for one in step_states({"house"}, {"rules"}, {})][:4]
    ['done', 'left for later', 'next', 'to do']
    """
    open_steps = [slug for slug in SLUGS if slug not in done | later]
    following = open_steps[0] if open_steps else ""

    def state_of(slug: str) -> str:
        if slug in done:
            return DONE
        return LATER if slug in later else NEXT if slug == following else TO_DO

    return [
        StepState(step, number, state_of(step.slug), words.get(step.slug, ""))
        for number, step in enumerate(STEPS, start=1)
    ]


def next_step(states: list[StepState]) -> StepState | None:
    return next((one for one in states if one.state == NEXT), None)
