"""How many broken wires lie in the worst window of a criterion: bounds that can be proven. Pure.

Method: our own arithmetic. Windows are closed; n wires in the worst window of length c mean, in
the worst window of length w, at least n and at most n x ceil(w/c) if c <= w, and at most n and at
least n / ceil(c/w), rounded up, if c > w. None in the worst window means none at all.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, lcm

from rigging.engine.adjacency import most_adjacent
from rigging.engine.bounds import Bounds, combine
from rigging.engine.observation import BrokenWire, RopeObservation, Window, WireCount
from rigging.engine.rope import FACT_WORDS, RopeFacts
from venue.quantities import Quantity

ZONE_WORDS = {
    "crown": "on the crowns",
    "valley": "in the valleys between strands",
    "termination": "at an end connection",
}


@dataclass(frozen=True)
class Wanted:
    """Which broken wires a criterion counts."""

    window: Window
    only: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    per_strand: bool = False
    adjacent: bool = False  # side by side in one strand

    @property
    def words(self) -> str:
        """What is counted, for the eye and for the list of missing things."""
        zones = " or ".join(ZONE_WORDS[zone] for zone in self.only)
        away = " or ".join(ZONE_WORDS[zone] for zone in self.without)
        parts = ["broken wires", zones, f"not {away}" if away else ""]
        grouped = "side by side in one strand" if self.adjacent else "in one strand"
        parts.append(grouped if self.adjacent or self.per_strand else "")
        return " ".join([part for part in parts if part] + [window_words(self.window)])


def window_words(window: Window) -> str:
    """A window in words.

    >>> window_words(("diameters", 6)), window_words(("lay", 1))
    ('in 6 rope diameters', 'in one lay')
    """
    kind, amount = window
    if kind == "lay":
        return "in one lay" if amount == 1 else f"in {amount} lays"
    if kind == "diameters":
        return f"in {amount} rope diameters"
    return "anywhere on the rope" if kind == "whole_rope" else f"in {amount}"


def count_bounds(rope: RopeFacts, seen: RopeObservation, wanted: Wanted) -> Bounds:
    """At least and at most how many broken wires lie in the worst window.

    >>> seen = RopeObservation(counts=(WireCount(0, ("lay", 1)),))
    >>> count_bounds(RopeFacts(), seen, Wanted(("diameters", 30))).high
    Fraction(0, 1)
    """
    sources = [_from_count(rope, seen, count, wanted) for count in seen.counts]
    if seen.broken_wires:
        sources.append(_from_wires(rope, seen.broken_wires, wanted))
    told = [source for source in sources if source is not None]
    if not told:
        return Bounds(Fraction(0), None, (f"the number of {wanted.words}, at the worst place",))
    found = combine(told)
    if found.exact:
        return Bounds(found.low, found.high, (), found.notes)
    return Bounds(found.low, found.high, found.missing or _worst_place(wanted), found.notes)


def _worst_place(wanted: Wanted) -> tuple[str, ...]:
    return (f"the number of {wanted.words}, at the worst place",)


def length_of(window: Window, rope: RopeFacts) -> Fraction | None:
    """The length of a window in metres, or None where the rope's fact is missing."""
    kind, amount = window
    if isinstance(amount, Quantity):
        return amount.si
    unit = {"lay": rope.lay_length, "diameters": rope.nominal_diameter}.get(kind)
    return None if unit is None or amount is None else amount * unit.si


def _ratio(counted: Window, wanted: Window, rope: RopeFacts) -> Fraction | None:
    """Length of the counted window over that of the wanted one, or None if not known."""
    kinds = {counted[0], wanted[0]}
    if len(kinds) == 1 and kinds <= {"lay", "diameters"}:
        return Fraction(counted[1], wanted[1])  # type: ignore[arg-type]
    lengths = length_of(counted, rope), length_of(wanted, rope)
    return None if None in lengths else lengths[0] / lengths[1]  # type: ignore[operator]


