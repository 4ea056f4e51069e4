"""A bundle is checked by the commands of its own README, and what was changed in it is found.

Only its files are looked at, which no database has any part in: these run once.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from inspections.evidence.readme import README
from tests.inspections.outside_tools import said_by, tool
from tests.inspections.season import (
    readme_commands,
    run,
    table,
)


@pytest.mark.parametrize(
    ("name", "command"),
    [("data/tasks.csv", 3), ("manifest-sha256.txt", 3), ("tagmanifest-sha256.txt", 2)],
)
def test_a_changed_file_is_found(bundle: Path, name: str, command: int) -> None:
    path = bundle / name
    path.write_bytes(path.read_bytes().replace(b"0", b"1", 1))
    done = run(readme_commands(bundle)[command], bundle)
    assert done.returncode != 0
    assert "OK" not in done.stdout


@pytest.mark.parametrize("change", ["edit", "drop", "drop last", "swap", "blank line"])
def test_a_rewritten_log_is_found_by_the_script(bundle: Path, change: str) -> None:
    log = bundle / "data" / "log.jsonl"
    lines = log.read_text().splitlines()
    edited = lines[0].replace("retire", "fit")
    assert edited != lines[0]
    changed = {
        "edit": [edited, *lines[1:]],
        "drop": lines[1:],
        "drop last": lines[:-1],
        "swap": [lines[1], lines[0], *lines[2:]],
        "blank line": [lines[0] + " ", *lines[1:]],
    }[change]
    log.write_text("\n".join(changed) + "\n")
    done = run("python3 -I verify_log.py", bundle)
    assert done.returncode == 1
    assert "WRONG" in done.stdout
    assert "LOG OK" not in done.stdout


@pytest.mark.parametrize("change", ["root", "drop", "last", "swap"])
def test_a_signed_head_that_was_changed_is_found_by_the_script(bundle: Path, change: str) -> None:
    path = bundle / "data" / "heads.jsonl"
    heads = path.read_text().splitlines()
    assert len(heads) == 2
    changed = {
        "root": [heads[0].replace('"root":"', '"root":"0'), heads[1]],
        "drop": heads[1:],
        "last": heads[:-1],
        "swap": heads[::-1],
    }[change]
    path.write_text("\n".join(changed) + "\n")
    done = run("python3 -I verify_log.py", bundle)
    assert done.returncode == 1
    assert "head" in done.stdout
    assert "LOG OK" not in done.stdout


def test_a_hash_of_the_log_from_before_it_was_a_tree_still_counts(bundle: Path) -> None:
    chain = ""
    for line in (bundle / "data" / "log.jsonl").read_text().splitlines()[:2]:
        chain = hashlib.sha256(f"{chain}\n{line}".encode()).hexdigest()
    assert "KEPT OK" in run(f"python3 -I verify_log.py --kept 2 {chain}", bundle).stdout
    assert run(f"python3 -I verify_log.py --kept 1 {chain}", bundle).returncode == 1


@pytest.mark.parametrize("folder", ["records", "reports"])
def test_a_changed_record_or_report_is_found_by_the_script(bundle: Path, folder: str) -> None:
    path = next((bundle / "data" / folder).iterdir())
    path.write_bytes(path.read_bytes() + b" ")
    done = run("python3 -I verify_log.py", bundle)
    assert done.returncode == 1
    assert "WRONG" in done.stdout


def test_shasum_gives_the_same_answer_as_sha256sum(bundle: Path) -> None:
    shasum = tool("shasum", "perl")
    said = said_by(shasum, "-a", "256", "-c", "manifest-sha256.txt", folder=bundle)
    assert said.endswith("exit code 0")
    assert "FAILED" not in said


def test_the_commands_of_the_readme_say_that_everything_is_right(bundle: Path) -> None:
    for name, package in (("certutil", "libnss3-tools"), ("pdfsig", "poppler-utils")):
        tool(name, package)
    commands = readme_commands(bundle)
    assert len(commands) == 20
    fingerprint = run(commands[0], bundle).stdout
    assert fingerprint.strip().endswith(commands[1])
    assert "SALT" in commands[18]  # see test_names_in_the_log.py
    kept = run(commands[19], bundle)
    by_hand = slice(16, 18)  # in the folder of one signature: see test_a_stranger_verifies.py
    assert all("signed-bytes.bin" in command for command in commands[by_hand])
    cms, sums, head, log, complete, tables, signed, able, seals, told, extra, trust, sig, detach = (
        run(each, bundle) for each in commands[2:16]
    )
    assert "COMPETENCES OK: 1 competences" in able.stdout + able.stderr
    assert "SIGNATURES OK: 0 by passkey; 1 by password" in signed.stdout + signed.stderr
    assert "successful" in cms.stdout + cms.stderr
    assert "ALL FILES OK" in sums.stdout
    assert "successful" in head.stdout + head.stderr
    assert seals.stdout == "certificates/seal-1.pem: OK\n", seals.stdout + seals.stderr
    assert "No Revoked Certificates." in told.stdout
    assert "LOG OK: 11 lines, 1 records, 1 reports" in log.stdout, log.stdout + log.stderr
    assert "KEPT OK: it begins with the 11 lines" in kept.stdout, kept.stdout + kept.stderr
    assert "TABLES OK: 1 records and 8 other rows" in tables.stdout, tables.stdout + tables.stderr
    assert "COMPLETE: 6 deeds of these days" in complete.stdout, complete.stdout + complete.stderr
    assert set(extra.stdout.split()) == {
        "signatures/tagmanifest-sha256.txt.p7s", "tagmanifest-sha256.txt"
    }  # fmt: skip
    assert trust.returncode == 0
    assert "Signature is Valid." in sig.stdout
    assert "Certificate is Trusted." in sig.stdout
    assert table(bundle, "reports")[0]["record.json sha256"] in detach.stdout


def test_the_readme_names_no_file_that_is_not_there(bundle: Path) -> None:
    data = bundle / "data"
    named = [word for word in README.split() if word.startswith("data/") and "report-1" not in word]
    paths = {word.removeprefix("data/").rstrip(",;").split("/.")[0] for word in named}
    assert len(paths) >= 12
    assert [path for path in sorted(paths) if path and not (data / path).exists()] == []
