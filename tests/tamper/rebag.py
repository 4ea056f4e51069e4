"""Make the sums of a changed bundle right again, as a forger would, and seal it with some key."""

from __future__ import annotations

from hashlib import sha256
from pathlib import Path

from inspections.evidence.manifest_seal import detached_signature
from inspections.reports.keys import Seal

TAGS = "tagmanifest-sha256.txt"
SIGNATURE = f"signatures/{TAGS}.p7s"


def rebag(bag: Path) -> None:
    """Both manifests and the size in bag-info.txt fit what is there."""
    data = [path for path in (bag / "data").rglob("*") if path.is_file()]
    size = f"{sum(path.stat().st_size for path in data)}.{len(data)}"
    info = bag / "bag-info.txt"
    kept = [line for line in info.read_text().splitlines() if not line.startswith("Payload-Oxum")]
    info.write_text("\n".join([*kept, f"Payload-Oxum: {size}"]) + "\n")
    _write(bag, "manifest-sha256.txt", data)
    outside = {bag / TAGS, bag / SIGNATURE}
    everything = [path for path in bag.rglob("*") if path.is_file()]
    tags = [path for path in everything if path not in outside and bag / "data" not in path.parents]
    _write(bag, TAGS, tags)


def reseal(bag: Path, seal: Seal) -> None:
    (bag / SIGNATURE).write_bytes(detached_signature((bag / TAGS).read_bytes(), seal))


def _write(bag: Path, name: str, files: list[Path]) -> None:
    lines = [
        f"{sha256(path.read_bytes()).hexdigest()}  {path.relative_to(bag)}\n"
        for path in sorted(files)
    ]
    (bag / name).write_text("".join(lines))
