#!/usr/bin/env python3
"""Check the log of this evidence bundle. Needs Python 3.8 or newer and nothing else.

Run it inside the unpacked folder:  python3 -I verify_log.py
With an earlier head that you kept: python3 -I verify_log.py --kept SIZE ROOT

Each line of data/log.jsonl is a leaf of a Merkle tree as RFC 9162 (2.1.1) hashes it: SHA-256 over
the byte 0 and the line without its end; a node is SHA-256 over the byte 1 and both hashes below.
It checks that no number is missing, that the root is the one data/completeness.json names, that
the log begins with the lines of every head in data/heads.jsonl and ends at the one that the
venue's seal signs (data/head.json), that every record body has the hash that the log and
data/records.csv give it, and that every report PDF is the file whose hash was logged when it was
signed. The log names people by references: each name in data/names.csv must be the one its
reference was made of (SHA-256 over the salt, a space and the name), and every line must be by
somebody in that table; names that are withheld or were removed are counted. With --kept, which may
be said more than once, it also checks that the log still begins with the SIZE lines that had this
ROOT. In place of ROOT may stand the hash of the last line, as older reports print it.
"""

import csv
import hashlib
import json
import re
import sys
from itertools import islice
from pathlib import Path

HERE = Path(__file__).resolve().parent
LATER = "countersignatures.csv"  # bundles made before there were any have no such table
MISSING = "files that could not be included"
# A cell that a spreadsheet could take for a formula was given an apostrophe.
RISKY = re.compile(r"'*([=+\-@\t\r\n\uff1d\uff0b\uff0d\uff20]|\(none\)\Z)")


def sha256_of(content):
    return hashlib.sha256(content).hexdigest()


def node(left, right):
    return hashlib.sha256(b"\1" + left + right).digest()


def grow(trees, size, line):
    """Add the line to the full trees, largest first, into which `size` lines fall."""
    found = hashlib.sha256(b"\0" + line).digest()
    while size & 1:  # two trees of one width make one
        found, size = node(trees.pop(), found), size >> 1
    trees.append(found)


def root_of(trees):
    if not trees:
        return sha256_of(b"")
    found = trees[-1]
    for left in trees[-2::-1]:
        found = node(left, found)
    return found.hex()


def walk_log(data, faults, wanted):
    """How many lines, the roots at the end and at the wanted sizes, what was logged, and by whom."""
    trees, size, roots = [], 0, {0: root_of([])}
    logged, people = {}, {"by": set(), "removed": set()}
    with (data / "log.jsonl").open("rb") as lines:
        for line in lines:
            line = line.rstrip(b"\n")
            grow(trees, size, line)
            size += 1
            if size in wanted:
                roots[size] = root_of(trees)
            body = json.loads(line)
            if body["number"] != size:
                faults.append("log line %d: the numbering has a gap" % size)
            remember(body, logged)
            remember_people(body, people)
    roots[size] = root_of(trees)
    return size, roots, logged, people


def read_heads(data, faults):
    """The signed heads in their order: pairs of size and root. Each names the one before by its
    SHA-256, and the last is the one in head.json, which the venue's seal signs."""
    heads, previous = [], ""
    with (data / "heads.jsonl").open("rb") as lines:
        for line in lines:
            text = line.rstrip(b"\n")
            said = json.loads(text)
            heads.append((int(said["size"]), said["root"]))
            if (said["head"], said["previous_head_sha256"]) != (str(len(heads)), previous):
                faults.append("head %d does not follow the one before it" % len(heads))
            previous = sha256_of(text)
    if previous != sha256_of((data / "head.json").read_bytes()):
        faults.append("head.json is not the last of heads.jsonl")
    return heads


def remember(body, logged):
    after = body.get("after") or {}
    if body["did"] == "submit_check" and "sha256" in after:
        logged[body["subject"].split()[-1]] = after["sha256"]
    if body["did"] == "issue_report":
        logged["report-" + after["number"]] = after["pdf_sha256"]
    if body["did"] == "countersign_report":
        name = "report-%s-countersigned-%s" % (after["report"], after["number"])
        logged[name] = after["pdf_sha256"]


def remember_people(body, people):
    if body["by"].startswith("person:"):
        people["by"].add(body["by"])
    if body["did"] == "forget_person":
        people["removed"].update(body["after"]["references"])


