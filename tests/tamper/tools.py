"""What a stranger looks with. Each tool says whether it objects to a bundle; it knows what its
reader kept from elsewhere and nothing of what was changed."""

from __future__ import annotations

import logging
import subprocess
import sys
import tempfile
import zipfile
from collections.abc import Callable
from functools import cache
from pathlib import Path

import bagit

from inspections.evidence.checking.checked import all_hold
from inspections.evidence.checking.whole import Known, check_evidence
from inspections.queries.evidence_rows import TALLIES
from tests.tamper.evidence import Evidence

Tool = Callable[[Path, Evidence], bool]
KEPT_ASIDE = {"tagmanifest-sha256.txt", "signatures/tagmanifest-sha256.txt.p7s"}
SEALED = ("openssl cms -verify -binary -inform DER -in signatures/tagmanifest-sha256.txt.p7s "
          "-content tagmanifest-sha256.txt -CAfile root-certificate.pem -out /dev/null && "
          "openssl cms -cmsout -inform DER -outform DER -in signatures/tagmanifest-sha256.txt.p7s "
          "| cmp - signatures/tagmanifest-sha256.txt.p7s")  # fmt: skip
ADDED = ("comm -23 <(find . -type f | sed 's|^\\./||' | LC_ALL=C sort) <(cut -c67- "
         "manifest-sha256.txt tagmanifest-sha256.txt | LC_ALL=C sort)")  # fmt: skip
logging.getLogger("bagit").setLevel(logging.CRITICAL)


def _said(bag: Path, command: str) -> tuple[int, str]:
    done = subprocess.run(
        ["bash", "-c", command], cwd=bag, capture_output=True, check=False, timeout=60
    )
    return done.returncode, done.stdout.decode("utf-8", "replace")


def root_fingerprint(bag: Path, evidence: Evidence) -> bool:
    command = "openssl x509 -in root-certificate.pem -noout -fingerprint -sha256"
    code, said = _said(bag, command)
    return (
        bool(code) or said.strip().split("=")[-1].replace(":", "").lower() != evidence.fingerprint
    )


def openssl_cms(bag: Path, _: Evidence) -> bool:
    return bool(_said(bag, SEALED)[0])


def sha256sum(bag: Path, _: Evidence) -> bool:
    sums = ("tagmanifest-sha256.txt", "manifest-sha256.txt")
    return any(_said(bag, f"sha256sum -c --quiet --strict {name}")[0] for name in sums)


def comm(bag: Path, _: Evidence) -> bool:
    return set(_said(bag, ADDED)[1].splitlines()) != KEPT_ASIDE


def bagit_library(bag: Path, _: Evidence) -> bool:
    try:
        bagit.Bag(str(bag)).validate()
    except (bagit.BagError, OSError, ValueError):
        return True
    return False


def _script(name: str, words: str = "") -> Tool:
    def objects(bag: Path, evidence: Evidence) -> bool:
        kept = "--kept {} {}".format(*evidence.kept) if words else ""
        return bool(_said(bag, f"{sys.executable} -I {name} {kept}")[0])

    return objects


def pdfsig(bag: Path, evidence: Evidence) -> bool:
    """It ends with 0 even on a digest mismatch, so its words count."""
    root = bag / "root-certificate.pem"
    if not root.is_file():
        return True
    trusted = root.read_bytes()
    pdfs = sorted(bag.glob("data/reports/*.pdf"))
    found = [_signed_whole(pdf.read_bytes(), trusted) for pdf in pdfs]
    return not all(found)


@cache
def _signed_whole(pdf: bytes, root: bytes) -> bool:
    """The same bytes against the same root are asked once: nothing else goes into the answer."""
    with tempfile.TemporaryDirectory(prefix="loftbook-pdfsig-") as name:
        folder = Path(name)
        (folder / "report.pdf").write_bytes(pdf)
        (folder / "root.pem").write_bytes(root)
        _said(folder, "mkdir trust && certutil -N -d sql:trust --empty-password")
        _said(folder, 'certutil -A -d sql:trust -n root -t "C,C,C" -i root.pem')
        said = _said(folder, "pdfsig -nssdir sql:trust report.pdf")[1]
    signed = said.count("- Signing Time:")
    hold = said.count("Signature is Valid."), said.count("Certificate is Trusted.")
    return bool(signed) and hold == (signed, signed) and said.count("- Total document signed") == 1


def verify_evidence(bag: Path, evidence: Evidence) -> bool:
    """Loftbook's own check, which is counted apart: what it alone catches is not caught."""
    packed = bag.parent / "packed.zip"
    with zipfile.ZipFile(packed, "w") as bundle:
        for path in sorted(bag.rglob("*")):
            if path.is_file():
                bundle.write(path, str(path.relative_to(bag.parent)))
    known = Known(root=evidence.root, tallies=TALLIES, kept=(evidence.kept,))
    holds = all_hold(check_evidence(packed, known))
    packed.unlink()
    return not holds


STANDARD: dict[str, Tool] = {
    "root fingerprint": root_fingerprint,
    "openssl cms": openssl_cms,
    "sha256sum": sha256sum,
    "comm": comm,
    "bagit": bagit_library,
    "pdfsig": pdfsig,
}
SCRIPTS: dict[str, Tool] = {
    "verify_log": _script("verify_log.py"),
    "with the kept head": _script("verify_log.py", "kept"),
    "verify_complete": _script("verify_complete.py"),
    "verify_tables": _script("verify_tables.py"),
    "verify_signatures": _script("verify_signatures.py"),
    "verify_competences": _script("verify_competences.py"),
}
OURS = "verify_evidence"
TOOLS: dict[str, Tool] = {**STANDARD, **SCRIPTS, OURS: verify_evidence}
