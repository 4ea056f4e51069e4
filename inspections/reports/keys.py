"""A venue's own signing keys on disk: a local root certificate and the seals that signed reports.

`root.key`, `root.pem`, `seal.key`, `seal.pem` are made with the venue, or on first use. A later seal
lies in a folder of its own, `seal-2`, `seal-3` and so on; the highest number signs. Certificates
stay; the private key of a seal that was replaced is removed. A folder that has a root too begins a
new one, with what the old root signed of it (`new_roots.py`). The private keys are encrypted at
rest (`key_files.py`). Pure of Django: folder, secret, names and time come in as arguments.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from pathlib import Path
from types import MappingProxyType
from typing import Any

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec

from inspections.reports.certificates import (
    Issuer,
    Names,
    Withdrawn,
    revocation_list,
    root_certificate,
    seal_certificate,
)
from inspections.reports.key_files import ROUNDS, encrypted, opened, rounds_of
from inspections.reports.new_roots import SIGNATURE, STATEMENT, RootOfTime, told_across

PEM = serialization.Encoding.PEM
LIST_OF_A_DAY = timedelta(days=1)


class KeysUnreadable(RuntimeError):
    """The keys are there but cannot be opened: the passphrase changed or a file was damaged."""


class SealExpired(RuntimeError):
    """The seal's certificate has run out; a new one must be made before anything is signed."""


@dataclass(frozen=True)
class Seal:
    """What signs, and the root that a stranger needs to check it. A key that is held in a device or
    by a service is `held`, a signer of the library's interface; then there is none here."""

    key: ec.EllipticCurvePrivateKey | None
    certificate: x509.Certificate
    root: x509.Certificate
    held: Any = None
    revoked: bytes = b""  # the root's revocation list of the day, DER

    @property
    def root_pem(self) -> bytes:
        return self.root.public_bytes(PEM)

    @property
    def revoked_pem(self) -> bytes:
        return x509.load_der_x509_crl(self.revoked).public_bytes(PEM)

    @property
    def root_fingerprint(self) -> str:
        return self.root.fingerprint(hashes.SHA256()).hex()

    @property
    def fingerprint(self) -> str:
        return self.certificate.fingerprint(hashes.SHA256()).hex()


