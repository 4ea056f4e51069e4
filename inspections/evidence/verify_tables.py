#!/usr/bin/env python3
"""Check that the tables of this evidence bundle say what its records and its log say. Needs Python
3.8 or newer and nothing else.

Run it inside the unpacked folder:  python3 -I verify_tables.py

The records in data/records/ never change, and the log has their hashes. The tables beside them are
made anew for every bundle. So each row of records.csv, answers.csv, readings.csv, judgements.csv and
photographs.csv is held against its record, and each row of findings.csv, orders.csv, remedies.csv,
returns.csv, reports.csv and countersignatures.csv against the line of the log that was written when
it was made; each row of isolations.csv against the line of the year plan that asked for it, and of
retired_parts.csv against the line that tells how the part left. The log names people by references;
where data/names.csv gives the name, the table must say the same. A file that is named by its hash
must have it. Run verify_log.py first: it shows that records and log are whole.
"""

import csv
import hashlib
import json
import re
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
# A cell that a spreadsheet could take for a formula was given an apostrophe.
RISKY = re.compile(r"'*([=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]|\(none\)\Z)")
LONGEST_QUESTION = 300
REFERENCE = re.compile(r"person:[0-9a-f]{64}\Z")
NAMED_BY_BEGINNING = ("rules/regimes", "rules/report-kinds")  # of the hash: winch-0123456789ab.toml
NAMED_BY_HASH = ("photographs", "voice-notes", "drawn-signatures", "messages-kept-aside")
# Table: what the log calls the making of a row, the column that names the row, and what of the
# row stands in the log, by column.
FROM_LOG = {
    "findings": ("open_finding", "finding", {
        "grade": "grade", "what": "what", "cured by": "cured_by", "restriction": "restriction",
        "by": "by"}),
    "orders": ("give_order", "order", {"what": "what", "why": "why", "bites on": "bites_on",
        "by": "by"}),
    "remedies": ("record_remedy", "remedy", {"what": "what", "by": "by"}),
    "returns": ("return_to_service", "return", {
        "statement": "statement", "remedied by": "remedied_by", "by": "by"}),
    "reports": ("issue_report", "number", {
        "meaning": "meaning", "pdf sha256": "pdf_sha256", "record.json sha256": "record_sha256"}),
    "countersignatures": ("countersign_report", "countersignature", {
        "report": "report", "number": "number", "signer": "name", "role": "role",
        "meaning": "meaning", "pdf sha256": "pdf_sha256"}),
    "auditors_questions": ("ask_question", "question", {
        "about": "about", "text": "text", "by": "by", "at": "at"}),
    "answers_to_auditors": ("answer_question", "answer", {
        "question": "question", "text": "text", "by": "by", "at": "at"}),
}  # fmt: skip


def rows_of(data, name):
    path = data / (name + ".csv")
    if name in LATER and not path.exists():
        return
    with path.open(encoding="utf-8-sig", newline="") as table:
        for row in csv.DictReader(table):
            yield {column: plain(cell) for column, cell in row.items()}


def plain(cell):
    """The text a cell stands for."""
    return cell[1:] if cell.startswith("'") and RISKY.match(cell[1:]) else cell


def of_record(body):
    """What records.csv has to say of a record."""
    by, equipment, regime = body["by"], body["equipment"], body["regime"]
    return {
        "equipment": equipment["tag"], "equipment name": equipment["name"],
        "regime": regime["title"], "regime sha256": regime["sha256"], "by": by["name"],
        "role": by["role"], "competence that day": by["competence"],
        "could sign": "yes" if body["may_sign"] else "no", "day": body["day"],
        "state": body["state"], "remark": body["remark"],
    }  # fmt: skip


def moments_of(body):
    return {"begun": body["started_at"], "stored": body["stored_at"]}


def of_answers(body):
    """What the other tables have to say of a record: each row as a table and its cells."""
    for order, answer in enumerate(body["answers"], 1):
        question = answer["question"][:LONGEST_QUESTION]
        place = (str(order), question)
        yield (
            "answers",
            *place,
            answer["check"],
            answer["given"],
            answer["text"],
            answer["reason"],
        )
        for reading in answer["readings"]:
            quantity, unsure = reading["quantity"], reading["uncertainty"] or {}
            yield (
                "readings", *place, reading["what"], quantity["typed"], quantity["value"],
                quantity["unit"], quantity["dimension"], quantity["si"], reading["instrument"],
                unsure.get("typed", ""), unsure.get("si", ""),
            )  # fmt: skip
        for told in answer["judgements"]:
            yield (
                "judgements", *place, told["state"], told["verdict"], told["ruleset"],
                told["title"], told["edition"], told["hash"], told["clause"], told["value"],
                told["limit"], told["margin"], "; ".join(told["missing"]), told["verified"],
            )  # fmt: skip


