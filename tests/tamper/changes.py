"""The single changes by somebody who touches nothing else: each alters a copy of the bundle and says what it did."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from random import Random

from tests.tamper import papers
from tests.tamper.evidence import Evidence
from tests.tamper.parts import (
    TABLES,
    a_full_table,
    change_cell,
    files_of,
    log_of,
    longer_competence,
    other_competence_dates,
    other_line,
    remove_row,
    write_log,
    write_table,
)

Change = Callable[[Path, Random, Evidence], str]


def flip_a_bit(bag: Path, random: Random, _: Evidence) -> str:
    return _flip(random.choice(files_of(bag)), random)


def flip_a_bit_of_a_report(bag: Path, random: Random, _: Evidence) -> str:
    return _flip(random.choice(files_of(bag, "data/reports/*.pdf")), random)


def flip_a_bit_of_a_photograph(bag: Path, random: Random, _: Evidence) -> str:
    return _flip(random.choice(files_of(bag, "data/photographs/**/*")), random)


def flip_a_bit_of_the_signature(bag: Path, random: Random, _: Evidence) -> str:
    return _flip(bag / "signatures" / "tagmanifest-sha256.txt.p7s", random)


def _flip(path: Path, random: Random) -> str:
    content = bytearray(path.read_bytes())
    place, bit = random.randrange(len(content)), random.randrange(8)
    content[place] ^= 1 << bit
    path.write_bytes(content)
    return f"bit {bit} of byte {place} of {path.name}"


def cut_off(bag: Path, random: Random, _: Evidence) -> str:
    path = random.choice(files_of(bag))
    content = path.read_bytes()
    path.write_bytes(content[: random.randrange(len(content))])
    return f"the end of {path.name}"


def add_bytes(bag: Path, random: Random, _: Evidence) -> str:
    path = random.choice(files_of(bag))
    path.write_bytes(path.read_bytes() + random.randbytes(random.randint(1, 20)))
    return f"something after {path.name}"


def remove_a_file(bag: Path, random: Random, _: Evidence) -> str:
    path = random.choice(files_of(bag))
    path.unlink()
    return f"{path.name} removed"


def add_a_file(bag: Path, random: Random, _: Evidence) -> str:
    folder = random.choice(sorted({path.parent for path in files_of(bag)}))
    name = f"note-{random.randrange(1000)}.txt"
    (folder / name).write_text("Examined again, in order.\n")
    return f"{name} added to {folder.name}"


def rename_a_file(bag: Path, random: Random, _: Evidence) -> str:
    path = random.choice(files_of(bag))
    path.rename(path.with_name(f"old-{path.name}"))
    return f"{path.name} renamed"


def swap_two_photographs(bag: Path, random: Random, _: Evidence) -> str:
    one, other = random.sample(files_of(bag, "data/photographs/*"), 2)
    first, second = one.read_bytes(), other.read_bytes()
    one.write_bytes(second)
    other.write_bytes(first)
    return f"{one.name[:8]} and {other.name[:8]} swapped"


def remove_a_row(bag: Path, random: Random, _: Evidence) -> str:
    return remove_row(bag, random, TABLES)


def change_a_cell(bag: Path, random: Random, _: Evidence) -> str:
    return change_cell(bag, random, TABLES)


def double_a_row(bag: Path, random: Random, _: Evidence) -> str:
    name, rows = a_full_table(bag, random, TABLES)
    write_table(bag, name, [*rows, random.choice(rows[1:])])
    return f"a row of {name}.csv doubled"


def change_a_competence_date(bag: Path, random: Random, _: Evidence) -> str:
    return longer_competence(bag, random)


def change_the_table_of_competences(bag: Path, random: Random, _: Evidence) -> str:
    return other_competence_dates(bag, random)


def remove_a_line_of_the_log(bag: Path, random: Random, _: Evidence) -> str:
    lines = log_of(bag)
    gone = random.randrange(len(lines))
    write_log(bag, lines[:gone] + lines[gone + 1 :])
    return f"log line {gone + 1} removed"


def roll_back_the_log(bag: Path, random: Random, _: Evidence) -> str:
    lines = log_of(bag)
    left = random.randrange(1, len(lines))
    write_log(bag, lines[:left])
    return f"the log ends after line {left}"


def change_a_line_of_the_log(bag: Path, random: Random, _: Evidence) -> str:
    lines = log_of(bag)
    at = random.randrange(len(lines))
    write_log(bag, [*lines[:at], other_line(lines[at], random), *lines[at + 1 :]])
    return f"log line {at + 1} changed"


def append_to_a_report(bag: Path, random: Random, _: Evidence) -> str:
    path = random.choice(files_of(bag, "data/reports/*.pdf"))
    how = random.choice(sorted(papers.APPENDED))
    path.write_bytes(papers.APPENDED[how](path.read_bytes()))
    return f"{path.name}: {how}"


def cut_off_a_countersignature(bag: Path, random: Random, _: Evidence) -> str:
    """What is left is a whole, valid report with one signature less."""
    path = random.choice(files_of(bag, "data/reports/*-countersigned-1.pdf"))
    path.write_bytes(path.with_name(path.name.replace("-countersigned-1", "")).read_bytes())
    return f"{path.name} without its countersignature"


PLAIN: dict[str, Change] = {
    "a bit of any file": flip_a_bit,
    "a bit of a report": flip_a_bit_of_a_report,
    "a bit of a photograph": flip_a_bit_of_a_photograph,
    "a bit of the seal's signature": flip_a_bit_of_the_signature,
    "a file cut off": cut_off,
    "bytes after a file": add_bytes,
    "a file removed": remove_a_file,
    "a file added": add_a_file,
    "a file renamed": rename_a_file,
    "two photographs swapped": swap_two_photographs,
    "a row removed": remove_a_row,
    "a row doubled": double_a_row,
    "a cell changed": change_a_cell,
    "a competence date changed": change_a_competence_date,
    "the dates of a competence changed": change_the_table_of_competences,
    "a line of the log removed": remove_a_line_of_the_log,
    "the log rolled back": roll_back_the_log,
    "a line of the log changed": change_a_line_of_the_log,
    "an update appended to a report": append_to_a_report,
    "a countersignature cut off": cut_off_a_countersignature,
}
