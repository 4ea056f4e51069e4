"""The tools of a stranger who checks what the house handed over. Their text is read, not only
their exit code: the signature checker ends with 0 even on a digest mismatch."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest


def tool(name: str, package: str) -> str:
    """The tool's path; the test is skipped with one line where it is not installed."""
    found = shutil.which(name)
    if found is None:
        pytest.skip(f"{name} is not installed: apt-get install {package}")
    return found


def said_by(*command: str | Path, folder: Path | None = None) -> str:
    done = subprocess.run(
        [str(word) for word in command], cwd=folder, capture_output=True, check=False, timeout=60
    )
    return (done.stdout + done.stderr).decode("utf-8", "replace") + f"\nexit code {done.returncode}"


def signature_check(pdf: Path, root_pem: bytes, folder: Path) -> str:
    """What the signature checker says when it trusts this root and nothing else."""
    certutil, pdfsig = tool("certutil", "libnss3-tools"), tool("pdfsig", "poppler-utils")
    trust, root = folder / "trust", folder / "root.pem"
    if not trust.exists():
        trust.mkdir()
        root.write_bytes(root_pem)
        said_by(certutil, "-N", "-d", f"sql:{trust}", "--empty-password")
        said_by(certutil, "-A", "-d", f"sql:{trust}", "-n", "root", "-t", "C,C,C", "-i", root)
    return said_by(pdfsig, "-nssdir", f"sql:{trust}", pdf)
