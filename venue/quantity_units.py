"""The closed list of units this book reads and shows. Pure.

Every factor is exact. Sources of the defined ones: 1 in = 0.0254 m, 1 lb = 0.45359237 kg
(international yard and pound agreement, 1959); standard gravity 9.80665 m/s2 (third general
conference on weights and measures, 1901). All others follow from these by arithmetic; the tests
compare each with an independent program. `ucum` is the code of the unit in the Unified Code for
Units of Measure, for exports.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import cache

INCH = Fraction(254, 10_000)
FOOT = 12 * INCH
POUND = Fraction(45_359_237, 100_000_000)
GRAVITY = Fraction(980_665, 100_000)
POUND_FORCE = POUND * GRAVITY
MINUTE = Fraction(60)


@dataclass(frozen=True)
class Unit:
    """One unit. `factor` turns a value in this unit into SI. Values on different scales of one
    dimension (an obscuration per foot and one per metre) have no common factor, so they are
    never converted into each other."""

    code: str
    label: str
    dimension: str
    factor: Fraction
    ucum: str
    spellings: tuple[str, ...] = ()  # typed forms beside the code; capitals do not matter
    exact_spellings: tuple[str, ...] = ()  # typed forms in which capitals do matter
    also: tuple[str, ...] = ()  # other dimensions that take this unit
    scale: str = ""

    def serves(self, dimension: str) -> bool:
        """Whether a field of that dimension takes this unit."""
        return dimension == self.dimension or dimension in self.also


LENGTHS = (
    Unit("mm", "mm", "length", Fraction(1, 1000), "mm"),
    Unit("cm", "cm", "length", Fraction(1, 100), "cm"),
    Unit("m", "m", "length", Fraction(1), "m", ("metre", "metres", "meter", "meters")),
    Unit("in", "in", "length", INCH, "[in_i]", ('"', "inch", "inches", "in.")),
    Unit("ft", "ft", "length", FOOT, "[ft_i]", ("'", "foot", "feet", "ft.")),
)
MASSES = (
    Unit("kg", "kg", "mass", Fraction(1), "kg", ("kgs",)),
    Unit("g", "g", "mass", Fraction(1, 1000), "g"),
    # A capital T is how many people write a US ton, so only the small letter is the tonne.
    Unit("t", "t", "mass", Fraction(1000), "t", ("tonne", "tonnes"), exact_spellings=("t",)),
    Unit("lb", "lb", "mass", POUND, "[lb_av]", ("lbs", "lb.", "pound", "pounds")),
)
FORCES = (
    Unit("kN", "kN", "force", Fraction(1000), "kN"),
    Unit("N", "N", "force", Fraction(1), "N", ("newton", "newtons")),
    Unit("daN", "daN", "force", Fraction(10), "daN"),
    Unit("kgf", "kgf", "force", GRAVITY, "kgf"),
    Unit("lbf", "lbf", "force", POUND_FORCE, "[lbf_av]"),
    Unit("kip", "kip", "force", 1000 * POUND_FORCE, "10*3.[lbf_av]", ("kips",)),
)
SPEEDS = (
    Unit("m/s", "m/s", "speed", Fraction(1), "m/s"),
    Unit("mm/s", "mm/s", "speed", Fraction(1, 1000), "mm/s"),
    Unit("m/min", "m/min", "speed", 1 / MINUTE, "m/min"),
    Unit("mm/min", "mm/min", "speed", Fraction(1, 1000) / MINUTE, "mm/min"),
    Unit("ft/min", "ft/min", "speed", FOOT / MINUTE, "[ft_i]/min", ("fpm",)),
    Unit("ft/s", "ft/s", "speed", FOOT, "[ft_i]/s", ("fps",)),
    Unit("in/s", "in/s", "speed", INCH, "[in_i]/s"),
)
ANGLES = (Unit("deg", "°", "angle", Fraction(1), "deg", ("°", "degree", "degrees", "º")),)
TIMES = (
    Unit("s", "s", "time", Fraction(1), "s", ("sec", "second", "seconds")),
    Unit("ms", "ms", "time", Fraction(1, 1000), "ms"),
    Unit("min", "min", "time", MINUTE, "min", ("minute", "minutes", "mins")),
    Unit("h", "h", "time", Fraction(3600), "h", ("hr", "hour", "hours", "hrs")),
    Unit("d", "d", "time", Fraction(86_400), "d", ("day", "days")),
    # The Julian year of 365.25 days; a due date is never computed with it.
    Unit("a", "years", "time", Fraction(31_557_600), "a", ("year", "years")),
)
PRESSURES = (
    Unit("kN/m2", "kN/m²", "pressure", Fraction(1000), "kN/m2", ("kn/m^2",)),
    Unit("N/m2", "N/m²", "pressure", Fraction(1), "N/m2", ("n/m^2",)),
    Unit("kgf/m2", "kgf/m²", "pressure", GRAVITY, "kgf/m2", ("kg/m2", "kg/m^2")),
    Unit(
        "lbf/ft2", "lbf/ft²", "pressure", POUND_FORCE / FOOT**2, "[lbf_av]/[ft_i]2",
        ("lb/ft2", "lb/ft^2", "lbf/ft^2", "lb/sq ft", "lbf/sq ft", "psf"),
    ),
    Unit("Pa", "Pa", "pressure", Fraction(1), "Pa"),
    Unit("kPa", "kPa", "pressure", Fraction(1000), "kPa"),
    Unit("MPa", "MPa", "pressure", Fraction(1_000_000), "MPa", ("n/mm2", "n/mm^2")),
    Unit("bar", "bar", "pressure", Fraction(100_000), "bar"),
    Unit(
        "lbf/in2", "lbf/in²", "pressure", POUND_FORCE / INCH**2, "[psi]",
        ("lb/in2", "lb/in^2", "lbf/in^2", "lb/sq in", "psi"),
    ),
)  # fmt: skip
TORQUES = (
    Unit("N m", "N m", "torque", Fraction(1), "N.m", ("nm", "n.m", "n·m")),
    Unit("kN m", "kN m", "torque", Fraction(1000), "kN.m", ("knm", "kn.m", "kn·m")),
    Unit(
        "lbf ft", "lbf ft", "torque", POUND_FORCE * FOOT, "[lbf_av].[ft_i]",
        ("ft lbf", "ft lb", "lb ft", "ft-lb", "lb-ft", "lbf-ft", "ft-lbf", "lbf.ft", "lbf·ft"),
    ),
    Unit(
        "lbf in", "lbf in", "torque", POUND_FORCE * INCH, "[lbf_av].[in_i]",
        ("in lbf", "in lb", "lb in", "in-lb", "lb-in", "lbf-in", "in-lbf", "lbf.in", "lbf·in"),
    ),
)  # fmt: skip
ELECTRICAL = (
    Unit("A", "A", "current", Fraction(1), "A", ("amp", "amps")),
    Unit("mA", "mA", "current", Fraction(1, 1000), "mA"),
    Unit("ohm", "Ω", "resistance", Fraction(1), "Ohm", ("Ω", "ohms")),
    Unit("kohm", "kΩ", "resistance", Fraction(1000), "kOhm", ("kΩ", "kohms")),
    # mΩ and MΩ differ a thousandmillionfold by one capital: these two are read to the letter.
    Unit("mohm", "mΩ", "resistance", Fraction(1, 1000), "mOhm", (), ("mohm", "mΩ", "mOhm")),
    Unit("Mohm", "MΩ", "resistance", Fraction(1_000_000), "MOhm", (), ("Mohm", "MΩ", "MOhm")),
    Unit("V", "V", "voltage", Fraction(1), "V", ("volt", "volts")),
    Unit("Hz", "Hz", "frequency", Fraction(1), "Hz"),
)
AREAS = (
    Unit("mm2", "mm²", "area", Fraction(1, 1_000_000), "mm2", ("mm^2", "sq mm")),
    Unit("cm2", "cm²", "area", Fraction(1, 10_000), "cm2", ("cm^2",)),
    Unit("m2", "m²", "area", Fraction(1), "m2", ("m^2", "sq m")),
    Unit("in2", "in²", "area", INCH**2, "[in_i]2", ("in^2", "sq in")),
    Unit("ft2", "ft²", "area", FOOT**2, "[ft_i]2", ("ft^2", "sq ft")),
)
LINE_LOADS = (
    Unit("kg/m", "kg/m", "mass per length", Fraction(1), "kg/m"),
    Unit("lb/ft", "lb/ft", "mass per length", POUND / FOOT, "[lb_av]/[ft_i]", ("plf",)),
    Unit("kN/m", "kN/m", "line load", Fraction(1000), "kN/m"),
    Unit("N/m", "N/m", "line load", Fraction(1), "N/m"),
    Unit("lbf/ft", "lbf/ft", "line load", POUND_FORCE / FOOT, "[lbf_av]/[ft_i]"),
)
LIGHTS = (
    Unit("lx", "lx", "illuminance", Fraction(1), "lx", ("lux",)),
    # One lumen on a square foot.
    Unit("fc", "fc", "illuminance", 1 / FOOT**2, "lm/[ft_i]2", ("footcandle", "foot-candle")),
)
NUMBERS = (
    Unit("%", "%", "ratio", Fraction(1, 100), "%", ("percent", "per cent"), (), ("obscuration",)),
    Unit("x", "×", "ratio", Fraction(1), "1", ("×", "times")),
    Unit("1", "", "count", Fraction(1), "1"),
)
# Light lost in a whole beam is "%" above. Per foot, per metre and decibels are other scales:
# passing from one to another is not a multiplication.
OBSCURATIONS = (
    Unit(
        "%/ft", "%/ft", "obscuration", Fraction(1, 100), "%/[ft_i]", ("% per ft", "%/foot"),
        scale="obscuration per foot",
    ),
    Unit(
        "%/m", "%/m", "obscuration", Fraction(1, 100), "%/m", ("% per m",),
        scale="obscuration per metre",
    ),
    Unit("dB", "dB", "obscuration", Fraction(1), "dB", scale="decibels"),
    Unit("dB/m", "dB/m", "obscuration", Fraction(1), "dB/m", scale="decibels per metre"),
)  # fmt: skip

UNITS: dict[str, Unit] = {
    unit.code: unit
    for group in (
        LENGTHS, MASSES, FORCES, SPEEDS, ANGLES, TIMES, PRESSURES, TORQUES, ELECTRICAL, AREAS,
        LINE_LOADS, LIGHTS, NUMBERS, OBSCURATIONS,
    )
    for unit in group
}  # fmt: skip
DIMENSIONS = tuple(dict.fromkeys(unit.dimension for unit in UNITS.values()))


@cache
def units_of(dimension: str) -> tuple[Unit, ...]:
    """The units a field of that dimension takes, in the order they are offered."""
    return tuple(unit for unit in UNITS.values() if unit.serves(dimension))


def find_unit(text: str, dimension: str) -> Unit | None:
    """The unit typed, or None. Capitals do not matter except where two units differ by one."""
    typed = " ".join(text.replace("²", "2").split())
    exact, folded = _spellings(dimension)
    return exact.get(typed) or folded.get(typed.casefold())


@cache
def _spellings(dimension: str) -> tuple[dict[str, Unit], dict[str, Unit]]:
    """Every spelling with its unit: those read to the letter, and those in small letters."""
    exact: dict[str, Unit] = {}
    folded: dict[str, Unit] = {}
    for unit in units_of(dimension):
        for spelling in (unit.code, *unit.exact_spellings):
            exact.setdefault(spelling, unit)
        for spelling in (*unit.spellings, *(() if unit.exact_spellings else (unit.code,))):
            folded.setdefault(spelling.casefold(), unit)
    return exact, folded
