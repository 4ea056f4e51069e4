"""Functions compiled to machine code when they are first called, and kept on disk. Needs Numba.

What is kept belongs to the exact text of every file here: Numba looks only at the file of a
function, and would go on using an older version of one that it calls.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any, TypeVar

import numba

HERE = Path(__file__).resolve().parent
WRITTEN_INTO_IT = (HERE.parent / "whole_chain.py",)
"""Files elsewhere whose constants the compiled functions hold."""
Function = TypeVar("Function", bound=Callable[..., Any])


def _kept_in() -> Path | None:
    """Where compiled functions are kept; None where nothing can be written: then each process
    compiles them anew."""
    texts = sha256()
    for file in (*sorted(HERE.glob("*.py")), *WRITTEN_INTO_IT):
        texts.update(file.read_bytes())
    folder = HERE / "__pycache__" / f"compiled-{texts.hexdigest()[:16]}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return None
    if not os.access(folder, os.W_OK):
        return None
    for older in folder.parent.glob("compiled-*"):
        if older != folder:
            shutil.rmtree(older, ignore_errors=True)
    return folder


_FOLDER = _kept_in()
if _FOLDER:
    setattr(numba.config, "CACHE_DIR", str(_FOLDER))  # noqa: B010 - numba makes its names itself


def compiled(function: Function) -> Function:
    """The same function as machine code; other threads run while it does.

    It makes no array, so arrays need not be counted by their users (`_nrt`): with that each call
    of another function took longer than what the function does.
    """
    options: dict[str, Any] = {"cache": _FOLDER is not None, "nogil": True, "_nrt": False}
    made: Function = numba.njit(**options)(function)
    return made
