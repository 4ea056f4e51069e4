#!/usr/bin/env python3
"""Check that nothing the log tells of was left out of this evidence bundle. Needs Python 3.8 or
newer and nothing else.

Run it inside the unpacked folder:  python3 -I verify_complete.py

Whatever the log of these days tells of must stand in its table: every check of these days, every
finding, order, remedy, return, report, countersignature, signature, message kept aside,
question of an auditor and answer, and each task for which a published year plan asks that something
be isolated or made ready, and each part that left its position. And of none may the log
tell more often than data/completeness.json says the whole book holds. Run verify_log.py first: it
shows that the log itself is whole. Of a file that is said to have been disposed of, the log must
tell that it was.
"""

import csv
import json
import sys
from collections import Counter
from datetime import datetime
from pathlib import Path

HERE = Path(__file__).resolve().parent
# Bundles made before there were any have no such tables.
LATER = (
    "countersignatures",
    "auditors_questions",
    "answers_to_auditors",
    "isolations",
    "retired_parts",
)
# What a line of the log says was made, the table it stands in, and the column that names it.
TABLES = {
    "submit_check": ("records", "record"),
    "open_finding": ("findings", "finding"),
    "give_order": ("orders", "order"),
    "record_remedy": ("remedies", "remedy"),
    "return_to_service": ("returns", "return"),
    "issue_report": ("reports", "number"),
    "countersign_report": ("countersignatures", "countersignature"),
    "sign_check": ("signatures", "signature"),
    "ask_question": ("auditors_questions", "question"),
    "answer_question": ("answers_to_auditors", "answer"),
    "keep_aside": ("messages_kept_aside", "number in the book"),
}

# What the log calls it; by the first name until 2026, when only photographs could go.
DISPOSED = ("dispose_of_photographs", "dispose_of_files")


def rows_of(data, name):
    path = data / (name + ".csv")
    if name in LATER and not path.exists():
        return []
    with path.open(encoding="utf-8-sig", newline="") as table:
        return list(csv.DictReader(table))


def told(data):
    """Each deed of the log that makes a row of a table."""
    with (data / "log.jsonl").open(encoding="utf-8") as lines:
        for line in lines:
            body = json.loads(line)
            if body["did"] in TABLES:
                yield body


def check_disposed(data, faults, said):
    """A file is missing for a good reason only where the log tells of it."""
    with (data / "log.jsonl").open(encoding="utf-8") as lines:
        bodies = (json.loads(line) for line in lines if '"dispose_of_' in line)
        told = {
            each
            for body in bodies
            if body["did"] in DISPOSED
            for each in (body["after"] or {}).get("files", ())
        }
    papers = {
        row["file"]: row["pdf sha256"]
        for name in ("reports", "countersignatures")
        for row in rows_of(data, name)
    }
    for each in said["files that could not be included"]:
        sha256 = papers.get(each["file"], Path(each["file"]).stem)  # others are named by their hash
        if each["why"].startswith("disposed of") and sha256 not in told:
            faults.append("%s: the log does not tell that it was disposed of" % each["file"])


def planned_isolations(data):
    """What the lines of published year plans say is made ready, as isolations.csv names it."""
    with (data / "log.jsonl").open(encoding="utf-8") as lines:
        bodies = [json.loads(line) for line in lines if '"publish_year_plan"' in line]
    for body in bodies:
        for what, told in ((body["after"] or {}).get("made_ready") or {}).items():
            for day, half, tag, regime, _ in told["for"]:
                yield str(body["number"]), what, day, half, tag, regime


def check_isolations(data, faults, days):
    """Each that the log tells of for these days is in the table. How many it tells of ever."""
    cells = ("log line", "what", "day", "half-day", "equipment", "regime slug")
    there = Counter(tuple(map(row.get, cells)) for row in rows_of(data, "isolations"))
    told = list(planned_isolations(data))
    here = Counter(each for each in told if days["from"] <= each[2] <= days["to"])
    for line, what, day, _, tag, _ in sorted((here - there).elements()):
        faults.append(
            "isolations: %s for %s on %s is in the log (line %s) and not in the table"
            % (what, tag, day, line)
        )
    return len(told)


LEFT = ("retire_part", "replace_part", "move_part")


def check_left(data, faults, days):
    """Each part that the log says left its position in these days has a row. How many ever."""
    there, ever = {row["part"] for row in rows_of(data, "retired_parts")}, set()
    zone = datetime.fromisoformat(days["begins"])
    with (data / "log.jsonl").open(encoding="utf-8") as lines:
        bodies = [json.loads(line) for line in lines if "_part" in line]
    for body in bodies:
        if body["did"] not in LEFT:
            continue
        name = body["subject"].split()[-1]
        ever.add(name)
        # Retired at once: the local day of the line, which the ends of the days enclose.
        on = (body["after"] or {}).get("until")
        at = datetime.fromisoformat(body["at"])
        inside = (
            days["from"] <= on <= days["to"]
            if on
            else zone <= at < datetime.fromisoformat(days["ends"])
        )
        if inside and name not in there:
            faults.append(
                "retired_parts: %s left its position (log line %s) and is not in the table"
                % (body["label"], body["number"])
            )
    return len(ever)


def belongs(body, days):
    """Whether a deed is one of these days: a check by its own day, the rest by the moment."""
    if body["did"] == "sign_check":
        return False  # it goes with the day of its check, which verify_signatures.py looks at
    if body["did"] == "submit_check":
        return days["from"] <= body["after"]["day"] <= days["to"]
    at = datetime.fromisoformat(body["at"])
    return datetime.fromisoformat(days["begins"]) <= at < datetime.fromisoformat(days["ends"])


def name_of(body):
    if body["did"] == "issue_report":
        return body["after"]["number"]
    return body["subject"].split()[-1]


def check(data):
    """What is wrong, and what was looked at, in words."""
    days = json.loads((data / "completeness.json").read_text(encoding="utf-8"))
    there = {
        table: {row[column] for row in rows_of(data, table)} for table, column in TABLES.values()
    }
    faults, ever, here = [], Counter(), 0
    check_disposed(data, faults, days)
    if "isolations" in days["counts"]:
        ever["isolations"] = check_isolations(data, faults, days)
    if "retired_parts" in days["counts"]:
        ever["retired_parts"] = check_left(data, faults, days)
    for body in told(data):
        table = TABLES[body["did"]][0]
        ever[table] += 1
        if belongs(body, days):
            here += 1
            if name_of(body) not in there[table]:
                faults.append(
                    "%s: %s is in the log (line %s) and not in the table"
                    % (table, body["label"], body["number"])
                )
    for table, number in sorted(ever.items()):
        said = days["counts"][table]["in the whole book"]
        if number > said:
            faults.append(
                "%s: the log tells of %d, completeness.json of %d in the whole book"
                % (table, number, said)
            )
    return faults, "%d deeds of these days, %d ever" % (here, sum(ever.values()))


def main():
    faults, seen = check(HERE / "data")
    for fault in faults:
        print("WRONG: " + fault)
    if faults:
        return 1
    print("COMPLETE: " + seen)
    return 0


if __name__ == "__main__":
    sys.exit(main())
