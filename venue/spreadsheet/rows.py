"""Rows of a spreadsheet turned into rows of a register file, one after another. Pure."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import dataclass, field
from datetime import date

from venue.kind_files import Kind, PartKind, kinds, part_kinds
from venue.register.columns import EQUIPMENT, FIELD, rated_column, source_column
from venue.register.guard import NOT_KNOWN
from venue.register.row_values import LONGEST_MADE_ON, LONGEST_NAME, LONGEST_NOTE, LONGEST_TAG
from venue.spreadsheet.kinds_of_rows import KindWords
from venue.spreadsheet.ropes import rope_rows
from venue.spreadsheet.row_shapes import LastLooked, Missing, Typed, UnderstoodRow
from venue.spreadsheet.saying import Said
from venue.spreadsheet.table import Table, TableRow
from venue.spreadsheet.targets import DAY, LAST_DONE, NOTE, NOTHING, RATED, ROPE
from venue.spreadsheet.values import Reader, Value
from venue.spreadsheet.words import guess_kind, means, standing_of, tag_letters

USUAL_PLACE = "The house"
BARE = re.compile(r"(\d{1,4}[A-Za-z]?)(?:\.0)?")
BETWEEN_NOTES = " · "
# Fields that say again what the tag says.
FROM_TAG = ("set_number", "anchor_number")
# One heading, "Lines", is one field of a set and another of a winch.
ALSO_CALLED = {"lift_line_count": "line_count", "line_count": "lift_line_count"}


@dataclass
class RowReader:
    """Reads row after row and knows the tags that are taken."""

    reader: Reader
    words: KindWords
    said: Said
    dialect: str
    held: set[str]
    done: list[UnderstoodRow] = field(default_factory=list)
    tags: dict[str, str] = field(default_factory=dict)  # folded tag -> where it stands
    unfilled: Counter[tuple[str, str]] = field(default_factory=Counter)

    def read(self, table: Table, targets: list[str], units: list[str]) -> None:
        for row in table.things:
            typed: dict[str, list[Typed]] = {}
            for place, target in enumerate(targets):
                text = " ".join(row.cells[place].split())
                if not means(text, "nothing") and target != NOTHING:
                    heading = table.headings[place] or f"Column {place + 1}"
                    typed.setdefault(target, []).append(Typed(heading, text, units[place]))
            if typed:
                self.done.append(self._read(table, row, typed))

    def _read(self, table: Table, row: TableRow, typed: dict[str, list[Typed]]) -> UnderstoodRow:
        found = UnderstoodRow(table.name, row.number)
        first = {target: cells[0] for target, cells in typed.items()}
        met = self.words.kind_of(
            _text(first, "kind"), _text(first, "name"), row.group, table.name or table.title
        )
        if met.is_out or not met.slug:
            found.out = "left out, as said above" if met.is_out else "no kind is known for it"
            found.cells = {"tag": _text(first, "tag"), "name": _text(first, "name") or met.word}
            return found
        kind = kinds()[met.slug]
        if not met.sure:
            found.doubts.append(f"“{met.word}” is taken for {kind.label(self.dialect).lower()}")
        found.cells = {"row": EQUIPMENT, "kind": kind.slug}
        self._identify(found, kind, first, row.group)
        for target, cells in typed.items():
            for one in cells:
                self._take(found, kind, target, one)
        self._complete(found, kind)
        self._conclude(found, kind, typed, f"row {row.number}")
        return found

    def _identify(
        self, found: UnderstoodRow, kind: Kind, first: dict[str, Typed], group: str
    ) -> None:
        text, letters = _text(first, "tag"), tag_letters()[kind.slug]
        bare = BARE.fullmatch(text)
        tag = f"{letters}{bare[1]}" if bare else text[:LONGEST_TAG]
        if not tag:
            tag = self._free_tag(letters)
            found.doubts.append(f"it has no tag in the file; {tag} is made up")
        found.cells["tag"] = tag
        for name in FROM_TAG:
            if kind.field(name):
                found.cells[FIELD + name] = text or tag
        label = kind.label(self.dialect)
        found.cells["name"] = (_text(first, "name") or f"{label} {text or tag}")[:LONGEST_NAME]
        around = [_text(first, "place above"), _text(first, "place")]
        place = " / ".join(one for one in around if one)
        place = place or ("" if guess_kind(group) else group)
        found.cells["place"] = place or self.said.place or USUAL_PLACE

    def _free_tag(self, letters: str) -> str:
        number = 1
        while f"{letters}{number}".casefold() in {*self.tags, *map(str.casefold, self.held)}:
            number += 1
        return f"{letters}{number}"

    def _take(self, found: UnderstoodRow, kind: Kind, target: str, typed: Typed) -> None:
        """One cell into its place in the row, or into the note."""
        if target in ("tag", "name", "kind", "place", "place above") or target.startswith(ROPE):
            return
        if target in ("serial", "made on"):
            found.cells[target] = typed.text[: LONGEST_MADE_ON if target == "made on" else 120]
            if target == "serial" and kind.field("serial_number"):
                found.cells[FIELD + "serial_number"] = found.cells[target]
        elif target == "standing":
            self._stand(found, typed)
        elif target == RATED:
            self._rate(found, kind, typed)
        elif target == DAY:
            self._date(found, kind, typed)
        elif target == LAST_DONE:
            self._look_back(found, typed)
        elif target.startswith(FIELD):
            self._fill(found, kind, target.removeprefix(FIELD), typed)
        else:
            assert target == NOTE, target
            found.keep(typed)

    def _look_back(self, found: UnderstoodRow, typed: Typed) -> None:
        """The day, for the plans: of two columns the older, since one of them may speak of less. It
        stays in the note as well: it is nobody's record."""
        value = self.reader.last_day(typed.text)
        found.keep(typed, "" if value.text else value.doubt)
        if value.text:
            look = LastLooked(date.fromisoformat(value.text), typed.heading[:120], typed.text[:120])
            if found.last is None or look.day < found.last.day:
                found.last = look
            if value.doubt:
                found.doubts.append(f"{typed.heading}: {value.doubt}")

    def _stand(self, found: UnderstoodRow, typed: Typed) -> None:
        if word := standing_of(typed.text):
            found.cells["standing"] = word
        else:
            found.keep(typed)

    def _fill(self, found: UnderstoodRow, kind: Kind, name: str, typed: Typed) -> None:
        field = kind.field(name) or kind.field(ALSO_CALLED.get(name, ""))
        if field is None:
            found.keep(typed)
            return
        value = self.reader.field(field, typed.text, typed.unit)
        self._put(found, FIELD + field.name, value, typed)

    def _put(self, found: UnderstoodRow, column: str, value: Value, typed: Typed) -> None:
        if value.text:
            found.cells[column] = value.text
        else:
            found.keep(typed, value.doubt)

    def _date(self, found: UnderstoodRow, kind: Kind, typed: Typed) -> None:
        if re.fullmatch(r"\d{4}", typed.text):
            found.cells.setdefault("made on", typed.text)
        elif kind.field("installed_on"):
            self._fill(found, kind, "installed_on", typed)
        else:
            found.keep(typed)

    def _rate(self, found: UnderstoodRow, kind: Kind, typed: Typed) -> None:
        """Which of several rated loads a bare column means, nobody can know: the first of the kind,
        with its source, and a doubt where there are more."""
        if not kind.rated_loads:
            found.keep(typed, "this kind has no rated load")
            return
        load = kind.rated_loads[0]
        usual = load.unit(self.reader.unit_habit)
        value = self.reader.quantity(typed.text, typed.unit, load.dimension, usual)
        self._put(found, rated_column(load.purpose), value, typed)
        if value.text:
            source = f"The house’s list, column “{typed.heading}”"
            found.cells[source_column(load.purpose)] = source[:200]
            if load.purpose != "whole":
                found.doubts.append(f"{typed.heading}: taken as “{load.label}”")

    def _complete(self, found: UnderstoodRow, kind: Kind) -> None:
        """What the kind needs and the row does not say: what holds for all, or that it is not known."""
        if found.tag in self.held:
            return
        for one in (each for each in kind.fields if each.required):
            if FIELD + one.name not in found.cells:
                self.unfilled[kind.slug, one.name] += 1
                said = self.said.common.get(f"{kind.slug}.{one.name}", "")
                found.cells[FIELD + one.name] = said or NOT_KNOWN

    def _conclude(
        self, found: UnderstoodRow, kind: Kind, typed: dict[str, list[Typed]], where: str
    ) -> None:
        folded = found.tag.casefold()
        if folded in self.tags:
            found.out = f"the tag {found.tag} stands in {self.tags[folded]} already"
            return
        self.tags[folded] = where
        ropes = rope_rows(found.cells, kind, typed, self.reader, self.said.common)
        found.parts = tuple(ropes.rows)
        for one in ropes.unread:
            found.keep(one.typed, one.doubt)
        self.unfilled.update(ropes.unfilled)
        if found.kept:
            note = BETWEEN_NOTES.join(f"{heading}: {text}" for heading, text in found.kept)
            found.cells["note"] = note[:LONGEST_NOTE]

    def missing(self) -> list[Missing]:
        """What no row or not every row says, the kinds in the order in which they were met."""
        every: dict[str, PartKind] = {**kinds(), **part_kinds()}
        found = []
        for (slug, name), rows in self.unfilled.items():
            field = every[slug].field(name)
            assert field is not None, name
            said = self.said.common.get(f"{slug}.{name}", "")
            found.append(Missing(slug, field, rows, said))
        return found


def _text(first: dict[str, Typed], target: str) -> str:
    return first[target].text if target in first else ""
