#!/usr/bin/env python3
"""Check that whoever signed something in this evidence bundle was competent on that day, by what the
venue's log says of their competence. Needs Python 3.8 or newer and nothing else.

Run it inside the unpacked folder:  python3 -I verify_competences.py

Each row of data/competences.csv is held against the line of the log that was written when somebody
wrote the competence down. Then each record that says its maker could sign, each report and each
return to service is held against these rows: was a competence of that person valid on the day? A
person is the log's reference (person:...), or the name in lines from before there were references. A
record's day is exact. Reports and returns name a moment; their local day is that of the moment in
UTC or one of its neighbours. Run verify_log.py first: it shows that the log is whole.

This shows what the book said of competence, and when it was written down. Whether the certificate
behind it is genuine, only whoever issued it can say.
"""

import csv
import json
import re
import sys
from datetime import date, datetime, timedelta
from pathlib import Path

HERE = Path(__file__).resolve().parent
TABLE = "competences"
RISKY = re.compile(r"'*([=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]|\(none\)\Z)")
LEVELS = {
    "trained_user": "Trained user",
    "competent_person": "Competent person",
    "qualified_person": "Qualified person",
    "outside_examiner": "Outside examiner",
}
# Whoever may do the work of a level may do that of those before it.
WORK = ("a trained user", "a competent person", "a qualified person", "an outside examiner")
HEADED = re.compile(r"(.*): (?:%s) until (.*)\Z" % "|".join(LEVELS.values()), re.S)
# What of a row stands in the log, by column. Lines from before 2026-11-26 lack the last two.
CELLS = {
    "level": "level", "valid until": "expires_on", "certificate": "certificate",
    "valid from": "valid_from", "issued by": "issued_by",
}  # fmt: skip
SIGNING = {"issue_report": "report", "return_to_service": "return"}


def rows_of(data, name):
    with (data / (name + ".csv")).open(encoding="utf-8-sig", newline="") as table:
        for row in csv.DictReader(table):
            yield {column: plain(cell) for column, cell in row.items()}


def plain(cell):
    """The text a cell stands for."""
    return cell[1:] if cell.startswith("'") and RISKY.match(cell[1:]) else cell


def read_log(data):
    """The lines that write a competence down, by its number; who stored each record; and what was
    signed: what it is, by whom, when."""
    written, makers, signed = {}, {}, []
    with (data / "log.jsonl").open(encoding="utf-8") as lines:
        for line in lines:
            body = json.loads(line)
            name = body["subject"].split()[-1]
            if body["did"] == "add_competence":
                written[name] = body
            elif body["did"] == "submit_check":
                makers[name] = body["by"]
            elif body["did"] in SIGNING:
                told = body["after"]["number"] if body["did"] == "issue_report" else name
                signed.append((SIGNING[body["did"]], told, body))
    return written, makers, signed


def check_row(row, line, faults):
    """A row says what the log said when the competence was written down."""
    where = "competences.csv, %s: " % row["competence"]
    if line is None:
        faults.append(where + "the log does not know it")
        return
    told = {column: line["after"][name] for column, name in CELLS.items() if name in line["after"]}
    headed = HEADED.match(line["label"])
    told["good for the work of"] = "; ".join(WORK[: [*LEVELS].index(row["level"]) + 1])
    told["person"] = headed.group(1) if headed else None
    told["written down by"], told["log line"] = line["by"], str(line["number"])
    for column, said in told.items():
        if row[column] != (said or ""):
            faults.append(where + "another %s than the log" % column)


def held_by(rows):
    """Level, first and last day of each competence, by person. No last day: without end."""
    found = {}
    for row in rows:
        last = date.fromisoformat(row["valid until"]) if row["valid until"] else date.max
        held = (row["level"], date.fromisoformat(row["valid from"]), last)
        found.setdefault(row["person"], []).append(held)
    return found


def valid(held, people, days):
    """The competences of a person that were valid on one of the days."""
    return [
        (level, last)
        for person in people
        for level, first, last in held.get(person, ())
        if any(first <= day <= last for day in days)
    ]


def as_said(words, level, last):
    """Whether a record's own words are of a competence of this level and this last day."""
    end = "with no end date" if last == date.max else "valid until %s" % last
    return words.startswith(LEVELS[level] + ", ") and words.endswith(", " + end)


def check_records(data, held, makers, faults):
    could, not_so = 0, 0
    for row in rows_of(data, "records"):
        path = data / "records" / (row["record"] + ".json")
        body = json.loads(path.read_text(encoding="utf-8"))
        if not body["may_sign"]:
            not_so += 1
            continue
        could += 1
        by, day = body["by"], date.fromisoformat(body["day"])
        people = {makers.get(row["record"]), by["name"]}
        found = valid(held, people, [day])
        if not any(as_said(by["competence"], *each) for each in found):
            faults.append(
                "record %s: no competence of its maker was valid on %s as it says (%s)"
                % (row["record"], day, by["competence"])
            )
    return could, not_so


def check_signed(data, held, signed, faults):
    """Reports and returns: whoever gave them held some competence that day."""
    tables = (("report", "reports", "number", "signer"), ("return", "returns", "return", "by"))
    names = {
        (what, row[column]): row[who]
        for what, table, column, who in tables
        for row in rows_of(data, table)
    }
    count = 0
    for what, name, body in signed:
        if (what, name) not in names:
            continue  # of other days
        count += 1
        day = datetime.fromisoformat(body["at"]).date()
        days = [day + timedelta(days=step) for step in (-1, 0, 1)]
        if not valid(held, {body["by"], names[what, name]}, days):
            faults.append("%s %s: no competence of its signer was valid on %s" % (what, name, day))
    return count


def check(data):
    """What is wrong, and what was looked at, in words."""
    if not (data / (TABLE + ".csv")).exists():
        said = json.loads((data / "completeness.json").read_text(encoding="utf-8"))
        faults = ["competences.csv is not here"] if TABLE in said["counts"] else []
        return faults, "this bundle is of a time when they were not in it; nothing was checked"
    faults, rows = [], list(rows_of(data, TABLE))
    written, makers, signed = read_log(data)
    for row in rows:
        check_row(row, written.get(row["competence"]), faults)
    there = {row["competence"] for row in rows}
    if len(there) != len(rows):
        faults.append("competences.csv: one stands there twice")
    faults += [
        "competences.csv: %s, which the log tells of, is not here" % name
        for name in sorted(set(written) - there)
    ]
    held = held_by(rows)
    could, not_so = check_records(data, held, makers, faults)
    other = check_signed(data, held, signed, faults)
    return faults, (
        "%d competences as the log has them; makers of %d records and signers of %d reports and returns "
        "held one that day; %d records say that their maker could not sign"
        % (len(rows), could, other, not_so)
    )


def main():
    faults, seen = check(HERE / "data")
    for fault in faults:
        print("WRONG: " + fault)
    if faults:
        return 1
    print("COMPETENCES OK: " + seen)
    return 0


if __name__ == "__main__":
    sys.exit(main())
