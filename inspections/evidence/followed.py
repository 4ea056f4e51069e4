"""The SHA-256 of a file while it is still being written, without reading all of it once more afterwards."""

from __future__ import annotations

import hashlib
import os
from concurrent.futures import Future, ThreadPoolExecutor
from typing import IO

CHUNK = 1 << 20
MOST_WAITING = 64  # pieces told of and not yet read: the hash is never far behind


class Followed:
    """Hashes in a thread what has its last form, from the beginning on. `up_to` says how far that is:
    a zip writes the sizes of an entry into its beginning when the entry ends."""

    def __init__(self, file: IO[bytes]) -> None:
        self._file, self._hash = file, hashlib.sha256()
        self._beside, self._told = ThreadPoolExecutor(1), 0
        self._waiting: list[Future[None]] = []

    def up_to(self, end: int) -> None:
        self._file.flush()  # so that the thread finds it there
        self._waiting.append(self._beside.submit(self._read, self._told, end))
        self._told = end
        while len(self._waiting) > MOST_WAITING:
            self._waiting.pop(0).result()

    def sha256(self) -> str:
        """Of everything told of. Raises OSError."""
        self._beside.shutdown()
        for each in self._waiting:
            each.result()
        return self._hash.hexdigest()

    def _read(self, start: int, end: int) -> None:
        while start < end:
            piece = os.pread(self._file.fileno(), min(CHUNK, end - start), start)
            if not piece:
                raise OSError("the file is shorter than what was written")
            self._hash.update(piece)
            start += len(piece)
