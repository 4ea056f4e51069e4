"""Turn what was typed about one rope into a raw observation. Pure."""

from __future__ import annotations

from collections.abc import Mapping

from inspections.answers import AS_ARRIVED, Measured, ReadAnswer, read_typed_quantity
from rigging.engine import BrokenWire, DiameterPair, RopeObservation, WireCount
from venue.quantities import Quantity, UnreadableQuantity, read_quantity

PLACES = (1, 2, 3)  # three places along the rope on the form; a rope certificate may carry more

# The conditions asked for, each with the words on screen. The names are the rule sets' own.
CONDITIONS = {
    "broken_strand": "A broken strand",
    "distortion": "Kink, crushing, birdcage or unstranding",
    "core_protrusion": "Core pushing out between the strands",
    "corrosion": "Rust or pitting",
    "heat_damage": "Heat, arc or weld marks",
    "power_line_contact": "Touched a power line at any time",
    "end_connection_damaged": "End fitting cracked, bent, worn or rusted",
    "end_connection_improper": "End fitting put on wrongly",
    "outer_wires_worn": "Outer wires worn away by a third of their diameter or more",
}

# The counts asked for: field, words, and the zone or grouping it means.
COUNTS = {
    "broken_lay": "Broken wires in the worst lay",
    "broken_strand_count": "Most broken wires in any one strand of any one lay",
    "broken_valley": "Broken wires in the valleys between strands, worst lay",
    "broken_end": "Broken wires at an end fitting",
}


def read_rope(answer: ReadAnswer, typed: Mapping[str, str]) -> None:
    """Diameter pairs, counts or single broken wires, conditions, instrument."""
    uncertainty = _uncertainty(answer, typed)
    pairs = [pair for place in PLACES if (pair := _pair(answer, typed, place))]
    if not pairs and not _has_fault(answer, "dia_"):
        answer.faults["dia_1_a"] = "Measure the rope twice, at right angles, at its worst place."
    counts, wires = _counts(answer, typed), _wires(answer, typed)
    if not counts and not wires and not _has_fault(answer, "broken_"):
        answer.faults["broken_lay"] = "Count the broken wires in the worst lay. None is 0."
    conditions = _conditions(answer, typed)
    if typed.get(AS_ARRIVED):
        _pass_over_what_is_missing(answer, typed)
    if answer.faults:
        return
    answer.given = "value"
    answer.observation = RopeObservation(
        broken_wires=tuple(wires),
        counts=tuple(counts),
        diameters=tuple(pairs),
        instrument=typed.get("instrument", "").strip(),
        instrument_uncertainty=uncertainty,
        conditions=conditions,
    )
    answer.measured = _measured(typed, pairs, uncertainty)


def _pass_over_what_is_missing(answer: ReadAnswer, typed: Mapping[str, str]) -> None:
    for name in [name for name in answer.faults if not typed.get(name, "").strip()]:
        del answer.faults[name]


def _pair(answer: ReadAnswer, typed: Mapping[str, str], place: int) -> DiameterPair | None:
    names = (f"dia_{place}_a", f"dia_{place}_b")
    if not any(typed.get(name, "").strip() for name in names):
        return None
    unit = typed.get("unit", "")
    first, second = (read_typed_quantity(answer, typed, name, "length", unit) for name in names)
    for name, reading in zip(names, (first, second), strict=True):
        if reading is not None and reading.si <= 0:
            answer.faults[name] = "A rope is thicker than nothing: measure it again."
    if first is None or second is None or first.si <= 0 or second.si <= 0:
        return None
    return DiameterPair(first, second, _position(answer, typed, f"dia_{place}_at"))


def _position(answer: ReadAnswer, typed: Mapping[str, str], name: str) -> Quantity | None:
    text = typed.get(name, "").strip()
    if not text:
        return None
    try:
        return read_quantity(text, "length")
    except UnreadableQuantity as fault:
        answer.faults[name] = str(fault)
        return None


