"""The register pages: four people ask for each; try, look, confirm."""

from __future__ import annotations

from datetime import timedelta

import pytest
import time_machine
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from tests.house import make_person, make_venue
from tests.venue.register_samples import ROPE, WINCH, csv_of
from venue.models import Equipment, LogLine
from venue.register.xlsx_sheet import read_xlsx

pytestmark = pytest.mark.django_db

PAGES = ("", "export/", "export/?as=xlsx", "template/", "template/?as=xlsx")


@pytest.fixture
def venue():
    return make_venue()


@pytest.fixture
def manager(venue) -> Client:
    return signed_in(make_person(venue, "manager"))


def signed_in(person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def send(client: Client, content: bytes, name: str = "register.csv"):
    upload = SimpleUploadedFile(name, content)
    return client.post("/v/larkspur/register/try/", {"file": upload})


def agreed(response) -> str:
    return response.context["agreed"]


def confirm(client: Client, slip: str):
    return client.post("/v/larkspur/register/apply/", {"agreed": slip}, follow=True)


@pytest.mark.parametrize("page", PAGES)
def test_only_the_manager_gets_the_register_pages(venue, page):
    stranger = make_person(make_venue("tern-studio"), "manager")
    people = {make_person(venue, role): status for role, status in
              (("manager", 200), ("stagehand", 403), ("auditor", 403))} | {stranger: 404}  # fmt: skip
    for person, status in people.items():
        assert signed_in(person).get(f"/v/larkspur/register/{page}").status_code == status, person
    assert Client().get(f"/v/larkspur/register/{page}").status_code == 302


@pytest.mark.parametrize("page", ["try/", "apply/"])
def test_only_the_manager_may_send_a_file(venue, page):
    stranger = make_person(make_venue("tern-studio"), "manager")
    people = {
        make_person(venue, "stagehand"): 403,
        make_person(venue, "auditor"): 403,
        stranger: 404,
    }
    for person, status in people.items():
        assert signed_in(person).post(f"/v/larkspur/register/{page}").status_code == status, person
    assert (
        signed_in(make_person(venue, "manager")).get(f"/v/larkspur/register/{page}").status_code
        == 405
    )


def test_a_file_is_shown_first_and_applied_only_when_confirmed(venue, manager):
    shown = send(manager, csv_of(WINCH, ROPE))
    page = shown.content.decode()
    assert "New equipment: W7 Paint frame winch" in page
    assert "field: travel: <b>9.5 m</b>" in page
    assert not Equipment.objects.exists()
    done = confirm(manager, agreed(shown))
    assert "Everything in the file was taken over." in done.content.decode()
    assert Equipment.objects.get().tag == "W7"
    line = LogLine.objects.get(did="import_register")
    assert line.by.name == "Manager"
    assert "register.csv" in line.body


def test_the_same_file_again_says_that_it_changes_nothing(manager):
    confirm(manager, agreed(send(manager, csv_of(WINCH))))
    again = send(manager, csv_of(WINCH))
    assert "changes nothing" in again.content.decode()
    assert "agreed" not in again.context


def test_faults_are_shown_by_row_and_column_and_cannot_be_confirmed(manager):
    shown = send(manager, csv_of(WINCH | {"kind": "drum_wintch"}, ROPE | {"part code": ""}))
    page = shown.content.decode()
    assert shown.status_code == 422
    assert "Did you mean “drum_winch”?" in page
    assert 'data-label="Column">part code<' in page
    assert "agreed" not in shown.context


def test_an_unreadable_file_is_a_fault_of_the_form(manager):
    shown = send(manager, csv_of(WINCH | {"name": "é"}, encoding="cp1252"))
    assert shown.status_code == 422
    assert "CSV UTF-8" in shown.content.decode()
    assert "empty" in send(manager, b"").content.decode()
    assert manager.post("/v/larkspur/register/try/").status_code == 422


def test_text_of_a_file_is_shown_as_text(manager):
    page = send(manager, csv_of(WINCH | {"name": "<script>x</script>"})).content.decode()
    assert "&lt;script&gt;x" in page
    assert "<script>x" not in page


def test_a_confirmation_is_refused_when_altered_old_or_of_someone_else(venue, manager):
    slip = agreed(send(manager, csv_of(WINCH)))
    with time_machine.travel(timezone.now() + timedelta(hours=25), tick=False):
        client = signed_in(make_person(venue, "manager", "later"))
        assert "too old or not yours" in confirm(client, slip).content.decode()
    other = signed_in(make_person(venue, "manager", "other"))
    for client, sent in ((manager, slip + "x"), (manager, ""), (other, slip)):
        assert "too old or not yours" in confirm(client, sent).content.decode()
    assert not Equipment.objects.exists()


def test_a_confirmation_expires_after_a_day(manager):
    slip = agreed(send(manager, csv_of(WINCH)))
    with time_machine.travel(timezone.now() + timedelta(hours=24, seconds=5), tick=False):
        assert "too old or not yours" in confirm(manager, slip).content.decode()
    assert not Equipment.objects.exists()


def test_a_house_that_moved_on_is_shown_anew_and_not_changed(manager):
    confirm(manager, agreed(send(manager, csv_of(WINCH))))
    slip = agreed(send(manager, csv_of(WINCH | {"name": "Renamed"})))
    Equipment.objects.update(name="By hand")
    answer = confirm(manager, slip)
    assert "has changed since the file was tried" in answer.content.decode()
    assert Equipment.objects.get().name == "By hand"
    confirm(manager, agreed(answer))
    assert Equipment.objects.get().name == "Renamed"


def test_a_kept_file_that_is_gone_or_damaged_is_asked_for_again(manager, settings, tmp_path):
    settings.LOFTBOOK_FILES = tmp_path
    slip = agreed(send(manager, csv_of(WINCH)))
    [kept] = [path for path in tmp_path.rglob("*") if path.is_file()]
    kept.write_bytes(b"other")
    assert "damaged" in confirm(manager, slip).content.decode()
    kept.unlink()
    assert "no longer kept" in confirm(manager, slip).content.decode()
    assert not Equipment.objects.exists()


def test_exports_and_templates_are_downloads_of_either_type(manager):
    confirm(manager, agreed(send(manager, csv_of(WINCH, ROPE))))
    for page in ("export", "template"):
        text = manager.get(f"/v/larkspur/register/{page}/")
        assert text.content.startswith(b"\xef\xbb\xbfrow,place,tag")
        assert text["Content-Disposition"].startswith("attachment; filename=")
        book = manager.get(f"/v/larkspur/register/{page}/?as=xlsx")
        assert next(read_xlsx(book.content))[1][:3] == ["row", "place", "tag"]
        assert manager.get(f"/v/larkspur/register/{page}/?as=doc").status_code == 404


def test_an_export_sent_back_changes_nothing(manager):
    confirm(manager, agreed(send(manager, csv_of(WINCH, ROPE))))
    for file_type in ("csv", "xlsx"):
        content = manager.get(f"/v/larkspur/register/export/?as={file_type}").content
        assert "changes nothing" in send(manager, content, f"r.{file_type}").content.decode()
