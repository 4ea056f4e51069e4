"""Papers of a planned year: an examiner's work pack and letters of notice, as PDF, and their pages."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
import time_machine
from django.test import Client
from django.urls import reverse

from inspections.actions.ask_for_paper import ask_for_paper
from inspections.actions.background_jobs import take_up
from inspections.actions.make_asked_paper import NoSuchPaper, make_asked_paper
from inspections.actions.publish_year_plan import publish_year_plan
from inspections.jobs import work_on
from inspections.models import Finding, Job
from inspections.papers.content import NOT_PUBLISHED
from inspections.papers.document import paper_pdf
from inspections.planning.house import Task
from inspections.queries.paper_content import notice, work_pack
from inspections.queries.year_papers import NOTICE, PACK, Occasion, YearPapers, year_papers
from tests.house import NOW
from tests.inspections.outside_tools import said_by, tool
from tests.inspections.planned_house import REGIMES, a_task, make_planned_house
from venue.models import LogLine

pytestmark = pytest.mark.django_db
ROPES, QUARTERLY = REGIMES


@pytest.fixture
def house() -> Iterator[Any]:
    """Its winch W1 is examined by an outside examiner, with test weights on site."""
    with time_machine.travel(NOW, tick=False):
        house = make_planned_house(winches=2)
        house.client = Client()
        house.client.force_login(house.people["manager"])
        yield house


def occasion(house: Any, what: str = PACK) -> tuple[YearPapers, Occasion]:
    """Of the first task of W1; what the plan itself gives, the demo house shows."""
    papers = year_papers(house.year_plan, NOW)
    row = a_task(house.year_plan)
    task = next(task for task, each in papers.checked.rows.items() if each.pk == row.pk)
    words = "thorough examination" if what == PACK else "detectors isolated, with a fire watch"
    return papers, Occasion(what, "lifting", words, row.day, 3, [task])


def test_a_pack_of_a_plan_that_is_not_published_says_draft(house: Any) -> None:
    assert work_pack(*occasion(house), NOW).head.draft == NOT_PUBLISHED
    publish_year_plan(year_plan=house.year_plan, by=house.people["manager"], at=NOW)
    assert work_pack(*occasion(house), NOW).head.draft == ""


def test_a_pack_tells_scope_order_access_and_who_meets_the_examiner(house: Any) -> None:
    pack = work_pack(*occasion(house), NOW)
    (task,) = pack.tasks
    assert (task.tag, task.check) == ("W1", "Running ropes of a winch, monthly")
    assert pack.meets == tuple(c.person.name for c in a_task(house.year_plan).crew.all())
    assert {one.what for one in pack.arranged} == {"Access", "Made ready"}
    assert all(one.tags == ("W1",) for one in pack.arranged)
    assert task.hazards == ("Moving load",)
    assert pack.afternoon == "Nothing booked"


def test_a_pack_goes_through_the_house_but_nothing_comes_before_what_must_be_first(
    house: Any,
) -> None:
    """W2 hangs in the gallery, walked last; its check is to come before the others of its half-day."""
    planned = house.year_plan.planned
    rows = [
        planned.filter(equipment__tag=tag, plan__regime=regime).order_by("day").first()
        for tag, regime in (("W1", ROPES), ("W2", ROPES), ("W2", QUARTERLY))
    ]
    for half, row in zip(("pm", "pm", "am"), rows, strict=True):
        planned.filter(pk=row.pk).update(day=rows[0].day, half=half)
    papers, visit = occasion(house)
    tasks = {row.pk: task for task, row in papers.checked.rows.items()}
    visit.tasks[:] = [tasks[row.pk] for row in rows]
    pack = work_pack(papers, visit, NOW)
    assert [(task.half, task.tag) for task in pack.tasks] == [
        ("Morning", "W2"), ("Afternoon", "W1"), ("Afternoon", "W2"),
    ]  # fmt: skip
    ordered = papers_with_first(papers, first=tasks[rows[1].pk], then=tasks[rows[0].pk])
    pack = work_pack(ordered, visit, NOW)
    assert [task.tag for task in pack.tasks] == ["W2", "W2", "W1"]
    assert [task.number for task in pack.tasks] == [1, 2, 3]
    letter = notice(ordered, Occasion(NOTICE, "lifting", "locked", visit.day, 3, visit.tasks), NOW)
    assert [thing.tag for thing in letter.things] == ["W2", "W2", "W1"]


def papers_with_first(papers: YearPapers, first: Task, then: Task) -> YearPapers:
    """The same papers where one task must be done before another."""
    house = papers.checked.found.house
    plans = tuple(
        replace(plan, kind={first.plan: "first", then.plan: "then"}.get(plan.key, plan.kind))
        for plan in house.plans
    )
    found = replace(
        papers.checked.found, house=replace(house, plans=plans, order=(("first", "then"),))
    )
    return replace(papers, checked=replace(papers.checked, found=found))


def test_a_pack_names_the_rope_to_measure_and_never_measured_is_said(house: Any) -> None:
    (rope,) = work_pack(*occasion(house), NOW).tasks[0].ropes
    assert rope.part == "line 1 Wire rope"
    assert rope.last_on == "Not measured in the last 13 months"
    assert rope.places == (
        "Where it runs over sheaves and at its ends, and wherever it looks worst",
    )


def test_a_pack_tells_the_findings_of_the_last_year_and_no_older_ones(house: Any) -> None:
    for what, days in (("Six broken wires", 100), ("Long forgotten", 500)):
        Finding.objects.create(
            venue=house.venue, equipment=house.winch, part=house.rope, grade="observation",
            what=what, by=house.people["competent"], at=NOW - timedelta(days=days),
        )  # fmt: skip
    (finding,) = work_pack(*occasion(house), NOW).tasks[0].findings
    assert finding.what == "line 1 Wire rope: Six broken wires"
    assert finding.standing == "No remedy on record"


def test_a_letter_says_when_what_and_by_when_it_has_to_be_sent(house: Any) -> None:
    papers, isolation = occasion(house, NOTICE)
    letter = notice(papers, isolation, NOW)
    assert letter.send_by == f"{isolation.day - timedelta(days=3):%A %-d %B %Y}"
    assert letter.from_to == "13:00 to 18:00"
    assert [thing.tag for thing in letter.things] == ["W1"]
    assert letter.responsible


def test_both_papers_print_with_the_caution_and_the_draft_on_every_page(
    house: Any, tmp_path: Path
) -> None:
    for what, make in ((PACK, work_pack), (NOTICE, notice)):
        content = make(*occasion(house, what), NOW)
        pdf = tmp_path / f"{what}.pdf"
        pdf.write_bytes(paper_pdf(content, "A4", NOW))
        text = said_by(tool("pdftotext", "poppler-utils"), "-layout", pdf, "-")
        pages = ["".join(page.split()) for page in text.split("\f")[:-1]]
        assert pages
        assert [page for page in pages if "".join(NOT_PUBLISHED.split()) not in page] == []
        whole = "".join(pages)
        assert "W1" in whole
        assert "localcodes" in whole


def test_the_worker_makes_the_paper_and_its_page_hands_it_out(
    house: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    papers, visit = occasion(house)
    monkeypatch.setattr(
        "inspections.actions.make_asked_paper.year_papers",
        lambda plan, at: YearPapers(plan, papers.checked, [visit], []),
    )
    job, new = ask_for_paper(
        year_plan=house.year_plan, what=PACK, of="lifting", day=visit.day, title="Work pack",
        by=house.people["manager"], at=NOW,
    )  # fmt: skip
    again, second = ask_for_paper(
        year_plan=house.year_plan, what=PACK, of="lifting", day=visit.day, title="Work pack",
        by=house.people["competent"], at=NOW,
    )  # fmt: skip
    assert (new, second, again.pk) == (True, False, job.pk)
    line = LogLine.objects.get(did="ask_for_paper")
    assert '"of":"lifting"' in line.body
    assert "Work pack" not in line.body  # a title may name the examiner
    assert work_on(job.pk) == Job.State.DONE
    page = house.client.get(reverse("paper_job", args=["larkspur", job.pk]))
    assert "Download it (PDF)" in page.content.decode()
    file = house.client.get(reverse("paper_file", args=["larkspur", job.pk]))
    assert file.headers["Content-Disposition"].endswith(f'larkspur-work-pack-{visit.day}.pdf"')
    assert file.getvalue().startswith(b"%PDF-")


def test_a_paper_of_a_day_on_which_nobody_comes_any_more_fails_in_words(house: Any) -> None:
    job, _ = ask_for_paper(
        year_plan=house.year_plan, what=PACK, of="lifting", day=date(2026, 6, 3), title="Work pack",
        by=house.people["manager"], at=NOW,
    )  # fmt: skip
    taken = take_up(pk=job.pk, at=NOW)
    assert taken
    with pytest.raises(NoSuchPaper, match="The plan was changed since"):
        make_asked_paper(job=taken, at=NOW)


def test_asking_for_what_the_plan_does_not_hold_makes_no_job(house: Any) -> None:
    where = reverse("ask_for_paper", args=["larkspur", house.year_plan.pk])
    for sent in ({}, {"what": PACK, "of": "lifting", "day": "2026-06-03"}, {"day": "2026-02-30"}):
        assert house.client.post(where, sent).status_code == 302
    assert not Job.objects.filter(kind=Job.Kind.PAPER).exists()


def test_the_page_of_papers_says_when_there_are_none(house: Any) -> None:
    page = house.client.get(reverse("year_papers", args=["larkspur", house.year_plan.pk]))
    said = re.sub(r"<[^>]+>", " ", page.content.decode())
    assert "No outside examiner comes in this plan." in said
    assert "Every paper of it says DRAFT on each page." in said
