"""What an insurer's engineer does at her own desk with a bundle: standard tools, no Loftbook."""

from __future__ import annotations

import csv
import io
import json
import sys
import zipfile
from pathlib import Path

from tests.inspections.outside_tools import said_by, signature_check, tool


def unpacked(packed: Path, folder: Path) -> Path:
    """The one folder in the file."""
    with zipfile.ZipFile(packed) as file:
        assert file.testzip() is None
        file.extractall(folder)
    (bundle,) = folder.iterdir()
    return bundle


def everything_is_right(
    bundle: Path, *, lines: int, records: int, reports: int, folder: Path
) -> None:
    """The README's steps: the seal of the manifest, every file's hash, the log, each report."""
    seal = said_by(
        tool("openssl", "openssl"), "cms", "-verify", "-binary", "-inform", "DER",
        "-in", "signatures/tagmanifest-sha256.txt.p7s", "-content", "tagmanifest-sha256.txt",
        "-CAfile", "root-certificate.pem", "-out", "/dev/null", folder=bundle,
    )  # fmt: skip
    assert "successful" in seal, seal
    for manifest in ("tagmanifest-sha256.txt", "manifest-sha256.txt"):
        sums = said_by(tool("sha256sum", "coreutils"), "-c", "--strict", manifest, folder=bundle)
        assert sums.endswith("exit code 0"), sums
        assert sums.count(": OK") == len((bundle / manifest).read_text().splitlines())
    log = said_by(sys.executable, "-I", "verify_log.py", folder=bundle)
    assert f"LOG OK: {lines} lines, {records} records, {reports} reports" in log, log
    root = (bundle / "root-certificate.pem").read_bytes()
    for pdf in sorted((bundle / "data" / "reports").iterdir()):
        assert "Signature is Valid." in signature_check(pdf, root, folder)


def counted(bundle: Path) -> dict[str, int]:
    """How many there are of each, as the bundle says and as its whole book holds."""
    said = json.loads((bundle / "data" / "completeness.json").read_text())
    return {name: each["in this bundle"] for name, each in said["counts"].items()}


def table(bundle: Path, name: str) -> list[dict[str, str]]:
    text = (bundle / "data" / f"{name}.csv").read_text(encoding="utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))
