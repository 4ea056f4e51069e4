"""Counterweight of a set: what to lay in, how far out of balance, may the lock hold. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.calculators.contract import (
    BEYOND,
    UNDECIDED,
    WITHIN,
    Answer,
    Calculator,
    Check,
    Example,
    ExampleClass,
    Figure,
    Given,
    Missing,
    Rounding,
    Source,
    Table,
)
from rigging.calculators.drawing import Drawing
from rigging.calculators.loads.arbor_stack import (
    PLATE_RULE,
    plates_and_bricks,
    stack_drawing,
)
from rigging.calculators.loads.balance_inputs import INPUTS
from rigging.calculators.loads.bricks import spreader_plates
from rigging.calculators.loads.counterweight import (
    BalanceOverTravel,
    Runaway,
    balance_over_travel,
    imbalance_at_low,
    lock_may_hold,
)
from rigging.calculators.loads.loading_order import SCHOOL_MANUAL, order_table
from rigging.calculators.loads.set_weights import (
    Balance,
    Stack,
    balance_of,
    runaway_without_load,
    shift_of,
)
from rigging.calculators.loads.trim_change import DOUBLE
from rigging.calculators.showing import both_habits, quantity_text

AFTER_GLERUM = Source(
    "Trade forum after Glerum, Stage Rigging Handbook", "as stored", "single 1:1, double 2:1"
)
LOCK_PAGES = Source(
    "Three public pages on rope locks", "as stored", "40, 50 and 75 lb: they disagree"
)
MECHANICS = Source("Mechanics, a = g·(B − A) ÷ (B + A)", "", "", "from memory")
MARK_RULES = Source("The mark on the arbor rules", "", "", "common practice")
SHEET = Source("Own arithmetic on a stage formula sheet", "", "", "own arithmetic")
ASSUMPTIONS = (
    "Weights as typed; weigh what is not known. Double purchase: the arbor travels half.",
    "Bricks are rounded up: arbor heavy by less than a brick, never bar heavy.",
)
LIMITS = (
    "A rope lock keeps a balanced set from drifting. It is no brake, and it holds no "
    "imbalance that a hand could not.",
    "Friction hides some imbalance; the runaway figures leave it out and are the hard case.",
)


def compute(given: Given) -> Answer:
    balance = balance_of(given)
    shift = shift_of(given, balance.purchase)
    low = imbalance_at_low(balance.imbalance, shift or Fraction(0), given["balanced"])
    over = balance_over_travel(low, shift or Fraction(0))
    fallen = runaway_without_load(given, balance)
    tables = [order_table(fallen)]
    if balance.stack:
        tables.insert(0, _bricks_table(balance.stack))
    return Answer(
        figures=_figures(balance, over, shift, fallen),
        checks=(_lock_check(given, balance, over, shift), *_capacity_check(given, balance)),
        tables=tuple(tables),
        working=_working(given, balance),
        assumptions=ASSUMPTIONS,
        limits=LIMITS,
        warnings=_warnings(balance),
        cannot=_cannot(given),
        diagram=_drawing(balance.stack) if balance.stack else None,
    )


def _drawing(stack: Stack) -> Drawing:
    """The arbor's own height is not asked here, so the stack fills most of it."""
    count, plates = sum(stack.counts), spreader_plates(stack.height)
    return stack_drawing(count, plates, 0.9, f"{plates_and_bricks(count, plates)}.")


def _figures(
    balance: Balance, over: BalanceOverTravel, shift: Fraction | None, fallen: Runaway | None
) -> tuple[Figure, ...]:
    heavy = {1: "bar heavy", -1: "arbor heavy", 0: "in balance"}
    sign = (balance.imbalance > 0) - (balance.imbalance < 0)
    figures = [
        Figure("needed", "Weight to lay in for balance", balance.needed, "kg"),
        Figure("laid", "Weight laid in", balance.laid, "kg"),
        Figure("imbalance", f"Out of balance at the bar, {heavy[sign]}", abs(balance.imbalance),
               "kg", Rounding.UP),
        Figure("direction", "Which side is heavy", heavy[sign]),
    ]  # fmt: skip
    if balance.stack:
        plates = spreader_plates(balance.stack.height)
        figures += [
            Figure("bricks", "Bricks in all", sum(balance.stack.counts)),
            Figure("stack", "Height of the bricks", balance.stack.height, "mm", Rounding.UP),
            Figure("plates", "Spreader plates, the locked one on top included", plates),
        ]
    if shift is not None:
        figures += [
            Figure("shift", "Trim shift of the lift lines", shift, "kg", Rounding.UP),
            Figure("bar_heavy", "Most bar heavy over the travel", over.bar_heavy, "kg",
                   Rounding.UP),
            Figure("arbor_heavy", "Most arbor heavy over the travel", over.arbor_heavy, "kg",
                   Rounding.UP),
        ]  # fmt: skip
    if fallen:
        figures += [
            Figure("runaway_speed", "Runaway with the load off and the weights in: speed of the "
                   "bar", fallen.speed, "m/s", Rounding.UP, 3),
            Figure("runaway_time", "and the time until then", fallen.seconds, "s", Rounding.DOWN,
                   3),
        ]  # fmt: skip
    return tuple(figures)


