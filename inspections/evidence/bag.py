"""Pack files into a zip in the BagIt layout (RFC 8493), one after the other, in constant memory.

Every file is hashed while it is written. The manifests come last, when all hashes are known.
"""

from __future__ import annotations

import hashlib
import tempfile
import zipfile
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, ThreadPoolExecutor
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import IO, Protocol

from inspections.evidence.progress import Progress

CHUNK, LARGE = 1 << 20, 1 << 16
STORED = (
    ".pdf",
    ".jpg",
    ".png",
    ".webp",
    ".webm",
    ".ogg",
    ".m4a",
)  # packed already; deflating them only costs time


class Writable(Protocol):
    def write(self, content: bytes) -> int: ...


class _Hashed:
    """Hashes and counts what passes through it. A large piece is hashed beside its being written, which
    takes about as long; both are done before the next."""

    def __init__(self, target: Writable, beside: Executor) -> None:
        self._target, self._beside = target, beside
        self._hash, self.size = hashlib.sha256(), 0

    def write(self, content: bytes) -> int:
        self.size += len(content)
        if len(content) < LARGE:
            self._hash.update(content)
            return self._target.write(content)
        hashed = self._beside.submit(self._hash.update, content)
        written = self._target.write(content)
        hashed.result()
        return written

    @property
    def sha256(self) -> str:
        return self._hash.hexdigest()


class Bag:
    """An open bundle. `folder` is the one folder inside the zip."""

    def __init__(
        self, out: IO[bytes], folder: str, at: datetime, progress: Progress | None = None,
        done_up_to: Callable[[int], None] = lambda end: None,
    ) -> None:  # fmt: skip
        """`done_up_to` is told after each file how many bytes of `out` will not change any more."""
        self._progress, self._done_up_to = progress or Progress(), done_up_to
        self._out = out
        self._zip = zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED, allowZip64=True)
        self._folder, self._at = folder, at
        # On disk beyond a megabyte: a decade of photographs makes a long manifest.
        self._beside = ThreadPoolExecutor(1)
        self._manifest = tempfile.SpooledTemporaryFile(CHUNK)  # noqa: SIM115 (closed by close)
        self._tags: list[str] = []
        self.payload_files = 0
        self.payload_bytes = 0

    @contextmanager
    def payload(self, name: str) -> Iterator[_Hashed]:
        """Write one file under data/."""
        self._progress.file(name)
        path = f"data/{name}"
        with self._open(path) as file:
            hashed = _Hashed(file, self._beside)
            yield hashed
        self._done_up_to(self._out.tell())
        self._manifest.write(f"{hashed.sha256}  {path}\n".encode())
        self.payload_files += 1
        self.payload_bytes += hashed.size

    def add_file(self, name: str, source: Path) -> str:
        """Copy a file under data/ and return the SHA-256 of what was really read."""
        with source.open("rb") as file, self.payload(name) as target:
            while chunk := file.read(CHUNK):
                target.write(chunk)
        return target.sha256

    def add_text(self, name: str, chunks: Iterable[str]) -> None:
        with self.payload(name) as target:
            for chunk in chunks:
                target.write(chunk.encode())

    def add_bytes(self, name: str, content: bytes) -> None:
        with self.payload(name) as target:
            target.write(content)

    def add_tag(self, name: str, content: bytes) -> None:
        """A file about the bundle, beside data/. Listed in the tag manifest."""
        self._write(name, content)
        self._tags.append(f"{hashlib.sha256(content).hexdigest()}  {name}\n")

    def finish(self, information: dict[str, str]) -> bytes:
        """The manifests and bag-info; returns the tag manifest, which is what gets signed."""
        size = f"{self.payload_bytes}.{self.payload_files}"
        lines = [
            f"{name}: {text}\n" for name, text in {**information, "Payload-Oxum": size}.items()
        ]
        self.add_tag("bagit.txt", b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n")
        self.add_tag("bag-info.txt", "".join(lines).encode())
        self._add_manifest()
        tags = "".join(sorted(self._tags, key=lambda line: line[66:])).encode()
        self._write("tagmanifest-sha256.txt", tags)
        return tags

    def add_signature(self, name: str, content: bytes) -> None:
        """Beside everything: it signs the tag manifest, so no manifest can list it."""
        self._write(name, content)

    def close(self) -> None:
        self._manifest.close()
        self._beside.shutdown()
        self._zip.close()

    def _add_manifest(self) -> None:
        self._manifest.seek(0)
        with self._open("manifest-sha256.txt") as file:
            hashed = _Hashed(file, self._beside)
            while chunk := self._manifest.read(CHUNK):
                hashed.write(chunk)
        self._tags.append(f"{hashed.sha256}  manifest-sha256.txt\n")

    def _write(self, name: str, content: bytes) -> None:
        with self._open(name) as file:
            file.write(content)

    def _open(self, name: str) -> IO[bytes]:
        entry = zipfile.ZipInfo(f"{self._folder}/{name}", self._at.timetuple()[:6])
        stored = name.endswith(STORED)
        entry.compress_type = zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
        entry.external_attr = 0o644 << 16
        return self._zip.open(entry, "w", force_zip64=True)
