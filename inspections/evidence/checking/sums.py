"""The layout and the sums of a bundle, by RFC 8493."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator
from pathlib import Path

from inspections.evidence.checking.checked import Checked, judged

DECLARATION = b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
MANIFEST, TAGS = "manifest-sha256.txt", "tagmanifest-sha256.txt"
LINE = re.compile(r"([0-9a-f]{64})  (\S.*)")


class BrokenManifest(ValueError):
    """A line of a manifest that names no file."""


def check_layout(bag: Path) -> Checked:
    faults = []
    if (bag / "bagit.txt").read_bytes() != DECLARATION:
        faults.append("bagit.txt does not declare BagIt 1.0 in UTF-8.")
    if not (bag / "data").is_dir():
        faults.append("The folder data is missing.")
    stated = _stated_size(bag)
    files = [path for path in (bag / "data").rglob("*") if path.is_file()]
    found = f"{sum(path.stat().st_size for path in files)}.{len(files)}"
    if stated != found:
        faults.append(f"bag-info.txt says bytes.files {stated}; there are {found}.")
    return judged("The layout", f"BagIt 1.0, {len(files)} files of data.", faults)


def _stated_size(bag: Path) -> str:
    text = (bag / "bag-info.txt").read_text(encoding="utf-8")
    found = [line for line in text.splitlines() if line.startswith("Payload-Oxum: ")]
    return found[0].removeprefix("Payload-Oxum: ") if len(found) == 1 else "nothing"


def check_sums(bag: Path, name: str, manifest: str) -> Checked:
    """Every file a manifest names is there and has its hash."""
    faults, named = [], list(read_manifest(bag / manifest))
    for sha256, path in named:
        file = bag / path
        if not file.is_file():
            faults.append(f"{path} is missing.")
        elif sha256_of_file(file) != sha256:
            faults.append(f"{path} was changed.")
    return judged(name, f"{len(named)} files against {manifest}.", faults)


def check_nothing_more(bag: Path) -> Checked:
    """Every file is named by one manifest, but for the tag manifest and what signs it."""
    named = {path for manifest in (MANIFEST, TAGS) for _, path in read_manifest(bag / manifest)}
    there = {str(path.relative_to(bag)) for path in bag.rglob("*") if path.is_file()}
    known = {TAGS, f"signatures/{TAGS}.p7s", f"signatures/{TAGS}.tst"}
    faults = [f"{path} is in no manifest." for path in sorted(there - named - known)]
    unlisted = {path for path in named if not path.startswith("data/")} & known
    faults += [f"{path} must not be in a manifest." for path in sorted(unlisted)]
    return judged("Nothing added", f"{len(there)} files.", faults)


def read_manifest(path: Path) -> Iterator[tuple[str, str]]:
    """Hash and file of each line. Raises BrokenManifest."""
    seen = set()
    with path.open(encoding="utf-8", newline="\n") as lines:
        for number, line in enumerate(lines, 1):
            found = LINE.fullmatch(line.removesuffix("\n"))
            odd = found is None or found[2] in seen
            if found is None or odd or ".." in Path(found[2]).parts or found[2].startswith("/"):
                raise BrokenManifest(f"{path.name}, line {number}, names no file or one twice")
            seen.add(found[2])
            yield found[1], found[2]


def sha256_of_file(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
