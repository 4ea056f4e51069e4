"""Unpack what a stranger hands in, without letting it write anywhere else or fill the disk."""

from __future__ import annotations

import stat
import zipfile
import zlib
from pathlib import Path, PurePosixPath

CHUNK = 1 << 20
MOST_FILES = 2_000_000
LONGEST_NAME = 400


class CannotOpen(ValueError):
    """Not a bundle that may be unpacked. The message says why."""


def unpacked(packed: Path, folder: Path, most_bytes: int) -> Path:
    """The one folder of the bundle, below `folder`. Raises CannotOpen."""
    try:
        with zipfile.ZipFile(packed) as bundle:
            entries = [entry for entry in bundle.infolist() if not entry.is_dir()]
            tops = _refuse_odd(entries, most_bytes)
            left = most_bytes
            for entry in entries:
                left -= _write(bundle, entry, folder, left)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError, RuntimeError) as fault:
        raise CannotOpen(f"The file is no whole zip: {fault}.") from fault
    return folder / tops


def small_file_in(packed: Path, name: str, most_bytes: int = 1 << 16) -> bytes | None:
    """One small file of the bundle's folder, without unpacking the rest; None where there is none."""
    try:
        with zipfile.ZipFile(packed) as bundle:
            found = [each for each in bundle.namelist() if each.split("/")[1:] == [name]]
            if len(found) != 1:
                return None
            with bundle.open(found[0]) as file:
                return file.read(most_bytes)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError, RuntimeError, OSError):
        return None


def _refuse_odd(entries: list[zipfile.ZipInfo], most_bytes: int) -> str:
    if not entries or len(entries) > MOST_FILES:
        raise CannotOpen(f"It holds {len(entries)} files.")
    if sum(entry.file_size for entry in entries) > most_bytes:
        raise CannotOpen(f"Unpacked it is larger than {most_bytes} bytes.")
    names = [entry.filename for entry in entries]
    if len({name.casefold() for name in names}) != len(names):
        raise CannotOpen("Two of its files have the same name.")
    for entry in entries:
        _refuse_name(entry)
    tops = {PurePosixPath(name).parts[0] for name in names}
    if len(tops) != 1:
        raise CannotOpen("A bundle is one folder in one file; this is something else.")
    return tops.pop()


def _refuse_name(entry: zipfile.ZipInfo) -> None:
    parts = PurePosixPath(entry.filename).parts
    odd = (
        entry.filename.startswith("/") or "\\" in entry.filename or ":" in entry.filename
        or ".." in parts or len(parts) < 2 or len(entry.filename) > LONGEST_NAME
        or not entry.filename.isprintable()
    )  # fmt: skip
    if odd or stat.S_ISLNK(entry.external_attr >> 16):
        raise CannotOpen(f"It holds a file that no bundle has: {entry.filename[:80]!r}.")
    if entry.flag_bits & 1:
        raise CannotOpen("It is encrypted.")


def _write(bundle: zipfile.ZipFile, entry: zipfile.ZipInfo, folder: Path, left: int) -> int:
    """How many bytes really came out: what an entry says of itself is a claim."""
    target, written = folder / entry.filename, 0
    target.parent.mkdir(parents=True, exist_ok=True)
    with bundle.open(entry) as source, target.open("xb") as file:
        while chunk := source.read(CHUNK):
            written += len(chunk)
            if written > left:
                raise CannotOpen("Unpacked it is larger than it says.")
            file.write(chunk)
    return written
