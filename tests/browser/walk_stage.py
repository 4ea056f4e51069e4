"""Priya Kestrel, Tam Achterberg and Marisol Dunne at the winch: found, mended, examined, returned."""

from __future__ import annotations

from inspections.models import Order, Record, ReturnToService, Task
from inspections.queries.state import state_of
from tests.browser.hands import Person, photograph
from tests.browser.walk_house import CLAUSE, House, V
from tests.browser.walk_manager import the_address_on_the_label
from venue.models import Part


def priya_walks_the_catwalk_from_her_list(house: House) -> None:
    priya = house.priya
    priya.sign_in(V + "round/")
    priya.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    priya.page.reload()
    priya.page.get_by_text("This round is on the phone").wait_for()
    said = priya.looks("round")
    assert "C1 Catwalk 1" in said
    assert "W4 Paint frame winch" in said
    card = priya.page.locator("article.card", has_text="Catwalk 1")
    card.get_by_role("button", name="Start this check").click()
    priya.type(**{"loose_found:value": "0"})
    priya.walk_on("Next")
    priya.tick("way_out_lit:given", "yes")
    saved = keep_on_the_phone(priya, "fit")
    assert saved.may_sign
    task = Task.objects.filter(plan__regime="walkway_weekly").earliest("number")
    assert (task.state, task.done_on) == ("done", house.today)


def keep_on_the_phone(person: Person, verdict: str, remark: str = "") -> Record:
    """Look the check over and save it; there is signal, so it stands in the book at once."""
    person.walk_on("Look it over")
    person.page.locator(".attention .choices button").first.click()
    person.page.fill("#remark", remark)
    said = person.looks(f"over-{verdict}")
    assert "Diameter, across it: 9.5 mm" in said or "How many: 0" in said
    person.tap("Save this check")
    person.page.get_by_text("Sent: it stands in the book.").wait_for()
    assert f"Verdict of this phone: {verdict.capitalize()}." in person.looks(f"saved-{verdict}")
    record = Record.objects.latest("at")
    assert (record.state, record.remark) == (verdict, remark)
    return record


def priya_finds_a_bad_rope_by_its_tag(house: House) -> None:
    priya, rope = house.priya, Part.objects.get()
    priya.go(the_address_on_the_label(house))
    assert "Out of service" not in priya.looks("tag").split("\n")[0]
    priya.press("Start this check")
    key = f"running_rope.{rope.pk}"
    priya.type(**rope_seen(key, first="950 mm", broken="6"))
    priya.tick(f"{key}:looked", "yes")
    asked = verdict(priya, key, "950 mm is far from what was expected here")
    assert "correct it or say that it really is so" in asked
    priya.looks("check-asked-again")
    priya.type(**{f"{key}:dia_1_a": "3/8"})
    said = verdict(priya, key, "limit")
    decided = f"Retire: 6, limit 6, exactly at the limit (29 CFR 1926.1413, {CLAUSE})."
    assert decided in said, said
    assert "0.65 below the limit (30 CFR 56.19024" in said, said
    priya.enclose(f"{key}:photo", photograph())
    priya.looks("check-retire")
    priya.walk_on("Next")
    priya.tick(f"rope_identified.{rope.pk}:given", "yes")
    record = keep_on_the_phone(priya, "retire", "Six breaks in one lay.")
    priya.go(f"{V}records/{record.pk}/")
    said = priya.looks("record-retire")
    assert "May record, may not sign. The task stays open." in said
    assert "3/8" in said
    assert "9.5 mm" in said
    assert Order.objects.get().what == "out_of_service"


