"""Whoever kept a head of the log finds what the holder of the server wrote anew, sealed and all."""

from __future__ import annotations

import hashlib
import json
from datetime import date
from pathlib import Path

import pytest

from tests.inspections.proof_house import (
    House,
    make_record,
)
from tests.inspections.season import (
    completeness,
    make_bundle,
    run,
)
from tests.venue.trees import root
from venue.log_hash import sha256_of

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


def test_a_log_rewritten_and_sealed_again_is_found_by_who_kept_a_head(
    season: House, tmp_path: Path
) -> None:
    kept = completeness(make_bundle(season, tmp_path))["log"]
    asked = f"python3 -I verify_log.py --kept {kept['lines']} {kept['root']}"
    make_record(season)
    later = make_bundle(season, tmp_path, date(2026, 2, 1), date(2026, 2, 27))
    assert f"KEPT OK: it begins with the {kept['lines']} lines" in run(asked, later).stdout
    rewrite(later, season)
    assert "LOG OK" in run("python3 -I verify_log.py", later).stdout
    done = run(asked, later)
    assert done.returncode == 1
    assert "does not begin with the" in done.stdout
    assert "LOG OK" not in done.stdout
    longer = run(f"python3 -I verify_log.py --kept 99 {kept['root']}", later)
    assert "has only" in longer.stdout
    assert longer.returncode == 1


def rewrite(bundle: Path, season: House) -> None:
    """As whoever holds the server could: another first line, and the root that goes with it."""
    log = bundle / "data" / "log.jsonl"
    lines = log.read_bytes().splitlines()
    assert b"retire" in lines[0]
    lines[0] = lines[0].replace(b"retire", b"fit")
    log.write_bytes(b"\n".join(lines) + b"\n")
    leaves = [hashlib.sha256(b"\0" + line).digest() for line in lines]
    said, told = bundle / "data" / "completeness.json", completeness(bundle)
    said.write_text(json.dumps(told | {"log": told["log"] | {"root": root(leaves).hex()}}))
    heads, previous = bundle / "data" / "heads.jsonl", ""
    made = []
    for text in heads.read_text().splitlines():
        head = json.loads(text)
        new = {"root": root(leaves[: int(head["size"])]).hex(), "previous_head_sha256": previous}
        made.append(json.dumps(head | new))
        previous = sha256_of(made[-1])
    heads.write_text("\n".join(made) + "\n")
    (bundle / "data" / "head.json").write_text(made[-1])
