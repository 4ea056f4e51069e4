"""Reading and writing the parts of an unpacked bundle."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path
from random import Random
from typing import Any

TABLES = ("records", "answers", "readings", "judgements", "findings", "orders", "remedies",
          "returns", "reports", "competences", "countersignatures", "photographs", "tasks", "signatures",
          "auditors_questions", "answers_to_auditors", "isolations", "retired_parts")  # fmt: skip


def files_of(bag: Path, pattern: str = "**/*") -> list[Path]:
    return sorted(path for path in bag.glob(pattern) if path.is_file() and path.stat().st_size)


def log_of(bag: Path) -> list[bytes]:
    return (bag / "data" / "log.jsonl").read_bytes().splitlines(keepends=True)


def write_log(bag: Path, lines: list[bytes]) -> None:
    (bag / "data" / "log.jsonl").write_bytes(b"".join(lines))


def other_line(line: bytes, random: Random) -> bytes:
    said: dict[str, Any] = json.loads(line)
    said["label"] = f"{said['label']} {random.randrange(100)}"
    return (
        json.dumps(said, ensure_ascii=False, sort_keys=True, separators=(",", ":")).encode() + b"\n"
    )


def table_of(bag: Path, name: str) -> list[list[str]]:
    text = (bag / "data" / f"{name}.csv").read_text(encoding="utf-8-sig")
    return list(csv.reader(io.StringIO(text, newline="")))


def write_table(bag: Path, name: str, rows: list[list[str]]) -> None:
    out = io.StringIO(newline="")
    csv.writer(out).writerows(rows)
    (bag / "data" / f"{name}.csv").write_text(
        "\ufeff" + out.getvalue(), encoding="utf-8", newline=""
    )


def a_full_table(bag: Path, random: Random, names: tuple[str, ...]) -> tuple[str, list[list[str]]]:
    full = [(name, rows) for name in names if len(rows := table_of(bag, name)) > 1]
    return random.choice(full)


def remove_row(bag: Path, random: Random, names: tuple[str, ...]) -> str:
    name, rows = a_full_table(bag, random, names)
    rows.pop(random.randrange(1, len(rows)))
    write_table(bag, name, rows)
    return f"a row of {name}.csv removed"


def change_cell(
    bag: Path,
    random: Random,
    names: Iterable[str],
    but: Mapping[str, Collection[str]] | None = None,
) -> str:
    """`but`: the columns to leave alone, by table."""
    name, rows = a_full_table(bag, random, tuple(names))
    alone = (but or {}).get(name, ())
    columns = [at for at, head in enumerate(rows[0]) if head not in alone]
    row, column = random.randrange(1, len(rows)), random.choice(columns)
    rows[row][column] = f"{rows[row][column]}7"
    write_table(bag, name, rows)
    return f"{name}.csv, row {row}: another {rows[0][column]}"


def longer_competence(bag: Path, random: Random) -> str:
    rows = table_of(bag, "records")
    column, row = rows[0].index("competence that day"), random.randrange(1, len(rows))
    rows[row][column] = rows[row][column].replace("2027", "2031")
    write_table(bag, "records", rows)
    return "a competence made to last longer"


def other_competence_dates(bag: Path, random: Random) -> str:
    """In the table of competences: begun sooner or ending later than was written down."""
    rows = table_of(bag, "competences")
    name = random.choice(("valid from", "valid until"))
    row, column = random.randrange(1, len(rows)), rows[0].index(name)
    rows[row][column] = f"{2010 if name == 'valid from' else 2040}{rows[row][column][4:]}"
    write_table(bag, "competences", rows)
    return f"a competence {name} another day"