def _lock_check(
    given: Given, balance: Balance, over: BalanceOverTravel, shift: Fraction | None
) -> Check:
    holds = lock_may_hold(over, given.get("lock"), balance.purchase)
    worst = over.worst * balance.purchase
    if holds is None:
        state, words = UNDECIDED, "The figure of the lock's maker or of the house is not given."
    elif not holds:
        state = BEYOND
        words = f"{both_habits(worst, 'kg', 4, Rounding.UP)} against {given.words('lock')} at most."
    else:
        state = UNDECIDED if shift is None else WITHIN
        words = f"{both_habits(worst, 'kg', 4, Rounding.UP)} against {given.words('lock')} at most"
        words += ", but the lift lines over the travel are not counted." if shift is None else "."
    return Check("lock", "May the rope lock hold it", state, words, LOCK_PAGES)


def _capacity_check(given: Given, balance: Balance) -> tuple[Check, ...]:
    if "mark" not in given:
        state, words = UNDECIDED, "The mark on the arbor is not given."
    else:
        state = WITHIN if balance.laid <= given["mark"] else BEYOND
        words = f"{both_habits(balance.laid, 'kg')} against {given.words('mark')} marked."
    return (Check("capacity", "Arbor", state, words, MARK_RULES),)


def _cannot(given: Given) -> tuple[Missing, ...]:
    wanted = (
        ("lock", "Whether the rope lock may hold it", "the imbalance it may hold, by its maker"),
        ("mark", "Whether the arbor may carry it", "the mark on the arbor"),
        ("sizes", "How many bricks", "the bricks at hand"),
        ("travel", "The runaway and the trim shift", "the travel"),
        ("lines", "The trim shift", "the number of lift lines"),
        ("line", "The trim shift", "the weight of a lift line"),
    )
    return tuple(Missing(what, datum, slug) for slug, what, datum in wanted if slug not in given)


def _working(given: Given, balance: Balance) -> tuple[str, ...]:
    bar = quantity_text(balance.bar_side, "kg")
    arbor = quantity_text(balance.arbor + balance.laid, "kg")
    times, over = ("2 × ", " ÷ 2") if balance.purchase == 2 else ("", "")
    return (
        f"to lay in = {times}(bar + fittings + load) − bare arbor = {times}({given.words('bar')} + "
        f"{given.words('fittings')} + {given.words('load')}) − {given.words('arbor')} = "
        f"{both_habits(balance.needed, 'kg')}",
        f"out of balance at the bar = bar side − arbor side{over} = {bar} − {arbor}{over} = "
        f"{both_habits(balance.imbalance, 'kg')}",
    )


def _bricks_table(stack: Stack) -> Table:
    rows = tuple(
        (str(count), both_habits(size.weight, "kg"), both_habits(count * size.weight, "kg"))
        for count, size in zip(stack.counts, stack.sizes, strict=True)
    )
    return Table("Bricks to lay in", ("How many", "Of", "Together"), rows)


def _warnings(balance: Balance) -> tuple[str, ...]:
    if balance.needed < 0:
        return ("The bare arbor is already heavier than this bar: the set cannot be balanced.",)
    return ()


BARE = {"bar": "150 lb", "fittings": "30 lb", "load": "600 lb"}
SINGLE = BARE | {"purchase": "single", "arbor": "120 lb"}
TWICE = BARE | {"purchase": DOUBLE, "arbor": "180 lb"}
CALCULATOR = Calculator(
    slug="counterweight",
    title="Counterweight of a set",
    family="Counterweight",
    purpose="What to lay into the arbor, which bricks, in which order, and what may go wrong.",
    inputs=INPUTS,
    compute=compute,
    sources=(AFTER_GLERUM, LOCK_PAGES, PLATE_RULE, SCHOOL_MANUAL, MECHANICS),
    examples=(
        Example(
            "Single purchase", SINGLE | {"sizes": "26.163 lb by 1 in"}, SHEET,
            ExampleClass.OWN_OUTPUT, {"needed": "660 lb", "bricks": "26"}, {"lock": UNDECIDED},
            ("lock", "mark", "travel"),
        ),
        Example(
            "Double purchase", TWICE, SHEET, ExampleClass.OWN_OUTPUT, {"needed": "1380 lb"}
        ),
        Example(
            "Bar heavy by 40 lb, against the lowest of the published lock figures",
            SINGLE | {
                "laid": "620 lb", "lock": "40 lb", "travel": "60 ft", "lines": "5",
                "line": "0.11 lb/ft",
            },
            SHEET, ExampleClass.OWN_OUTPUT,
            {"imbalance": "40 lb", "direction": "bar heavy", "bar_heavy": "73 lb"},
            {"lock": BEYOND},
        ),
        Example(
            "Double purchase with one brick of 25 lb missing", TWICE | {"laid": "1355 lb"}, SHEET,
            ExampleClass.OWN_OUTPUT, {"imbalance": "12.5 lb", "direction": "bar heavy"},
        ),
        Example(
            "Two feet of batten for one of arbor",
            {"purchase": DOUBLE, "bar": "100 lb", "fittings": "0 lb", "load": "0 lb",
             "arbor": "0 lb"},
            AFTER_GLERUM, ExampleClass.PRINTED, {"needed": "200 lb"},
            note="Printed: arbor weight is twice the batten's.",
        ),
    ),
)  # fmt: skip
