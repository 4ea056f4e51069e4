"""Bytes on disk under their SHA-256. Written whole or not at all; never changed, never served by path."""

from __future__ import annotations

import hashlib
import os
import tempfile
from pathlib import Path


class StoreFull(OSError):
    """The disk is full; nothing was kept."""


def path_of(root: Path, sha256: str) -> Path:
    return root / sha256[:2] / sha256


def keep_bytes(root: Path, content: bytes) -> str:
    """Write the bytes and return their SHA-256. Twice the same bytes is one file."""
    sha256 = hashlib.sha256(content).hexdigest()
    target = path_of(root, sha256)
    if target.exists():
        return sha256
    try:
        _write_whole(target, content)
    except OSError as fault:
        raise StoreFull(
            "The file could not be kept: the disk may be full. Nothing was saved."
        ) from fault
    return sha256


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
