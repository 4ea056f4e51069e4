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
tell that it was; of any other file that is said to be missing, it is told that it is, and the exit
code is 3. Whatever photograph a record shows or the log says shows a remedy, and whatever voice
note or drawn signature the log says was kept with a record, must be in its table, and the file here
or said to be missing.
"""

import csv
import json
import sys
from collections import Counter
from datetime import UTC, datetime
from pathlib import Path

HERE = Path(__file__).resolve().parent
# Bundles made before there were any have no such tables.
LATER = (
    "countersignatures",
    "auditors_questions",
    "answers_to_auditors",
    "isolations",
    "retired_parts",
    "voice_notes_and_drawn_signatures",
)
# From that day on every bundle has the table of parts that left.
HAS_LEFT = datetime(2026, 11, 27, tzinfo=UTC)
FILES = ("photographs/", "voice-notes/", "drawn-signatures/", "reports/")
BUT, LOST = "COMPLETE but ", 3  # the exit code
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


def lost(said):
    """The files of evidence that are missing for another reason than that they were disposed of."""
    return [
        each["file"]
        for each in said["files that could not be included"]
        if each["file"].startswith(FILES) and not each["why"].startswith("disposed of")
    ]


def named(data, said):
    """The hash by which each file is named that is here, or is said to be missing."""
    folders = (data / folder for folder in FILES)
    here = {path.stem for folder in folders for path in folder.rglob("*")}
    return here | {Path(each["file"]).stem for each in said["files that could not be included"]}


def check_shown(data, faults, said):
    """Each photograph of a record is in the table, and its file here or told of. How many did not
    come: a phone announced them, and the log does not tell that they arrived."""
    rows, files, to_come = rows_of(data, "photographs"), named(data, said), 0
    there = {(row["record"], row["order"], row["original sha256"]) for row in rows}
    came = {(body["subject"].split()[-1], body["after"]["sha256"])
            for body in lines_of(data, ("add_photograph",))}  # fmt: skip
    for path in sorted((data / "records").glob("*.json")):
        body = json.loads(path.read_text(encoding="utf-8"))
        announced = (body.get("phone") or {}).get("photographs_sent") or ()
        for order, answer in enumerate(body["answers"], 1):
            for sha256 in answer["photographs"]:
                if (path.stem, str(order), sha256) in there:
                    continue
                if sha256 in announced and (path.stem, sha256) not in came:
                    to_come += 1
                    continue
                faults.append(
                    "photographs: record %s shows %s, which is not in the table"
                    % (path.stem, sha256)
                )
    check_remedied(data, faults, rows)
    for sha256 in {row[name] for row in rows for name in ("original sha256", "shown sha256")}:
        if sha256 not in files:
            faults.append("photographs: %s is neither here nor said to be missing" % sha256)
    return to_come


def check_remedied(data, faults, rows):
    """Each picture or document of a remedy that is here, by what the log says of the remedy."""
    here = {row["remedy"] for row in rows_of(data, "remedies")}
    there = {(row["remedy"], row["original sha256"]) for row in rows}
    for body in lines_of(data, ("record_remedy",)):
        remedy = body["subject"].split()[-1]
        for sha256 in (body["after"] or {}).get("evidence", ()):
            if remedy in here and (remedy, sha256) not in there:
                faults.append(
                    "photographs: %s shows remedy %s, by the log (line %s), and is not in the table"
                    % (sha256, remedy, body["number"])
                )


def check_along(data, faults, said):
    """Each voice note and drawn signature that the log says was kept by whoever made the record."""
    rows, files = rows_of(data, "voice_notes_and_drawn_signatures"), named(data, said)
    there = {(row["record"], row["sha256"]) for row in rows}
    here = {row["record"] for row in rows_of(data, "records")}
    made = {body["subject"].split()[-1]: body["by"] for body in lines_of(data, ("submit_check",))}
    for body in lines_of(data, ("keep_voice_note", "keep_drawn_signature")):
        kept = (body["after"]["check"], body["after"]["sha256"])
        if kept[0] in here and made.get(kept[0]) == body["by"] and kept not in there:
            faults.append(
                "voice_notes_and_drawn_signatures: %s is in the log (line %s) and not in the table"
                % (kept[1], body["number"])
            )
    for _, sha256 in sorted(there):
        if sha256 not in files:
            faults.append("%s is neither here nor said to be missing" % sha256)


def lines_of(data, deeds):
    with (data / "log.jsonl").open(encoding="utf-8") as lines:
        for line in lines:
            if any('"%s"' % deed in line for deed in deeds):
                body = json.loads(line)
                if body["did"] in deeds:
                    yield body


def ends_at(data):
    """The moment of the last line of the log."""
    last = None
    with (data / "log.jsonl").open(encoding="utf-8") as lines:
        for line in lines:
            last = line
    return datetime.fromisoformat(json.loads(last)["at"]) if last else None


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
    to_come = check_shown(data, faults, days)
    check_along(data, faults, days)
    ever["isolations"] = check_isolations(data, faults, days)
    last = ends_at(data)
    if "retired_parts" in days["counts"] or (last and last >= HAS_LEFT):
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
        if table not in days["counts"]:
            if number:
                faults.append("completeness.json does not tell how many %s there are" % table)
            continue
        said = days["counts"][table]["in the whole book"]
        if number > said:
            faults.append(
                "%s: the log tells of %d, completeness.json of %d in the whole book"
                % (table, number, said)
            )
    return faults, in_words(here, sum(ever.values()), to_come, lost(days))


def in_words(here, ever, to_come, missing):
    words = "%d deeds of these days, %d ever" % (here, ever)
    if to_come:
        words += "; %d photographs that a phone announced did not come, by the log" % to_come
    if not missing:
        return words
    return "%s%d files are missing: %s. %s" % (BUT, len(missing), ", ".join(missing), words)


def main():
    faults, seen = check(HERE / "data")
    for fault in faults:
        print("WRONG: " + fault)
    if faults:
        return 1
    if seen.startswith(BUT):
        print(seen)
        return LOST
    print("COMPLETE: " + seen)
    return 0


if __name__ == "__main__":
    sys.exit(main())