def _uncertainty(answer: ReadAnswer, typed: Mapping[str, str]) -> Quantity | None:
    if not typed.get("uncertainty", "").strip():
        return None
    return read_typed_quantity(
        answer, typed, "uncertainty", "length", typed.get("unit", ""), far=False
    )


def _counts(answer: ReadAnswer, typed: Mapping[str, str]) -> list[WireCount]:
    numbers = {name: _number(answer, typed, name) for name in COUNTS}
    lay, strand = numbers["broken_lay"], numbers["broken_strand_count"]
    if lay is not None and strand is not None and strand > lay:
        answer.faults["broken_strand_count"] = (
            "One strand cannot have more broken wires than the worst lay."
        )
        return []
    counts = []
    if lay is not None:
        # With no broken wire at all, no strand can have one.
        counts.append(
            WireCount(number=lay, window=("lay", 1), in_one_strand=0 if lay == 0 else strand)
        )
    if numbers["broken_valley"] is not None:
        counts.append(WireCount(number=numbers["broken_valley"], window=("lay", 1), zone="valley"))
    if numbers["broken_end"] is not None:
        counts.append(
            WireCount(number=numbers["broken_end"], window=("lay", 1), zone="termination")
        )
    return counts


def _number(answer: ReadAnswer, typed: Mapping[str, str], name: str) -> int | None:
    text = typed.get(name, "").strip()
    if not text:
        return None
    if not is_whole(text) or len(text) > 4:
        answer.faults[name] = "Type a whole number; none is 0. Leave it empty if you did not count."
        return None
    return int(text)


def is_whole(text: str) -> bool:
    """Only the digits 0 to 9: other scripts' digits are not what the number reader knows."""
    return text.isascii() and text.isdecimal()


def _wires(answer: ReadAnswer, typed: Mapping[str, str]) -> list[BrokenWire]:
    wires = []
    for line in typed.get("wires", "").splitlines():
        if not line.strip():
            continue
        wire = _wire(answer, line)
        if wire is None:
            return []
        wires.append(wire)
    return wires


def _wire(answer: ReadAnswer, line: str) -> BrokenWire | None:
    """One line: place along the rope; strand number; crown, valley or termination."""
    cells = [cell.strip() for cell in line.split(";")]
    cells += [""] * (3 - len(cells))
    try:
        position = read_quantity(cells[0], "length")
    except UnreadableQuantity as fault:
        answer.faults["wires"] = (
            f"“{line.strip()}”: {fault} Write one wire a line: 12.5 m; 3; crown"
        )
        return None
    if cells[1] and (not is_whole(cells[1]) or int(cells[1]) == 0):
        answer.faults["wires"] = f"“{line.strip()}”: the strand is a whole number, from 1."
        return None
    if cells[2] not in ("", "crown", "valley", "termination"):
        answer.faults["wires"] = f"“{line.strip()}”: the zone is crown, valley or termination."
        return None
    strand = int(cells[1]) if cells[1] else None
    return BrokenWire(position=position, strand=strand, zone=cells[2] or None)


def _conditions(answer: ReadAnswer, typed: Mapping[str, str]) -> dict[str, bool | None]:
    """A box not ticked means "looked for and not seen" only if the person says they looked."""
    looked = typed.get("looked", "")
    if looked not in ("yes", "no"):
        answer.faults["looked"] = "Say whether you looked for these along the whole rope."
    unseen = False if looked == "yes" else None
    return {name: True if typed.get(f"cond_{name}") == "seen" else unseen for name in CONDITIONS}


def _measured(
    typed: Mapping[str, str], pairs: list[DiameterPair], uncertainty: Quantity | None
) -> list[Measured]:
    instrument = typed.get("instrument", "").strip()
    found = []
    for number, pair in enumerate(pairs, 1):
        found.append(Measured(f"diameter {number}, first way", pair.a, instrument, uncertainty))
        found.append(Measured(f"diameter {number}, across it", pair.b, instrument, uncertainty))
    return found


def _has_fault(answer: ReadAnswer, prefix: str) -> bool:
    return any(name.startswith(prefix) for name in answer.faults)
