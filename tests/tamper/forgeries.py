"""The same and worse by somebody who also makes the sums right: without a key, with a key and a
root of the same names, or in the house with its own key."""

from __future__ import annotations

import json
from hashlib import sha256
from pathlib import Path
from random import Random

from inspections.queries.evidence_rows import TALLIES
from tests.tamper.changes import (
    PLAIN,
    Change,
    append_to_a_report,
    change_the_table_of_competences,
    cut_off_a_countersignature,
    swap_two_photographs,
)
from tests.tamper.evidence import Evidence, head_at
from tests.tamper.parts import (
    TABLES,
    change_cell,
    files_of,
    log_of,
    longer_competence,
    other_line,
    table_of,
    write_log,
    write_table,
)
from tests.tamper.rebag import rebag, reseal


def _sealed_by_nobody(change: Change) -> Change:
    """As somebody without any key: the sums are right, the old signature stands."""

    def forged(bag: Path, random: Random, evidence: Evidence) -> str:
        said = change(bag, random, evidence)
        rebag(bag)
        return f"{said}, sums made anew"

    return forged


def _sealed_by_a_forger(change: Change) -> Change:
    """As somebody with a key and a root of the same names: all in itself is right."""

    def forged(bag: Path, random: Random, evidence: Evidence) -> str:
        said = change(bag, random, evidence)
        (bag / "root-certificate.pem").write_bytes(evidence.forged.root_pem)
        rebag(bag)
        reseal(bag, evidence.forged)
        return f"{said}, sealed by a forger"

    return forged


def _sealed_by_an_insider(change: Change) -> Change:
    """As somebody in the house who has its key and its disk."""

    def forged(bag: Path, random: Random, evidence: Evidence) -> str:
        said = change(bag, random, evidence)
        rebag(bag)
        reseal(bag, evidence.seal)
        return f"{said}, sealed by an insider"

    return forged


def _leave_out_a_record(bag: Path, random: Random, _: Evidence) -> str:
    """With all its rows, and told of nowhere but in the log."""
    name = random.choice(files_of(bag, "data/records/*.json")).stem
    (bag / "data" / "records" / f"{name}.json").unlink()
    gone = {}
    for table in TABLES:
        heading, *rows = table_of(bag, table)
        kept = [row for row in rows if name not in row]
        gone[table] = len(rows) - len(kept)
        write_table(bag, table, [heading, *kept])
    _say_fewer(bag, gone)
    return f"record {name[:8]} left out"


def _leave_out_a_finding(bag: Path, random: Random, _: Evidence) -> str:
    heading, *rows = table_of(bag, "findings")
    gone = random.randrange(len(rows))
    write_table(bag, "findings", [heading, *rows[:gone], *rows[gone + 1 :]])
    _say_fewer(bag, {"findings": 1})
    return "a finding left out"


def _leave_out_a_question(bag: Path, random: Random, _: Evidence) -> str:
    """With its answer, and told of nowhere but in the log."""
    for table in ("auditors_questions", "answers_to_auditors"):
        heading, *rows = table_of(bag, table)
        write_table(bag, table, [heading])
        _say_fewer(bag, {table: len(rows)})
    return "an auditor's question left out"


def _leave_out_a_competence(bag: Path, random: Random, _: Evidence) -> str:
    heading, *rows = table_of(bag, "competences")
    gone = random.randrange(len(rows))
    write_table(bag, "competences", [heading, *rows[:gone], *rows[gone + 1 :]])
    _say_fewer(bag, {"competences": 1})
    return "a competence left out"


def _leave_out_an_isolation(bag: Path, random: Random, _: Evidence) -> str:
    """From both of its tables, and told of nowhere but in the log."""
    heading, *rows = table_of(bag, "isolations")
    gone = random.randrange(len(rows))
    kept = [*rows[:gone], *rows[gone + 1 :]]
    write_table(bag, "isolations", [heading, *kept])
    said = [dict(zip(heading, row, strict=True)) for row in kept]
    (bag / "data" / "isolations.json").write_text(json.dumps(said, ensure_ascii=False, indent=1))
    _say_fewer(bag, {"isolations": 1})
    return "an isolation left out"


def _leave_out_a_photograph(bag: Path, random: Random, _: Evidence) -> str:
    """Its files and its rows, and told of nowhere but in the record that shows it."""
    heading, *rows = table_of(bag, "photographs")
    sent, shown = heading.index("original sha256"), heading.index("shown sha256")
    gone = random.choice(rows)
    kept = [row for row in rows if row[sent] != gone[sent]]
    for sha256_hex in (gone[sent], gone[shown]):
        for path in files_of(bag, f"data/photographs/**/{sha256_hex}.*"):
            path.unlink()
    write_table(bag, "photographs", [heading, *kept])
    _say_fewer(bag, {"photographs": len(rows) - len(kept), "photographs_and_documents": 1})
    return f"photograph {gone[sent][:8]} left out"


def _leave_out_a_countersignature(bag: Path, random: Random, _: Evidence) -> str:
    """The file and its row, and told of nowhere but in the log."""
    heading, *rows = table_of(bag, "countersignatures")
    gone = random.randrange(len(rows))
    (bag / "data" / rows[gone][heading.index("file")]).unlink()
    write_table(bag, "countersignatures", [heading, *rows[:gone], *rows[gone + 1 :]])
    _say_fewer(bag, {"countersignatures": 1})
    return "a countersignature left out"


