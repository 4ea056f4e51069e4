"""In which order a counterweight set is loaded and unloaded, and why. Pure."""

from __future__ import annotations

from rigging.calculators.contract import Source, Table
from rigging.calculators.loads.counterweight import Runaway
from rigging.calculators.showing import both_habits

SCHOOL_MANUAL = Source(
    "School crew manual on loading line sets", "as stored", "weights last on, first off, low trim"
)
LOADING = (
    ("Bar in at low trim, lock on, the rail manned; nobody under the bar or the arbor.",
     "With the bar at the floor a heavy bar has nowhere to fall."),
    ("Hang the load on the bar first.", "A bar heavy at the floor stays at the floor."),
    ("Then lay the weights in from the loading gallery, one brick at a time, a plate every 2 ft, "
     "the last on top and both collars tight.",
     "Weights without the load would send the arbor down and the bar up."),
    ("Test the balance by hand a little above the floor before it flies.",
     "What is wrong shows while it can still be held."),
)  # fmt: skip
UNLOADING = (
    ("Bar in at low trim, lock on, the rail manned.", "As above."),
    ("Take the weights out first, down to those of the bare bar.",
     "The load still on the bar holds it at the floor."),
    ("Then take the load off the bar.", "Load off first leaves the arbor heavy: it runs away."),
)  # fmt: skip


def order_table(without_load: Runaway | None) -> Table:
    """The steps in words; the runaway figure is the reason."""
    reason = ""
    if without_load:
        reason = (
            f" Let go with the load off and the weights in, the bar goes up at "
            f"{both_habits(without_load.speed, 'm/s', 3)} by the end of its travel, "
            f"{without_load.seconds:.1f} s later."
        )
    steps = [("Load", *step) for step in LOADING] + [("Unload", *step) for step in UNLOADING]
    rows = [(f"{word} {i + 1}", do, why) for i, (word, do, why) in enumerate(steps[:4])]
    rows += [(f"{word} {i + 1}", do, why) for i, (word, do, why) in enumerate(steps[4:])]
    rows[2] = (rows[2][0], rows[2][1], rows[2][2] + reason)
    rows[-1] = (rows[-1][0], rows[-1][1], rows[-1][2] + reason)
    return Table("Order of loading and unloading", ("Step", "What", "Why"), tuple(rows))
