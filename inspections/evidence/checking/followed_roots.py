"""From the root that a reader has to the one that signs now, by what each old root signed of the next."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path

from asn1crypto.x509 import Certificate
from cryptography import x509

from inspections.evidence.checking.checked import Checked, judged, not_checked
from inspections.evidence.checking.seals import certificate_in
from inspections.evidence.head_signature import signed_by_root

FOLDER, FORMAT = "roots", "loftbook new root 1"


@dataclass(frozen=True)
class _Step:
    """What a statement of a bundle says, and whether the old root signed it."""

    name: str
    old: str
    new: str
    holds: bool


def roots_in(bag: Path) -> dict[str, Certificate]:
    """Every root the bundle brought along, by its fingerprint. They count for nothing by themselves."""
    found = [certificate_in(path.read_bytes()) for path in sorted(bag.glob(f"{FOLDER}/root-*.pem"))]
    return {each.sha256.hex(): each for each in found}


def newer_roots(bag: Path, root: Certificate) -> tuple[Certificate, ...]:
    """The roots to which this one leads: each was signed across by the one before."""
    roots, steps = roots_in(bag), _steps(bag)
    at, found = root.sha256.hex(), []
    while step := next((each for each in steps if each.old == at and each.holds), None):
        steps.remove(step)
        at = step.new
        if at not in roots:
            break
        found.append(roots[at])
    return tuple(found)


def older_roots(bag: Path, root: Certificate) -> tuple[Certificate, ...]:
    """The roots that lead to this one. What is older was signed under them."""
    roots = roots_in(bag)
    return tuple(
        each for sha256, each in roots.items()
        if sha256 != root.sha256.hex() and root.sha256 in {x.sha256 for x in newer_roots(bag, each)}
    )  # fmt: skip


def check_new_roots(bag: Path, root: Certificate) -> Checked:
    """Whether each new root was told across by the one before, and leads from the known one on."""
    name, steps = "New roots", _steps(bag)
    if not steps:
        return not_checked(name, "The venue has had one root; none was told across.")
    faults = [f"{each.name}: the old root did not sign this." for each in steps if not each.holds]
    now = certificate_in((bag / "root-certificate.pem").read_bytes())
    known = (root, *newer_roots(bag, root))
    if now.sha256 not in {each.sha256 for each in known}:
        faults.append("The root certificate you know does not lead to the one of this bundle.")
    words = "; ".join(f"{each.old[:16]} handed over to {each.new[:16]}" for each in steps)
    return judged(name, f"{words}. The one of this bundle is {now.sha256.hex()}.", faults)


def _steps(bag: Path) -> list[_Step]:
    roots, found = roots_in(bag), []
    for path in sorted(bag.glob(f"{FOLDER}/new-root-*.json")):
        content = path.read_bytes()
        said = json.loads(content)
        old, new = str(said["old_root_sha256"]), str(said["new_root_sha256"])
        signature = path.with_name(f"{path.name}.p7s").read_bytes()
        holds = old in roots and said["format"] == FORMAT
        if holds:
            by = x509.load_der_x509_certificate(roots[old].dump())
            holds = signed_by_root(content, signature, by)
        found.append(_Step(path.name, old, new, holds))
    return found