def _say_fewer(bag: Path, gone: dict[str, int]) -> None:
    path = bag / "data" / "completeness.json"
    said = json.loads(path.read_text())
    for table, number in gone.items():
        for count in said["counts"].get(table, {}):
            said["counts"][table][count] -= number
        if table in said["by outcome"]:
            said["by outcome"][table] = _tally(bag, table, TALLIES[table])
    path.write_text(json.dumps(said, ensure_ascii=False, indent=1) + "\n")


def _tally(bag: Path, table: str, column: str) -> dict[str, int]:
    heading, *rows = table_of(bag, table)
    words = [row[heading.index(column)] for row in rows]
    return {word: words.count(word) for word in words}


def _other_cell_of_a_witnessed_table(bag: Path, random: Random, _: Evidence) -> str:
    return change_cell(bag, random, UNWITNESSED, UNWITNESSED)


def _other_record(bag: Path, random: Random, _: Evidence) -> str:
    """A record's own text changed, and its hash in the table with it."""
    path = random.choice(files_of(bag, "data/records/*.json"))
    old = sha256(path.read_bytes()).hexdigest()
    path.write_text(path.read_text().replace('"state":"retire"', '"state":"fit"'))
    table = bag / "data" / "records.csv"
    table.write_text(table.read_text().replace(old, sha256(path.read_bytes()).hexdigest()))
    return f"record {path.stem[:8]} says fit"


def _rewrite_history(bag: Path, random: Random, evidence: Evidence) -> str:
    """A line older than the head that was kept is changed, and the root named anew."""
    lines = log_of(bag)
    at = random.randrange(evidence.kept[0])
    write_log(bag, [*lines[:at], other_line(lines[at], random), *lines[at + 1 :]])
    _name_root_anew(bag)
    return f"log line {at + 1} rewritten with the root"


def _roll_back_behind_the_kept_head(bag: Path, random: Random, evidence: Evidence) -> str:
    lines = log_of(bag)
    write_log(bag, lines[: random.randrange(1, evidence.kept[0])])
    _name_root_anew(bag)
    return "the log ends before the head that was kept"


def _name_root_anew(bag: Path) -> None:
    path = bag / "data" / "completeness.json"
    said = json.loads(path.read_text())
    size, root = head_at(bag, len(log_of(bag)))
    said["log"] |= {"lines": str(size), "root": root}
    path.write_text(json.dumps(said, ensure_ascii=False, indent=1) + "\n")


# What the records and the log do not say again; `order` and `finding` there are numbers of rows.
UNWITNESSED = {
    "competences": (),
    "records": {"task", "amends", "amended by", "signed", "sha256", "record"},
    "answers": {"part"}, "readings": {"ucum", "part"}, "judgements": {"part"},
    "findings": {"finding", "at", "equipment", "part", "record", "detail"},
    "orders": {"order", "finding", "at", "equipment", "restriction", "lifted at"},
    "remedies": {"remedy", "finding", "at"},
    "returns": {"return", "order", "remedy", "at", "competence"},
    "reports": {"number", "kind", "title", "examined on", "signed at", "next due on", "signer",
                "role", "file", "records"},
    "countersignatures": {"countersignature", "signed at", "file"},
    "auditors_questions": (), "answers_to_auditors": (),
    "retired_parts": {"part", "kind", "name", "installed on", "left on", "written down at", "equipment",
                      "code", "identifier", "successor"},
    "isolations": {"notice to be sent by", "task", "standing", "done on", "records", "made at",
                   "ended at"},
}  # fmt: skip


def _longer_competence_of(bag: Path, random: Random, _: Evidence) -> str:
    return longer_competence(bag, random)


FORGED = ("a file removed", "a file added", "two photographs swapped", "a row removed",
          "a cell changed", "a competence date changed", "the dates of a competence changed",
          "the log rolled back",
          "an update appended to a report", "a countersignature cut off")  # fmt: skip
INSIDE: dict[str, Change] = {
    "a record left out": _leave_out_a_record,
    "a finding left out": _leave_out_a_finding,
    "a witnessed cell changed": _other_cell_of_a_witnessed_table,
    "a competence date changed": _longer_competence_of,
    "the dates of a competence changed": change_the_table_of_competences,
    "a question left out": _leave_out_a_question,
    "a competence left out": _leave_out_a_competence,
    "an isolation left out": _leave_out_an_isolation,
    "a photograph left out": _leave_out_a_photograph,
    "a record rewritten": _other_record,
    "two photographs swapped": swap_two_photographs,
    "an update appended to a report": append_to_a_report,
    "a countersignature cut off": cut_off_a_countersignature,
    "a countersignature left out": _leave_out_a_countersignature,
    "history rewritten": _rewrite_history,
    "the log rolled back behind a kept head": _roll_back_behind_the_kept_head,
}
CHANGES: dict[str, Change] = {
    **PLAIN,
    **{f"{name}, sums made anew": _sealed_by_nobody(PLAIN[name]) for name in FORGED},
    **{f"{name}, by a forger": _sealed_by_a_forger(PLAIN[name]) for name in FORGED},
    **{f"{name}, by an insider": _sealed_by_an_insider(each) for name, each in INSIDE.items()},
}
