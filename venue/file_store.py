"""Bytes on disk under their SHA-256. Written whole or not at all; never changed, never served by path."""

from __future__ import annotations

import hashlib
import os
import tempfile
from contextlib import suppress
from datetime import datetime
from pathlib import Path


class StoreFull(OSError):
    """The disk is full; nothing was kept."""


def path_of(root: Path, sha256: str) -> Path:
    return root / sha256[:2] / sha256


def keep_bytes(root: Path, content: bytes) -> str:
    """Write the bytes and return their SHA-256. Twice the same bytes is one file, which then says that
    somebody has just brought it: the row that will lead to it is not there yet."""
    sha256 = hashlib.sha256(content).hexdigest()
    target = path_of(root, sha256)
    with suppress(FileNotFoundError):
        os.utime(target)
        return sha256
    try:
        _write_whole(target, content)
    except OSError as fault:
        raise StoreFull(
            "The file could not be kept: the disk may be full. Nothing was saved."
        ) from fault
    return sha256


def lies_there(root: Path, sha256: str) -> bool:
    """Also where its removal was begun and not ended."""
    target = path_of(root, sha256)
    return target.exists() or _aside(target).exists()


def was_begun(root: Path, sha256: str) -> bool:
    """Whether its removal was begun and not ended."""
    return _aside(path_of(root, sha256)).exists()


def _aside(target: Path) -> Path:
    return target.with_suffix(".going")


def remove_bytes(root: Path, sha256: str, *, unless_since: datetime) -> bool:
    """Unless somebody brought them since. They are put aside before that is asked, so whoever brings
    them meanwhile finds nothing there and writes them anew. Returns whether they were removed."""
    target = path_of(root, sha256)
    aside = _aside(target)
    try:
        target.replace(aside)
    except FileNotFoundError:
        if not aside.exists():  # else a process was killed at the next line
            return False
    if aside.stat().st_mtime > unless_since.timestamp():
        aside.replace(target)
        return False
    aside.unlink()
    return True


def end_removal(root: Path, sha256: str) -> None:
    """Of bytes that are needed, and whose removal a process began and was killed in."""
    target = path_of(root, sha256)
    aside = _aside(target)
    if target.exists():
        aside.unlink(missing_ok=True)  # somebody brought them meanwhile
    elif aside.exists():
        aside.replace(target)


def _write_whole(target: Path, content: bytes) -> None:
    # Temporary file, fsync, rename: a killed process leaves no half file under a hash.
    target.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=target.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        Path(name).replace(target)
    finally:
        Path(name).unlink(missing_ok=True)
