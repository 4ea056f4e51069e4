"""Photographs and documents of equipment and parts: who may add them, and what is refused."""

from __future__ import annotations

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from PIL import Image

from tests.house import make_house
from tests.venue.screens import faults, signed_in, words
from venue.models import EquipmentFile, KeptFile, LogLine, PartFile

pytestmark = pytest.mark.django_db

HOSTILE = (
    ("tool.exe", b"MZ\x90\x00" * 40, "JPEG"),
    ("tool.pdf", b"MZ\x90\x00" * 40, "is not a PDF"),
    ("page.jpg", b"<html><script>x</script></html>", "JPEG"),
    ("empty.png", b"", "JPEG"),
)


def photograph(name: str = "drum.jpg") -> SimpleUploadedFile:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "grey").save(out, "JPEG")
    return SimpleUploadedFile(name, out.getvalue(), "image/jpeg")


def paper() -> SimpleUploadedFile:
    return SimpleUploadedFile("certificate.pdf", b"%PDF-1.7\n%%EOF", "application/pdf")


@pytest.fixture
def house(settings, tmp_path):
    settings.LOFTBOOK_FILES = str(tmp_path)
    return make_house()


def pages(house) -> dict[str, str]:
    return {
        "equipment": f"/v/larkspur/equipment/{house.winch.pk}/",
        "part": f"/v/larkspur/parts/{house.rope.pk}/",
    }


@pytest.mark.parametrize("thing", ["equipment", "part"])
@pytest.mark.parametrize("role", ["manager", "competent"])
def test_a_photograph_and_a_document_hang_on_the_thing(house, role, thing):
    client, page = signed_in(house.people[role]), pages(house)[thing]
    assert "Photograph or PDF" in words(client.get(f"{page}files/"))
    for upload, caption in ((photograph(), "The drum"), (paper(), "Certificate 77")):
        answer = client.post(f"{page}files/", {"file": upload, "caption": caption})
        assert answer.url == page
    shown = words(client.get(page))
    assert "The drum" in shown
    assert "Certificate 77" in shown
    assert KeptFile.objects.count() == 2
    lines = LogLine.objects.filter(did=f"add_{thing}_file")
    assert lines.count() == 2
    assert '"caption":"The drum"' in lines.earliest("number").body


def test_the_same_file_sent_twice_hangs_there_once(house):
    client, page = signed_in(house.people["manager"]), pages(house)["part"]
    for _ in range(2):
        client.post(f"{page}files/", {"file": photograph(), "caption": "Line 1"})
    assert PartFile.objects.count() == 1
    assert LogLine.objects.filter(did="add_part_file").count() == 1


@pytest.mark.parametrize("thing", ["equipment", "part"])
@pytest.mark.parametrize(("name", "content", "said"), HOSTILE)
def test_what_is_no_photograph_and_no_document_is_refused_and_the_words_stay(
    house, thing, name, content, said
):
    client, page = signed_in(house.people["competent"]), pages(house)[thing]
    upload = SimpleUploadedFile(name, content, "image/jpeg")
    refused = client.post(f"{page}files/", {"file": upload, "caption": "The drum"})
    assert said in faults(refused)["file"][0]
    assert refused.context["form"]["caption"].value() == "The drum"
    assert (
        KeptFile.objects.count() == PartFile.objects.count() == EquipmentFile.objects.count() == 0
    )


def test_a_form_without_a_file_asks_for_one_and_keeps_the_words(house):
    client, page = signed_in(house.people["competent"]), pages(house)["equipment"]
    refused = client.post(f"{page}files/", {"caption": "The drum"})
    assert faults(refused) == {"file": ["Choose a photograph or a PDF first."]}
    assert refused.context["form"]["caption"].value() == "The drum"


@pytest.mark.parametrize("role", ["stagehand", "examiner", "auditor"])
def test_others_read_and_do_not_add(house, role):
    client = signed_in(house.people[role])
    for page in pages(house).values():
        assert f'href="{page}files/"' not in client.get(page).content.decode()
        assert client.post(f"{page}files/", {"file": photograph()}).status_code == 403
    stranger = signed_in(house.people["other manager"])
    for page in pages(house).values():
        assert stranger.post(f"{page}files/", {"file": photograph()}).status_code == 404
    assert KeptFile.objects.count() == 0


def test_a_page_with_many_files_costs_as_much_as_one_with_few(house):
    client, costs = signed_in(house.people["manager"]), []
    for count in (3, 9):
        for page in pages(house).values():
            for number in range(count):
                client.post(f"{page}files/", {"file": photograph(f"{count}-{number}.jpg")})
        with CaptureQueriesContext(connection) as seen:
            for page in pages(house).values():
                client.get(page)
        costs.append(len(seen))
    assert costs[0] == costs[1]
