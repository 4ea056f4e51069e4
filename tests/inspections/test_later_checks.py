"""A sealed PDF carries what is needed to check it when nobody can be asked any more."""

from __future__ import annotations

import asyncio
from dataclasses import replace
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from asn1crypto.x509 import Certificate
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.ades.report import AdESPassed
from pyhanko.sign.validation.ades import ades_lta_validation
from pyhanko.sign.validation.policy_decl import (
    PdfSignatureValidationSpec,
    RevinfoOnlineFetchingRule,
    RevocationInfoGatheringSpec,
    SignatureValidationSpec,
)
from pyhanko_certvalidator.context import CertValidationPolicySpec
from pyhanko_certvalidator.policy_decl import CertRevTrustPolicy, RevocationCheckingPolicy
from pyhanko_certvalidator.registry import SimpleTrustManager

from inspections.evidence.checking.papers import check_paper
from inspections.evidence.checking.seals import certificate_in
from inspections.evidence.checking.trust import Trust
from inspections.reports.certificates import Names
from inspections.reports.keys import Ring, Seal
from inspections.reports.time_stamps import Authority, NotStamped
from tests.inspections.outside_tools import tool
from tests.inspections.own_authority import answering, free_port, make_authority
from tests.inspections.sealed_papers import sealed_pdf


def make_seal(folder: Path) -> Seal:
    now = datetime.now(UTC)
    ring = Ring(folder / "keys", "larkspur", Names("The Larkspur", "Larkspur Trust"), b"quay row")
    return replace(ring.seal(now), revoked=ring.revocations([], now))


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[Seal, Certificate, bytes]:
    """The seal, the authority's root, and a PDF with its stamps."""
    tool("openssl", "openssl")
    folder, port = tmp_path_factory.mktemp("later"), free_port()
    authority = make_authority(folder / "authority", port)
    seal, root = make_seal(folder), certificate_in((authority / "root.pem").read_bytes())
    with answering(authority, port) as address:
        pdf = sealed_pdf(seal, datetime.now(UTC), Authority(address, root))
    return seal, root, pdf


def asked_of_nobody(seal: Seal, stamp_root: Certificate) -> PdfSignatureValidationSpec:
    """Revocation must be shown for every certificate, by what is in the file alone."""
    anchors = [certificate_in(seal.root_pem), stamp_root]
    policy = CertValidationPolicySpec(
        trust_manager=SimpleTrustManager.build(trust_roots=anchors),
        revinfo_policy=CertRevTrustPolicy(RevocationCheckingPolicy.from_legacy("require")),
    )
    gathering = RevocationInfoGatheringSpec(
        online_fetching_rule=RevinfoOnlineFetchingRule.LOCAL_ONLY
    )
    return PdfSignatureValidationSpec(
        SignatureValidationSpec(policy, gathering, ts_cert_validation_policy=policy)
    )


def signature_of(pdf: bytes) -> Any:
    return PdfFileReader(BytesIO(pdf)).embedded_regular_signatures[0]


def test_the_library_finds_it_valid_from_what_is_in_the_file_alone(
    made: tuple[Seal, Certificate, bytes],
) -> None:
    seal, root, pdf = made
    spec = asked_of_nobody(seal, root)
    lasting = asyncio.run(ades_lta_validation(signature_of(pdf), spec))
    assert lasting.ades_subindic == AdESPassed.OK, (lasting.ades_subindic, lasting.failure_msg)


def test_our_check_tells_what_it_carries_and_when_it_was_stamped(
    made: tuple[Seal, Certificate, bytes],
) -> None:
    seal, root, pdf = made
    trust = Trust(certificate_in(seal.root_pem), (), root, True)
    found = check_paper("The report", pdf, trust)
    assert found.verdict == "holds"
    assert "it carries 4 certificates and 2 revocation lists" in found.words
    assert f"Document stamped at {datetime.now(UTC):%Y-%m-%d}" in found.words
    unknown = check_paper("The report", pdf, Trust(trust.root))
    assert "its authority is not known" in unknown.words


def test_without_an_authority_it_carries_certificates_and_the_list_of_the_day(
    tmp_path: Path,
) -> None:
    seal = make_seal(tmp_path)
    found = check_paper(
        "The report", sealed_pdf(seal, datetime.now(UTC)), Trust(certificate_in(seal.root_pem))
    )
    assert "it carries 2 certificates and 1 revocation lists. No time stamp" in found.words


def test_a_stamp_that_leads_to_another_root_seals_nothing(tmp_path: Path) -> None:
    tool("openssl", "openssl")
    seal = make_seal(tmp_path)
    authority = make_authority(tmp_path / "authority")
    with answering(authority) as address:
        other = Authority(address, certificate_in(seal.root_pem))
        with pytest.raises(NotStamped, match="does not lead to"):
            sealed_pdf(seal, datetime.now(UTC), other)
