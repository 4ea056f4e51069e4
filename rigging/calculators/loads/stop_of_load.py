"""What a stop or an emergency stop adds to a moving load. Pure."""

from __future__ import annotations

from fractions import Fraction

from rigging.calculators.contract import (
    ABOVE_ZERO,
    Answer,
    BadValue,
    Calculator,
    Example,
    ExampleClass,
    Figure,
    Given,
    Input,
    Missing,
    Rounding,
    Source,
)
from rigging.calculators.loads.stopping import (
    GRAVITY,
    IMPACT_ON_BATTENS,
    deceleration_in_distance,
    deceleration_in_time,
    dynamic_factor,
    lightest_factor,
)
from rigging.calculators.showing import both_habits, quantity_text

MECHANICS = Source("Mechanics, 1 + a ÷ g", "", "", "from memory")
STATE_CODE = Source(
    "A state's building code", "year not shown in the copy",
    "section 1607: 75 % impact on battens", "document",
)  # fmt: skip
ASSUMPTIONS = ("The stop brakes evenly over its time or its way.",)
LIMITS = (
    "A brake that bites at the end peaks higher; a rope that springs may add as much "
    "again. Measure with a load cell where it matters.",
    "Battens, blocks and steel each have their own impact rule in codes.",
)


def compute(given: Given) -> Answer:
    stop, how = _deceleration(given)
    if stop is None:
        what = "The deceleration of the stop"
        return Answer(cannot=(Missing(what, "the time or the distance of the stop", "time"),))
    factor = dynamic_factor(stop)
    figures = [
        Figure("factor", "Dynamic factor, stopping on the way down", factor, "x", Rounding.UP, 3),
        Figure("lightest", "Factor of the least pull, stopping on the way up",
               lightest_factor(stop), "x", Rounding.DOWN, 3),
        Figure("deceleration", "Deceleration over that of gravity", stop / GRAVITY, "x",
               Rounding.UP, 3),
    ]  # fmt: skip
    working = [how, f"factor = 1 + a ÷ g = 1 + {float(stop):.4g} ÷ 9.80665 = {float(factor):.4g}"]
    if "load" in given:
        load = given["load"]
        figures += [
            Figure("stopped", "Pull while it stops", load * factor, "kN", Rounding.UP),
            Figure("impact", "Load with 75 % for impact, as a state's code has it",
                   load * IMPACT_ON_BATTENS, "kN", Rounding.UP),
        ]  # fmt: skip
        working.append(
            f"pull = {given.words('load')} × {float(factor):.4g} = "
            f"{both_habits(load * factor, 'kN')}"
        )
    return Answer(
        figures=tuple(figures), working=tuple(working), warnings=_warnings(stop),
        assumptions=ASSUMPTIONS,
        limits=LIMITS,
    )  # fmt: skip


def _deceleration(given: Given) -> tuple[Fraction | None, str]:
    speed = given["speed"]
    if "time" in given and "distance" in given:
        raise BadValue("distance", "Type the time or the distance of the stop, not both.")
    if "time" in given:
        found = deceleration_in_time(speed, given["time"])
        how = f"a = v ÷ t = {given.words('speed')} ÷ {given.words('time')}"
    elif "distance" in given:
        found = deceleration_in_distance(speed, given["distance"])
        how = f"a = v² ÷ (2·s) = ({given.words('speed')})² ÷ (2 × {given.words('distance')})"
    else:
        return None, ""
    return found, f"{how} = {quantity_text(found, 'm/s')} each second"


def _warnings(stop: Fraction) -> tuple[str, ...]:
    if stop < GRAVITY:
        return ()
    return (
        "Stopping so hard on the way up throws the load: the rope goes slack and catches it, "
        "with far more than this factor.",
    )


CALCULATOR = Calculator(
    slug="stop-of-a-load",
    title="Stop of a moving load",
    family="Loads",
    purpose="How much more a line pulls while a moving load stops, also in an emergency stop.",
    inputs=(
        Input("speed", "Speed", "speed", "1.2 m/s, 240 fpm", bounds=ABOVE_ZERO),
        Input("time", "Time of the stop", "time", "0.25 s", optional=True, bounds=ABOVE_ZERO),
        Input(
            "distance", "Distance of the stop", "length", "50 mm, 2 in", optional=True,
            bounds=ABOVE_ZERO,
        ),
        Input(
            "load", "Load at rest", "load", "500 kg, 200 lb", optional=True, bounds=ABOVE_ZERO
        ),
    ),
    compute=compute,
    sources=(MECHANICS, STATE_CODE),
    examples=(
        Example(
            "1.2 m/s in a quarter of a second", {"speed": "1.2 m/s", "time": "0.25 s"},
            MECHANICS, ExampleClass.FROM_MEMORY, {"factor": "1.49 x"},
        ),
        Example(
            "0.6 m/s within 50 mm", {"speed": "0.6 m/s", "distance": "50 mm"}, MECHANICS,
            ExampleClass.FROM_MEMORY, {"factor": "1.37 x"},
        ),
        Example(
            "Impact on a batten, 100 lb",
            {"speed": "1 m/s", "time": "1 s", "load": "100 lb"}, STATE_CODE, ExampleClass.PRINTED,
            {"impact": "175 lb"}, note="75 % of the load, as printed.",
        ),
    ),
)  # fmt: skip