CELLS = {
    "answers": ("order", "question", "check", "given", "text", "reason"),
    "readings": (
        "order", "question", "what", "as typed", "value", "unit", "dimension", "si exact",
        "instrument", "uncertainty as typed", "uncertainty si exact",
    ),
    "judgements": (
        "order", "question", "state", "verdict", "rule set", "title", "edition",
        "rule set sha256", "clause", "value", "limit", "margin", "missing", "figure verified by",
    ),
}  # fmt: skip


def tables_by_record(data):
    """The rows of the three tables as they are, by record."""
    found = {}
    for table, cells in CELLS.items():
        for row in rows_of(data, table):
            told = (table, *(row[cell] for cell in cells))
            found.setdefault(row["record"], Counter())[told] += 1
    return found


def check_records(data, faults):
    tables, photographs, count = tables_by_record(data), {}, 0
    for row in rows_of(data, "records"):
        count += 1
        name = row["record"]
        body = json.loads((data / "records" / (name + ".json")).read_text(encoding="utf-8"))
        for column, said in of_record(body).items():
            if row[column] != said:
                faults.append("records.csv, record %s: another %s than the record" % (name, column))
        for column, said in moments_of(body).items():
            if datetime.fromisoformat(row[column]) != datetime.fromisoformat(said):
                faults.append("records.csv, record %s: %s at another time" % (name, column))
        here, said = tables.pop(name, Counter()), Counter(of_answers(body))
        for table in sorted({row[0] for row in (here - said) + (said - here)}):
            faults.append("%s.csv says something else than record %s" % (table, name))
        for order, answer in enumerate(body["answers"], 1):
            photographs[name, str(order)] = answer["photographs"]
    faults += ["a table has rows of a record that is not here: %s" % name for name in tables]
    for row in rows_of(data, "photographs"):
        shown = photographs.get((row["record"], row["order"]), [])
        if row["record"] and row["original sha256"] not in shown:
            faults.append("photographs.csv: record %s shows another one" % row["record"])
    return count


def logged(data):
    """What the log said of each row when it was made, by deed and name."""
    found = {}
    with (data / "log.jsonl").open(encoding="utf-8") as lines:
        for line in lines:
            body = json.loads(line)
            after = body.get("after") or {}
            report = body["did"] == "issue_report"
            name = after["number"] if report else body["subject"].split()[-1]
            found[body["did"], name] = {"by": body["by"], "at": body["at"], **after}
    return found


def names_of(data):
    """The names that are given, by reference. verify_log.py shows that they are the right ones."""
    if not (data / "names.csv").exists():
        return {}
    return {row["reference"]: row["name"] for row in rows_of(data, "names") if row["name"]}


def agrees(cell, said, names, unseen):
    """Whether a cell says what the log says. A name that is withheld or was removed cannot be held
    against its reference; such cells are counted."""
    if not REFERENCE.match(said):
        return cell == said
    unseen.extend([said] if said not in names else [])
    return said not in names or cell == names[said]


def check_made(data, faults, unseen):
    told, names, count = logged(data), names_of(data), 0
    for table, (deed, column, cells) in FROM_LOG.items():
        for row in rows_of(data, table):
            count += 1
            where = "%s.csv, %s" % (table, row[column])
            said = told.get((deed, row[column]))
            if said is None:
                faults.append(where + ": the log does not know it")
                continue
            for cell, name in cells.items():
                told_there = str(said[name] or "" if name in said else "")
                if not agrees(row[cell], told_there, names, unseen):
                    faults.append("%s: another %s than the log" % (where, cell))
    return count


def check_questions(data, faults):
    """A question is answered where an answer to it is told of, and open where none is."""
    answered = {row["question"] for row in rows_of(data, "answers_to_auditors")}
    for row in rows_of(data, "auditors_questions"):
        if row["state"] != ("answered" if row["question"] in answered else "open"):
            faults.append(
                "auditors_questions.csv, %s: another state than its answers say" % row["question"]
            )


def told_of_isolations(data):
    """What the log says of each, by its name, and when each letter of notice was first asked for."""
    found, letters = {}, {}
    with (data / "log.jsonl").open(encoding="utf-8") as lines:
        bodies = [json.loads(line) for line in lines if "_year_plan" in line or "_paper" in line]
    for body in bodies:
        after = body["after"] or {}
        if body["did"] == "ask_for_paper" and after["what"] == "notice":
            letters.setdefault((after["plan"], after["of"], after["day"]), body["at"])
        if body["did"] != "publish_year_plan":
            continue
        number = 0
        for what, told in sorted((after.get("made_ready") or {}).items()):
            for day, half, tag, regime, _ in told["for"]:
                number += 1
                found["%s-%d" % (body["number"], number)] = {
                    "year plan": body["subject"].split()[-1], "published at": body["at"],
                    "log line": str(body["number"]), "what": what, "in words": told["words"],
                    "kind": told["kind"], "days of notice": told["notice_days"], "day": day,
                    "half-day": half, "equipment": tag, "regime slug": regime,
                }  # fmt: skip
    return found, letters