def missing_lengths(rope: RopeFacts, *windows: Window) -> tuple[str, ...]:
    kinds = {window[0] for window in windows}
    facts = {"lay": "lay_length", "diameters": "nominal_diameter"}
    return tuple(
        FACT_WORDS[fact]
        for kind, fact in facts.items()
        if kind in kinds and getattr(rope, fact) is None
    )


def _moved(number: int, counted: Window, wanted: Window, rope: RopeFacts) -> Bounds:
    """The bounds in the wanted window of a number counted in another one."""
    same, some = Fraction(number), Fraction(min(1, number))
    if number == 0 or counted == wanted:
        return Bounds(same, same)
    if counted[0] == "whole_rope":
        return Bounds(some, same, _worst_place(Wanted(wanted)))
    if wanted[0] == "whole_rope":
        return Bounds(same, None, _worst_place(Wanted(wanted)))
    ratio = _ratio(counted, wanted, rope)
    if ratio is None:
        return Bounds(some, None, missing_lengths(rope, counted, wanted))
    if ratio <= 1:
        return Bounds(same, Fraction(number * ceil(1 / ratio)))
    return Bounds(Fraction(ceil(Fraction(number, ceil(ratio)))), same)


def _from_count(
    rope: RopeFacts, seen: RopeObservation, count: WireCount, wanted: Wanted
) -> Bounds | None:
    """What one count says of the wanted number; None if it says nothing."""
    total = _moved(count.number, count.window, wanted.window, rope)
    if wanted.adjacent:
        total = _side_by_side(rope, count, wanted, total)
    elif wanted.per_strand:
        total = _one_strand(rope, count, wanted, total)
    if count.zone is None and not wanted.only and not wanted.without:
        return total
    if count.zone is None:
        return _part_of_all(rope, seen, wanted, total)
    if count.zone in wanted.without or (wanted.only and count.zone not in wanted.only):
        return None
    # One zone counted: all of the wanted ones, or at least these.
    if wanted.only == (count.zone,):
        return total
    return Bounds(total.low, None, (f"the number of {wanted.words}, of every zone",))


def _one_strand(rope: RopeFacts, count: WireCount, wanted: Wanted, total: Bounds) -> Bounds:
    """The most in one strand: as counted, else between one and all of them."""
    if count.number == 0:
        return total
    if count.in_one_strand:
        return _moved(count.in_one_strand, count.window, wanted.window, rope)
    words = f"the most broken wires in one strand {window_words(wanted.window)}"
    return Bounds(Fraction(1), total.high, (words,))


def _side_by_side(rope: RopeFacts, count: WireCount, wanted: Wanted, total: Bounds) -> Bounds:
    """The most side by side: as counted in a window that is not shorter or longer than the
    wanted one, else between one and all of one strand."""
    strand = _one_strand(rope, count, wanted, total)
    if count.number == 0 or count.adjacent is None:
        low = min(Fraction(1), total.low)
        return Bounds(low, strand.high, _worst_place(wanted) if low != strand.high else ())
    number, ratio = Fraction(count.adjacent), _window_ratio(rope, count, wanted)
    if ratio == 1:
        return Bounds(number, number)
    if ratio is not None and ratio < 1:
        return Bounds(number, strand.high, _worst_place(wanted))
    return Bounds(Fraction(1), number if ratio else strand.high, _worst_place(wanted))


def _window_ratio(rope: RopeFacts, count: WireCount, wanted: Wanted) -> Fraction | None:
    whole = [window[0] == "whole_rope" for window in (count.window, wanted.window)]
    if any(whole):
        return Fraction(1) if all(whole) else Fraction(2) if whole[0] else Fraction(1, 2)
    return _ratio(count.window, wanted.window, rope)


def _part_of_all(rope: RopeFacts, seen: RopeObservation, wanted: Wanted, total: Bounds) -> Bounds:
    """Wires of all zones were counted, some zones are wanted."""
    low = Fraction(0)
    if wanted.without and not (wanted.only or wanted.per_strand or wanted.adjacent):
        away = [_zone_high(rope, seen, wanted.window, zone) for zone in wanted.without]
        if None not in away:
            low = max(low, total.low - sum(away))  # type: ignore[arg-type]
    zones = " or ".join(ZONE_WORDS[zone] for zone in wanted.only or wanted.without)
    return Bounds(low, total.high, (f"how many of the broken wires are {zones}",))


