import pytest
from pathlib import Path
from inspections.actions.issue_report import issue_report
from inspections.queries.report_content import report_content
from inspections.reports.document import document_of
from venue.file_store import path_of
from tests.inspections.proof_house import *
from django.conf import settings
@pytest.mark.django_db
def test_x():
    house = make_proof_house()
    make_task(house, 2, date(2026, 3, 10))
    record = make_record(house)
    make_finding(house, record)
    two = make_record(house, by=house.priya, may_sign=False, by_role="Stagehand", by_competence="No competence as a competent person on file")
    r = issue_report(venue=house.venue, records=[record, two], signer=house.tam, meaning="I carried out this examination, and what is written here is what I found.", at=AT)
    p = path_of(Path(settings.LOFTBOOK_FILES), r.kept_file.sha256)
    Path("/tmp/rp/report.pdf").write_bytes(p.read_bytes())
    r = issue_report(venue=house.venue, records=[record], signer=house.tam, meaning="I carried out this examination, and what is written here is what I found.", at=AT)
    p = path_of(Path(settings.LOFTBOOK_FILES), r.kept_file.sha256)
    Path("/tmp/rp/one.pdf").write_bytes(p.read_bytes())
    d = document_of(report_content(house.venue, [record], AT), "letter", AT)
    Path("/tmp/rp/draft.pdf").write_bytes(d.pdf)
    import shutil; shutil.copytree(settings.LOFTBOOK_KEYS, "/tmp/rp/keys", dirs_exist_ok=True)