def rope_seen(key: str, first: str, broken: str) -> dict[str, str]:
    seen = {
        "dia_1_a": first, "dia_1_b": "9.5 mm", "instrument": "Caliper 4", "uncertainty": "0,05 mm",
        "broken_lay": broken, "broken_strand_count": str(int(broken) // 3), "broken_valley": "0",
        "broken_end": "0",
    }  # fmt: skip
    return {f"{key}:{name}": text for name, text in seen.items()}


def verdict(person: Person, key: str, words: str) -> str:
    """What stands under the question, once it says these words."""
    place = person.page.locator(f'[data-question="{key}"] [data-verdict]', has_text=words)
    place.wait_for()
    said: str = place.inner_text()
    return said


def every_page_of_the_winch_says_it_first(house: House) -> None:
    winch, order = house.winch, Order.objects.get()
    record = Record.objects.get(equipment=winch)
    task = Task.objects.filter(equipment=winch, state="open").earliest("number")
    pages = [
        "t/W4/", f"equipment/{winch.pk}/", f"parts/{Part.objects.get().pk}/", f"tasks/{task.pk}/",
        f"findings/{order.finding_id}/", f"records/{record.pk}/", f"equipment/{winch.pk}/out/",
    ]  # fmt: skip
    for person in (house.priya, house.odile):
        for each in pages:
            person.go(V + each)
            first = person.page.locator("main > *").first
            assert first.inner_text().startswith("Out of service"), each
            assert first.locator("svg.mark").count() == 1, each
    house.priya.go(V + "t/W4/")
    house.priya.looks("tag-out")
    for each in ("", "equipment/", "round/"):
        house.priya.go(V + each)
        assert "Out of service" in house.priya.looks("all-" + each.strip("/")), each


def tam_changes_the_rope_and_may_not_return_it(house: House) -> None:
    tam, finding = house.tam, Order.objects.get().finding
    tam.sign_in(V + "findings/")
    tam.follow(finding.what)
    tam.looks("finding")
    tam.type(what="Rope changed for R-8, run in empty and under load")
    tam.press("Record the remedy")
    assert "Add a photograph or a PDF that shows it." in tam.looks("remedy-refused")
    assert tam.page.input_value("[name=what]").startswith("Rope changed for R-8")
    tam.enclose("evidence", photograph("new rope.jpg", "silver"))
    tam.press("Record the remedy")
    assert "Evidence 1" in tam.reads()
    tam.type(statement="Seen over its length.")
    tam.press("Return it, as Tam Achterberg")
    said = tam.looks("return-refused")
    assert "You did the remedy. A second competent person has to look at it" in said
    assert not ReturnToService.objects.exists()
    assert state_of(house.winch, house.today).out


def marisol_examines_and_returns_it(house: House) -> None:
    marisol, rope = house.marisol, Part.objects.get(retired_on=None)
    marisol.sign_in(V + "t/W4/")
    marisol.press("Start this check")
    key = f"running_rope.{rope.pk}"
    marisol.type(**rope_seen(key, first='3/8"', broken="0"))
    marisol.tick(f"{key}:looked", "yes")
    verdict(marisol, key, "Fit")
    marisol.looks("check-fit")
    marisol.walk_on("Next")
    marisol.tick(f"rope_identified.{rope.pk}:given", "yes")
    marisol.walk_on("Look it over")
    marisol.press("Submit, as Marisol Dunne")
    marisol.page.wait_for_url("**/records/*/")
    assert Record.objects.latest("at").state == "fit"
    tasks = Task.objects.filter(plan__regime="winch_ropes_monthly", state="done")
    assert [(task.number, task.done_on) for task in tasks] == [(1, house.today)]
    marisol.go(f"{V}findings/{Order.objects.get().finding_id}/")
    marisol.type(statement="New rope R-8 seen over its length, run empty and loaded.")
    marisol.press("Return it, as Marisol Dunne")
    marisol.page.wait_for_url(f"**/equipment/{house.winch.pk}/")
    assert marisol.page.locator(".banner-out").count() == 0
    marisol.looks("equipment-returned")
    returned = ReturnToService.objects.get()
    assert (returned.by_name, returned.remedied_by.name) == ("Marisol Dunne", "Tam Achterberg")
    assert not state_of(house.winch, house.today).out
