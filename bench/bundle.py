"""`python -m bench.bundle [MEGABYTES [TURNS]]`: a bundle of two gigabytes of photographs, against a raw dump of
the same files.

A house with one record that shows that many photographs of 4 MB (random bytes, which no packing makes
smaller) is written straight into a database and a file store of its own. Then, each in a process of
its own so that its peak memory is its own:

- the raw dump: every file of the store read in pieces and written to one file, which is flushed to the disk;
- hashing alone: SHA-256 over the same files, once;
- the bundle: what a person asks for on the page, sealed and flushed to the disk.

Both clocks are told, the least of some turns. The last line is JSON.
"""

from __future__ import annotations

import hashlib
import json
import os
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from bench.evidence import environment, run_part

MEGABYTES, TURNS = 2000, 2
PHOTOGRAPH = 4_000_000
GOAL, MEMORY = 0.5, 200
AT, DAY = datetime(2026, 2, 10, 9, 30, tzinfo=UTC), date(2026, 2, 10)
CHUNK = 1 << 20


def main(megabytes: int, turns: int) -> int:
    with tempfile.TemporaryDirectory(prefix="loftbook-bench-") as folder:
        known = environment(folder)
        run_part("bench.bundle", known, "make", megabytes, turns)
        told = {name: run_part("bench.bundle", known, name, megabytes, turns) for name in PARTS}
    raw, bundle = told["raw dump"], told["bundle"]
    for name, part in told.items():
        part["of the raw dump"] = {
            clock: round(raw[clock] / part[clock], 2) for clock in ("wall", "processor")
        }
        print(f"{name:14} {part['wall']:7.2f} s ({megabytes / part['wall']:6.0f} MB/s), processor "
              f"{part['processor']:6.2f} s; "
              f"rate of the raw dump x {part['of the raw dump']}; {part['peak_mb']} MB at most")  # fmt: skip
    print(json.dumps({"megabytes": megabytes, "goal": GOAL, "goal_mb": MEMORY, **told}))
    return int(bundle["of the raw dump"]["wall"] < GOAL or bundle["peak_mb"] >= MEMORY)


def part(name: str, megabytes: int, turns: int) -> dict[str, Any]:
    import django

    django.setup()
    if name == "make":
        make(megabytes)
        return {}
    found = [_timed(PARTS[name]) for _ in range(turns)]
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    wall, processor = (round(min(each), 3) for each in zip(*found, strict=True))
    return {"wall": wall, "processor": processor, "peak_mb": peak}


def _timed(work: Callable[[Path], None]) -> tuple[float, float]:
    with tempfile.TemporaryDirectory(dir=os.environ["LOFTBOOK_FILES"]) as folder:
        began = time.perf_counter(), time.process_time()
        work(Path(folder) / "out")
        return time.perf_counter() - began[0], time.process_time() - began[1]


def make(megabytes: int) -> None:
    """One record of one check, whose answer shows every photograph."""
    from django.conf import settings
    from django.core.management import call_command

    from inspections.models import Answer, AnswerPhoto
    from venue.file_store import keep_bytes
    from venue.models import KeptFile

    call_command("migrate", verbosity=0)
    record = _record()
    answer = Answer.objects.create(
        record=record, order=1, check_slug="x", question="?", given="yes"
    )
    for number in range(megabytes * 1_000_000 // PHOTOGRAPH):
        sha256 = keep_bytes(Path(settings.LOFTBOOK_FILES), os.urandom(PHOTOGRAPH))
        kept = KeptFile.objects.create(
            venue=record.venue, what="photograph", name=f"{number}.jpg", media_type="image/jpeg",
            size=PHOTOGRAPH, sha256=sha256, shown_sha256=sha256, shown_media_type="image/jpeg", at=AT,
        )  # fmt: skip
        AnswerPhoto.objects.create(answer=answer, kept_file=kept)


def _record() -> Any:
    from inspections.models import Record, RegimeVersion
    from venue.log_hash import sha256_of
    from venue.models import Equipment, Organisation, Person, Place, Venue

    trust = Organisation.objects.create(slug="larkspur-trust", name="Larkspur Trust")
    venue = Venue.objects.create(organisation=trust, slug="larkspur", name="The Larkspur")
    place = Place.objects.create(venue=venue, slug="grid", name="Gridiron")
    winch = Equipment.objects.create(
        venue=venue, place=place, tag="CW-01", name="Canopy winch", kind="drum_winch",
        kind_hash="0" * 64, serial="", made_on="unknown",
    )  # fmt: skip
    version = RegimeVersion.objects.create(
        slug="x", hash=sha256_of("x"), body="x", first_used=AT, title="Every month"
    )
    by = Person.objects.create_user("tam@larkspur.example", "Tam Achterberg", "-")
    return Record.objects.create(
        venue=venue, equipment=winch, version=version, by=by, by_name=by.name, at=AT, started_at=AT,
        done_on=DAY, state="fit", body="{}", sha256=sha256_of("{}"), by_role="", by_competence="",
        may_sign=False,
    )  # fmt: skip


def _files() -> list[Path]:
    from django.conf import settings

    return [path for path in Path(settings.LOFTBOOK_FILES).rglob("*") if len(path.name) == 64]


def raw_dump(out: Path) -> None:
    with out.open("wb") as target:
        for path in _files():
            with path.open("rb") as source:
                while chunk := source.read(CHUNK):
                    target.write(chunk)
        target.flush()
        os.fsync(target.fileno())


def hashing_alone(out: Path) -> None:
    for path in _files():
        with path.open("rb") as source:
            hashlib.file_digest(source, "sha256")


def bundle(out: Path) -> None:
    from inspections.actions.export_evidence import Asked, write_bundle
    from venue.models import Venue

    made = write_bundle(asked=Asked(Venue.objects.get(), DAY, DAY, None, AT), out=out)
    assert made.missing == []
    assert made.written["photographs_and_documents"] == len(_files())


PARTS: dict[str, Callable[[Path], None]] = {
    "raw dump": raw_dump,
    "hashing alone": hashing_alone,
    "bundle": bundle,
}

if __name__ == "__main__":
    if sys.argv[1:2] == ["--part"]:
        print(json.dumps(part(sys.argv[2], *map(int, sys.argv[3:]))))
    else:
        asked = [int(word) for word in sys.argv[1:]]
        sys.exit(main(*(asked + [MEGABYTES, TURNS][len(asked) :])))