def chained(data, size):
    """The hash of a line as it was before the log was a tree: over the one before and the text."""
    found = ""
    with (data / "log.jsonl").open("rb") as lines:
        for line in islice(lines, size):
            found = sha256_of(found.encode() + b"\n" + line.rstrip(b"\n"))
    return found


def check_heads(faults, heads, size, roots):
    for number, (at, root) in enumerate(heads, 1):
        if roots.get(at) != root:
            faults.append("the log does not begin with the %d lines of head %d" % (at, number))
    if not heads or heads[-1][0] != size:
        faults.append("the last signed head is not of this whole log")


def check_kept(data, faults, kept, size, roots):
    for at, told in kept:
        if at > size:
            faults.append("you kept a head of %d lines; this log has only %d" % (at, size))
        elif told not in (roots.get(at), chained(data, at)):
            faults.append("the log does not begin with the %d lines of the head you kept" % at)


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


def plain(cell):
    """The text a cell stands for."""
    return cell[1:] if cell.startswith("'") and RISKY.match(cell[1:]) else cell


def check_names(data, faults, people, said):
    """Each name that is given is the one its reference stands for, and nobody is missing."""
    found, path = {}, data / "names.csv"
    if path.exists():
        with path.open(encoding="utf-8-sig", newline="") as table:
            for row in csv.DictReader(table):
                name, salt = plain(row["name"]), row["salt"]
                if row["reference"] in found:
                    faults.append("%s stands in names.csv twice" % row["reference"])
                found[row["reference"]] = bool(name)
                made = "person:" + sha256_of(("%s %s" % (salt, name)).encode())
                if (name or salt) and made != row["reference"]:
                    faults.append(
                        "%s is not the reference of the name beside it" % row["reference"]
                    )
    faults += [
        "a line is by %s, who is not in names.csv" % each for each in people["by"] - set(found)
    ]
    given, removed = sum(found.values()), sum(each in people["removed"] for each in found)
    if said and (given, len(found)) != (said["given"], sum(said.values())):
        faults.append("names.csv has other names than completeness.json says")
    return "names: %d given, %d withheld, %d removed" % (
        given, len(found) - given - removed, removed,
    )  # fmt: skip


def check_reports(data, faults, logged, missing):
    count = 0
    for table in filter(Path.exists, (data / "reports.csv", data / LATER)):
        with table.open(encoding="utf-8-sig", newline="") as rows:
            for row in csv.DictReader(rows):
                if not (data / row["file"]).is_file() and row["file"] not in missing:
                    faults.append("%s: %s is not here" % (table.name, row["file"]))
    for path in sorted((data / "reports").glob("*.pdf")):
        count += 1
        if logged.get(path.stem) != sha256_of(path.read_bytes()):
            faults.append("%s: not the file that was logged when it was signed" % path.name)
    return count


def heads_kept(words):
    """What was said after --kept: pairs of size and root."""
    kept = []
    while words:
        if len(words) < 3 or words[0] != "--kept" or not words[1].isdigit() or words[1] == "0":
            sys.exit("Say it so: python3 -I verify_log.py --kept SIZE ROOT")
        kept.append((int(words[1]), words[2].strip().lower()))
        words = words[3:]
    return kept


def check(data, kept=()):
    """What is wrong, and what was looked at, in words."""
    faults = []
    heads = read_heads(data, faults)
    size, roots, logged, people = walk_log(data, faults, {at for at, _ in [*kept, *heads]})
    whole = json.loads((data / "completeness.json").read_text(encoding="utf-8"))
    said, missing = whole["log"], {each["file"] for each in whole[MISSING]}
    if (str(size), roots[size]) != (said["lines"], said["root"]):
        faults.append("the log is not the one that completeness.json names")
    check_heads(faults, heads, size, roots)
    check_kept(data, faults, kept, size, roots)
    counts = (
        size,
        check_records(data, faults, logged),
        check_reports(data, faults, logged, missing),
    )
    names = check_names(data, faults, people, whole.get("names"))
    return faults, "%d lines, %d records, %d reports, %d signed heads; %s; root %s" % (
        *counts, len(heads), names, roots[size],
    )  # fmt: skip


def main():
    kept = heads_kept(sys.argv[1:])
    faults, seen = check(HERE / "data", kept)
    for fault in faults:
        print("WRONG: " + fault)
    if faults:
        return 1
    print("LOG OK: " + seen)
    for at, told in kept:
        print("KEPT OK: it begins with the %d lines of %s" % (at, told))
    return 0


if __name__ == "__main__":
    sys.exit(main())