@dataclass(frozen=True)
class Ring:
    """Where a venue's keys are, and what opens them. `lists`: the address below which strangers find
    revocation lists, "" for nowhere. `rounds`: how often the secret is hashed for a file."""

    folder: Path
    slug: str
    names: Names
    secret: bytes = field(repr=False)
    lists: str = ""
    rounds: int = ROUNDS

    @property
    def home(self) -> Path:
        return self.folder / self.slug

    def seal(self, at: datetime) -> Seal:
        """Made if there is none yet. Raises KeysUnreadable, SealExpired."""
        if not self.home.is_dir():
            self._make(at)
        place = self._places()[-1]
        certificate, root = _certificate(place / "seal.pem"), self.root()
        key = self._key(place / "seal.key") if (place / "seal.key").exists() else None
        ends = certificate.not_valid_after_utc
        if at > ends:
            raise SealExpired(f"The report seal of {self.names.venue} ran out on {ends:%Y-%m-%d}.")
        return Seal(key, certificate, root)

    def renewed(self, at: datetime, held: ec.EllipticCurvePublicKey | None = None) -> Seal:
        """The next seal under the same root, which signs from now on. `held`: the public half of a
        key that stays in a device. Raises KeysUnreadable."""
        issuer = self.issuer()
        key = None if held else ec.generate_private_key(ec.SECP256R1())
        public = held or key.public_key()  # type: ignore[union-attr]
        certificate = seal_certificate(public, issuer, self.names.of("report seal"), at)
        self._put(f"seal-{len(self._places()) + 1}", {"seal": certificate}, {"seal": key})
        for place in self._places()[:-1]:
            (place / "seal.key").unlink(missing_ok=True)
        return Seal(key, certificate, issuer.certificate)

    def with_new_root(self, at: datetime) -> Seal:
        """A new root, told across by the old one, and the first seal under it, which signs from now
        on. The old root's key stays, for its revocation lists. Raises KeysUnreadable."""
        old = self.issuer()
        root_key, seal_key = (ec.generate_private_key(ec.SECP256R1()) for _ in range(2))
        root = root_certificate(root_key, self.names, at)
        issuer = Issuer(root_key, root, self._list_address(root))
        seal = seal_certificate(seal_key.public_key(), issuer, self.names.of("report seal"), at)
        self._put(
            f"seal-{len(self._places()) + 1}",
            {"root": root, "seal": seal},
            {"root": root_key, "seal": seal_key},
            told_across(old, root, self.names.venue, at),
        )
        for place in self._places()[:-1]:
            (place / "seal.key").unlink(missing_ok=True)
        return Seal(seal_key, seal, root)

    def for_one_signature(self, name: str, at: datetime) -> Seal:
        """A key in a person's name, under the venue's root, that is kept nowhere and signs once. Raises
        KeysUnreadable."""
        issuer, key = self.issuer(), ec.generate_private_key(ec.SECP256R1())
        subject = self.names.of_person(name)
        certificate = seal_certificate(key.public_key(), issuer, subject, at)
        return Seal(key, certificate, issuer.certificate)

    def issuer(self) -> Issuer:
        """Of what is made now. Raises KeysUnreadable."""
        return self._issuer_in(self._root_places()[-1])

    def root(self) -> x509.Certificate:
        """The newest. No secret is needed. Raises KeysUnreadable."""
        return _certificate(self._root_places()[-1] / "root.pem")

    def roots(self) -> list[RootOfTime]:
        """Every root there ever was, the first one first. No secret is needed. Raises KeysUnreadable."""
        return [
            RootOfTime(
                number, _certificate(place / "root.pem"),
                *(_content(place / name) for name in (STATEMENT, SIGNATURE)),
            )
            for number, place in enumerate(self._root_places(), 1)
        ]  # fmt: skip

    def encrypt_anew(self, secret: bytes) -> None:
        """Under another secret, or more rounds; each file is whole at every moment. Raises
        KeysUnreadable."""
        keys = [path / name for path in self._places() for name in ("seal.key", "root.key")]
        done = replace(self, secret=secret)
        for path in filter(Path.exists, keys):
            if not done._opens(path):  # a run that was stopped half way is gone on with
                _put_in_place_of(path, encrypted(self._key(path), secret, self.rounds))
            elif rounds_of(path.read_bytes()) < self.rounds:
                _put_in_place_of(path, encrypted(done._key(path), secret, self.rounds))

    def revocations(
        self, withdrawn: Sequence[Withdrawn], at: datetime, number: int | None = None
    ) -> bytes:
        """A root's list of the day in DER, signed anew when it is a day old or says less; of the newest
        root, where no `number` says which. Raises KeysUnreadable."""
        place = self._root_places()[(number or 0) - 1]
        path = place / "revocations.crl"
        if path.exists() and _says(kept := path.read_bytes(), withdrawn, at):
            return kept
        signed = revocation_list(self._issuer_in(place), withdrawn, at)
        content = signed.public_bytes(serialization.Encoding.DER)
        _put_in_place_of(path, content)
        return content

    def _opens(self, path: Path) -> bool:
        try:
            self._key(path)
        except KeysUnreadable:
            return False
        return True

    def _make(self, at: datetime) -> None:
        root_key, seal_key = (ec.generate_private_key(ec.SECP256R1()) for _ in range(2))
        root = root_certificate(root_key, self.names, at)
        issuer = Issuer(root_key, root, self._list_address(root))
        seal = seal_certificate(seal_key.public_key(), issuer, self.names.of("report seal"), at)
        self._put("", {"root": root, "seal": seal}, {"root": root_key, "seal": seal_key})

    def _put(
        self,
        place: str,
        certificates: dict[str, x509.Certificate],
        keys: dict[str, ec.EllipticCurvePrivateKey | None],
        more: Mapping[str, bytes] = MappingProxyType({}),
    ) -> None:
        home = self.home / place if place else self.home
        home.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        fresh = Path(tempfile.mkdtemp(prefix=".making-", dir=home.parent))
        try:
            for name, key in keys.items():
                if key:
                    _write(fresh / f"{name}.key", encrypted(key, self.secret, self.rounds))
            for name, certificate in certificates.items():
                _write(fresh / f"{name}.pem", certificate.public_bytes(PEM))
            for name, content in more.items():
                _write(fresh / name, content)
            _move_into_place(fresh, home, one_wins=not place)
        finally:
            shutil.rmtree(fresh, ignore_errors=True)

    def _places(self) -> list[Path]:
        """Of every seal, the first one first."""
        later = [path for path in self.home.glob("seal-*") if path.name[5:].isdecimal()]
        return [self.home, *sorted(later, key=lambda path: int(path.name[5:]))]

    def _root_places(self) -> list[Path]:
        """Of every root, the first one first. A seal's folder that has a root begins a new one."""
        return [self.home, *(each for each in self._places()[1:] if (each / "root.pem").exists())]

    def _issuer_in(self, place: Path) -> Issuer:
        root = _certificate(place / "root.pem")
        return Issuer(self._key(place / "root.key"), root, self._list_address(root))

    def _list_address(self, root: x509.Certificate) -> str:
        return self.lists and f"{self.lists}{root.fingerprint(hashes.SHA256()).hex()}.crl"

    def _key(self, path: Path) -> ec.EllipticCurvePrivateKey:
        try:
            return opened(path.read_bytes(), self.secret)
        except (OSError, ValueError, TypeError) as fault:
            raise KeysUnreadable(
                "The signing keys cannot be opened. Was the secret changed, or a file in the key "
                "folder damaged?"
            ) from fault


