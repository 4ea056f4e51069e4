"""A file that is hashed while it is written has the hash of the whole file."""

from __future__ import annotations

import hashlib
import os
from datetime import UTC, datetime
from pathlib import Path

import pytest

from inspections.evidence.bag import Bag
from inspections.evidence.followed import MOST_WAITING, Followed


def test_a_bundle_has_the_hash_of_all_its_bytes_though_beginnings_are_written_last(
    tmp_path: Path,
) -> None:
    out, large = tmp_path / "out.zip", tmp_path / "large"
    large.write_bytes(os.urandom(3_000_001))
    with out.open("w+b") as file:
        followed = Followed(file)
        bag = Bag(file, "bundle", datetime(2026, 2, 10, tzinfo=UTC), None, followed.up_to)
        for number in range(MOST_WAITING + 5):
            bag.add_text(f"{number}.txt", [f"{number}\n"])
        assert bag.add_file("large.jpg", large) == hashlib.sha256(large.read_bytes()).hexdigest()
        bag.finish({})
        bag.close()
        followed.up_to(file.seek(0, os.SEEK_END))
        said = followed.sha256()
    assert said == hashlib.sha256(out.read_bytes()).hexdigest()


def test_a_file_that_lost_its_end_has_no_hash(tmp_path: Path) -> None:
    with (tmp_path / "out").open("w+b") as file:
        followed = Followed(file)
        file.write(b"half")
        followed.up_to(8)
        with pytest.raises(OSError, match="shorter"):
            followed.sha256()
