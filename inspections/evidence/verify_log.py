#!/usr/bin/env python3
"""Check the log of this evidence bundle. Needs Python 3.8 or newer and nothing else.

Run it inside the unpacked folder:  python3 -I verify_log.py

It checks that every line of data/log.jsonl has the hash it states and points at the line before
it, that no number is missing, that the last line is the one data/completeness.json names, that
every record body has the hash that the log and data/records.csv give it, and that every report
PDF is the file whose hash was logged when it was signed.
"""

import csv
import hashlib
import json
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent


def sha256_of(content):
    return hashlib.sha256(content).hexdigest()


def check_chain(data, faults):
    """The log lines in order; returns the number and hash of the last, and what was logged."""
    number, previous, logged = 0, "", {}
    with (data / "log.jsonl").open(encoding="utf-8") as lines:
        for text in lines:
            line = json.loads(text)
            number += 1
            where = "log line %d" % number
            body = line["body"]
            if line["number"] != number or json.loads(body)["number"] != number:
                faults.append(where + ": the numbering has a gap")
            if line["previous_sha256"] != previous:
                faults.append(where + ": does not point at the line before it")
            if sha256_of(("%s\n%s" % (previous, body)).encode()) != line["sha256"]:
                faults.append(where + ": its text was changed")
            previous = line["sha256"]
            remember(json.loads(body), logged)
    return number, previous, logged


def remember(body, logged):
    after = body.get("after") or {}
    if body["did"] == "submit_check" and "sha256" in after:
        logged[body["subject"].split()[-1]] = after["sha256"]
    if body["did"] == "issue_report":
        logged["report-" + after["number"]] = after["pdf_sha256"]


def check_records(data, faults, logged):
    count = 0
    with (data / "records.csv").open(encoding="utf-8-sig", newline="") as table:
        for row in csv.DictReader(table):
            count += 1
            found = sha256_of((data / "records" / (row["record"] + ".json")).read_bytes())
            if found != row["sha256"]:
                faults.append("record %s: its body was changed" % row["record"])
            if logged.get(row["record"]) != found:
                faults.append("record %s: the log gives another hash, or none" % row["record"])
    return count


def check_reports(data, faults, logged):
    count = 0
    for path in sorted((data / "reports").glob("*.pdf")):
        count += 1
        if logged.get(path.stem) != sha256_of(path.read_bytes()):
            faults.append("%s: not the file that was logged when it was signed" % path.name)
    return count


def check(data):
    """What is wrong, and what was looked at, in words."""
    faults = []
    number, last, logged = check_chain(data, faults)
    said = json.loads((data / "completeness.json").read_text(encoding="utf-8"))["log"]
    if (str(number), last) != (said["lines"], said["last_sha256"]):
        faults.append("the log does not end where completeness.json says")
    counts = (number, check_records(data, faults, logged), check_reports(data, faults, logged))
    return faults, "%d lines, %d records, %d reports; last line %s" % (*counts, last)


def main():
    faults, seen = check(HERE / "data")
    for fault in faults:
        print("WRONG: " + fault)
    if faults:
        return 1
    print("LOG OK: " + seen)
    return 0


if __name__ == "__main__":
    sys.exit(main())