def seal_of(
    folder: Path, slug: str, venue: str, organisation: str, passphrase: bytes, at: datetime
) -> Seal:
    """The venue's seal, made if there is none yet. Raises KeysUnreadable, SealExpired."""
    return Ring(folder, slug, Names(venue, organisation), passphrase).seal(at)


def _certificate(path: Path) -> x509.Certificate:
    try:
        return x509.load_pem_x509_certificate(path.read_bytes())
    except (OSError, ValueError) as fault:
        raise KeysUnreadable(
            f"The certificate {path.name} in the key folder is missing or damaged."
        ) from fault


def _content(path: Path) -> bytes:
    return path.read_bytes() if path.is_file() else b""


def _move_into_place(fresh: Path, home: Path, *, one_wins: bool) -> None:
    # Renaming a folder onto one that holds files fails, so of two processes one wins whole.
    try:
        fresh.rename(home)
    except OSError:
        if not (one_wins and home.is_dir()):
            raise


def _says(kept: bytes, withdrawn: Sequence[Withdrawn], at: datetime) -> bool:
    """Whether a list is of this day and tells of exactly these."""
    found = x509.load_der_x509_crl(kept)
    told = {(each.serial_number, each.revocation_date_utc) for each in found}
    wanted = {(each.serial, each.since.replace(microsecond=0)) for each in withdrawn}
    return told == wanted and timedelta(0) <= at - found.last_update_utc < LIST_OF_A_DAY


def _put_in_place_of(path: Path, content: bytes) -> None:
    """Whole at every moment, also for whoever reads it just then."""
    handle, fresh = tempfile.mkstemp(prefix=".making-", dir=path.parent)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
    Path(fresh).replace(path)


def _write(path: Path, content: bytes) -> None:
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "wb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())