def check_isolations(data, faults):
    """Each row says what the year plan's line in the log says; and isolations.json says the same."""
    told, letters = told_of_isolations(data)
    rows, seen = list(rows_of(data, "isolations")), set()
    for row in rows:
        where = "isolations.csv, %s" % row["isolation"]
        said = told.get(row["isolation"])
        if said is None or row["isolation"] in seen:
            faults.append(where + (": the log does not know it" if said is None else ": twice"))
            continue
        seen.add(row["isolation"])
        faults += [
            "%s: another %s than the log" % (where, cell)
            for cell, text in said.items()
            if row[cell] != text
        ]
        letter = letters.get((row["year plan"], row["what"], row["day"]), "")
        if row["letter of notice asked for"] != letter:
            faults.append(where + ": the log tells otherwise of its letter of notice")
    path = data / "isolations.json"
    if path.exists() and json.loads(path.read_text(encoding="utf-8")) != rows:
        faults.append("isolations.json says something else than isolations.csv")
    return len(rows)


HOW = {
    "retire_part": "retired", "replace_part": "replaced", "move_part": "moved to another position",
}  # fmt: skip


def told_of_left(data):
    """The last line of the log about each part that left."""
    told = {}
    with (data / "log.jsonl").open(encoding="utf-8") as lines:
        for body in (json.loads(line) for line in lines if "_part" in line):
            if body["did"] in HOW:
                told[body["subject"].split()[-1]] = body
    return told


def check_left(data, faults):
    """Each part that left says why, how and when as the last line of the log about that. How many rows
    agree, and of how many the log does not tell."""
    told, seen, untold, count = told_of_left(data), set(), 0, 0
    for row in rows_of(data, "retired_parts"):
        count += 1
        if row["part"] in seen:
            faults.append("retired_parts.csv, %s: twice" % row["part"])
        seen.add(row["part"])
        body = told.get(row["part"])
        if body is None:
            untold += 1
            if row["log line"] or row["how"] != "the log does not tell":
                faults.append("retired_parts.csv, %s: the log does not know it" % row["part"])
            continue
        said = {
            "log line": str(body["number"]),
            "how": HOW[body["did"]],
            "why": body["after"]["why"],
        }
        before = body["before"] or {}
        if before:
            said.update({"equipment": before["tag"], "code": before["part code"],
                         "identifier": before["identifier"], "left on": body["after"]["until"]})  # fmt: skip
        elif body["after"]["successor"]:
            said["successor identifier"] = body["after"]["successor"]
        for cell, text in said.items():
            if row[cell] != text:
                faults.append(
                    "retired_parts.csv, %s: another %s than the log" % (row["part"], cell)
                )
    return count - untold, untold


def check_files(data, faults):
    """A photograph, voice note, drawn signature or message is named by its own hash."""
    for folder in NAMED_BY_HASH:
        for path in sorted((data / folder).rglob("*")):
            if path.is_file() and path.stem != hashlib.sha256(path.read_bytes()).hexdigest():
                faults.append("%s/%s: not the file of that name" % (folder, path.name))
    for folder in NAMED_BY_BEGINNING:
        for path in sorted((data / folder).glob("*.toml")):
            found = hashlib.sha256(path.read_bytes()).hexdigest()
            if path.stem.rsplit("-", 1)[-1] != found[:12]:
                faults.append("%s/%s: not the file of that name" % (folder, path.name))


def check(data):
    """What is wrong, and what was looked at, in words."""
    faults, unseen = [], []
    check_files(data, faults)
    check_questions(data, faults)
    made = check_made(data, faults, unseen) + check_isolations(data, faults)
    left, untold = check_left(data, faults)
    counts = (check_records(data, faults), made + left, len(unseen), untold)
    return faults, (
        "%d records and %d other rows agree with records and log; %d names in them are withheld or were "
        "removed, and were held against nothing, nor were %d parts that left, of which the log does not "
        "tell" % counts
    )


def main():
    faults, seen = check(HERE / "data")
    for fault in faults:
        print("WRONG: " + fault)
    if faults:
        return 1
    print("TABLES OK: " + seen)
    return 0


if __name__ == "__main__":
    sys.exit(main())