def _zone_high(
    rope: RopeFacts, seen: RopeObservation, window: Window, zone: str
) -> Fraction | None:
    counts = [count for count in seen.counts if count.zone == zone]
    highs = [_moved(count.number, count.window, window, rope).high for count in counts]
    known = [high for high in highs if high is not None]
    return min(known) if known else None


def _from_wires(rope: RopeFacts, wires: Sequence[BrokenWire], wanted: Wanted) -> Bounds:
    """Slide the window over the listed wires; a wire of unknown zone or strand may count."""
    possible = [wire for wire in wires if _may_count(wire, wanted)]
    certain = [wire for wire in possible if wire.zone or not (wanted.only or wanted.without)]
    whole = wanted.window[0] == "whole_rope"
    length = length_of(wanted.window, rope)
    unknown = length is None and not whole
    if wanted.adjacent:
        return _adjacent_of(certain, possible, Fraction(0) if unknown else length, length, wanted)
    low = _densest(certain, Fraction(0) if unknown else length, wanted.per_strand, certainly=True)
    high = _densest(possible, length, wanted.per_strand, certainly=False)
    missing: tuple[str, ...] = missing_lengths(rope, wanted.window) if unknown else ()
    if len(certain) < len(possible):
        missing += ("the zone of every broken wire listed",)
    if wanted.per_strand and any(wire.strand is None for wire in possible):
        missing += ("the strand of every broken wire listed",)
    return Bounds(Fraction(low), Fraction(high), missing)


def _adjacent_of(
    certain: Sequence[BrokenWire], possible: Sequence[BrokenWire], least: Fraction | None,
    most: Fraction | None, wanted: Wanted,
) -> Bounds:  # fmt: skip
    """Side by side for certain; at most all of one strand where a wire has no number."""
    low = Fraction(most_adjacent(certain, least))
    if all(wire.strand is not None and wire.wire is not None for wire in possible):
        high = Fraction(most_adjacent(possible, most))
    else:
        high = Fraction(_densest(possible, most, per_strand=True, certainly=False))
    missing = ("which of the broken wires listed lie side by side in one strand",)
    return Bounds(low, high, missing if low != high else ())


def _may_count(wire: BrokenWire, wanted: Wanted) -> bool:
    if wire.zone is None:
        return True
    return wire.zone not in wanted.without and (not wanted.only or wire.zone in wanted.only)


def _densest(
    wires: Sequence[BrokenWire], length: Fraction | None, per_strand: bool, certainly: bool
) -> int:
    """The most wires in one window; `length` None means the whole rope."""
    if not per_strand:
        return most_in_window([wire.position.si for wire in wires], length)
    strands = {wire.strand for wire in wires if wire.strand is not None} or {None}  # type: ignore[arg-type]
    if certainly and strands == {None}:
        return min(1, len(wires))
    also = () if certainly else (None,)
    return max(
        most_in_window([w.position.si for w in wires if w.strand in (strand, *also)], length)
        for strand in strands
    )


def most_in_window(positions: Sequence[Fraction], length: Fraction | None) -> int:
    """The most positions within one closed window of that length, wherever it lies.

    Limits: exact positions. Source: our own arithmetic.

    >>> most_in_window([Fraction(0), Fraction(1), Fraction(2)], Fraction(1))
    2
    """
    if length is None:
        return len(positions)
    # In whole numbers of the finest part that they all share: as exact, and many times quicker.
    finest = lcm(length.denominator, *(position.denominator for position in positions))
    ordered = sorted(each.numerator * (finest // each.denominator) for each in positions)
    reach = length.numerator * (finest // length.denominator)
    first, most = 0, 0
    for last, position in enumerate(ordered):
        while position - ordered[first] > reach:
            first += 1
        most = max(most, last - first + 1)
    return most
