"""The ropes of a thing, from the columns that speak of ropes in the row of the thing. Pure.

Such a row tells of all its ropes at once: each of its lines gets a rope with the same figures, to be
put right on the rope's own page where one differs.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from venue.kind_files import Kind, part_kinds
from venue.register.columns import FIELD, PART
from venue.register.guard import NOT_KNOWN
from venue.spreadsheet.row_shapes import Typed
from venue.spreadsheet.targets import ROPE, ROPE_KIND
from venue.spreadsheet.values import Reader, Value

MOST_LINES = 40
COUNTED_BY = ("lift_line_count", "line_count", "drum_count")


@dataclass(frozen=True)
class Unread:
    typed: Typed
    doubt: str


@dataclass
class Ropes:
    rows: list[dict[str, str]] = field(default_factory=list)
    unread: list[Unread] = field(default_factory=list)
    unfilled: dict[tuple[str, str], int] = field(default_factory=dict)


def rope_rows(
    cells: Mapping[str, str],
    kind: Kind,
    typed: Mapping[str, list[Typed]],
    reader: Reader,
    common: Mapping[str, str],
) -> Ropes:
    """No rope where the file says nothing of any, or where the kind has none."""
    said = {target: those[0] for target, those in typed.items() if target.startswith(ROPE)}
    found = Ropes()
    if said and ROPE_KIND not in {slot.kind for slot in kind.part_kinds}:
        found.unread = [Unread(one, "this kind has no wire rope") for one in said.values()]
        return found
    rope = _figures(said, reader, found)
    if not rope:
        return found
    lines = _lines(cells)
    for one in part_kinds()[ROPE_KIND].fields:
        if one.required and FIELD + one.name not in rope:
            found.unfilled[ROPE_KIND, one.name] = lines
            rope[FIELD + one.name] = common.get(f"{ROPE_KIND}.{one.name}", "") or NOT_KNOWN
    head = {"row": PART, "tag": cells["tag"], "kind": ROPE_KIND}
    found.rows = [head | {"part code": f"line {number}"} | rope for number in range(1, lines + 1)]
    return found


def _figures(said: Mapping[str, Typed], reader: Reader, found: Ropes) -> dict[str, str]:
    rope: dict[str, str] = {}
    for target, one in said.items():
        name = target.removeprefix(ROPE)
        value = _value(name, one, reader)
        if value.text:
            rope[name if name in ("identifier", "installed on") else FIELD + name] = value.text
        else:
            found.unread.append(Unread(one, value.doubt))
    return rope


def _value(name: str, typed: Typed, reader: Reader) -> Value:
    if name == "identifier":
        return Value(typed.text[:120])
    if name == "installed on":
        return reader.day(typed.text)
    own = part_kinds()[ROPE_KIND].field(name)
    assert own is not None, name
    return reader.field(own, typed.text, typed.unit)


def _lines(cells: Mapping[str, str]) -> int:
    """How many lines the thing has, by the field of its kind that counts them; one at least."""
    for name in COUNTED_BY:
        text = cells.get(FIELD + name, "")
        if text.isdigit() and 0 < int(text) <= MOST_LINES:
            return int(text)
    return 1
