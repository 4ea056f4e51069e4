from __future__ import annotations

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.dateparse import parse_date
from django.views.decorators.http import require_POST

from inspections.actions.ask_for_job import TooManyAsked
from inspections.actions.ask_for_paper import ask_for_paper
from inspections.actions.made_files import KEPT_FOR, made_folder
from inspections.queries.asked_papers import AskedPaper, asked_paper, newest_papers, paper_jobs
from inspections.queries.year_papers import Occasion, YearPapers, year_papers
from inspections.views.year_board import plan_of
from venue.access import SignedInRequest, venue_page
from venue.models import Venue
from venue.queries.background import background_work
from venue.roles import may


@venue_page("see pages")
def papers(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    plan, now = plan_of(request, venue, pk), timezone.now()
    shown = {
        "venue": venue,
        "plan": plan,
        "papers": year_papers(plan, now),
        "made": newest_papers(plan, request.user, now),
        "sees_money": may(request.role, "see money"),
    }
    return render(request, "inspections/year_papers.html", shown)


@require_POST
@venue_page("plan tasks")
def ask(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    plan, now = plan_of(request, venue, pk), timezone.now()
    found = _occasion(request, year_papers(plan, now))
    if found is None:
        messages.error(request, "There is nothing of that kind on that day in this plan any more.")
        return redirect("year_papers", venue.slug, pk)
    try:
        job, _ = ask_for_paper(
            year_plan=plan, what=found.what, of=found.of, day=found.day, title=found.title,
            by=request.user, at=now,
        )  # fmt: skip
    except TooManyAsked as refusal:
        messages.error(request, str(refusal))
        return redirect("year_papers", venue.slug, pk)
    return redirect("paper_job", venue.slug, job.pk)


@venue_page("see pages")
def paper_job(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    asked = _asked(request, venue, pk)
    known = {"venue": venue, "asked": asked, "kept_for": KEPT_FOR}
    known["background"] = None if asked.ended else background_work(asked.now)
    return render(request, "inspections/paper_job.html", known)


@venue_page("see pages")
def paper_file(
    request: SignedInRequest, venue: Venue, pk: int
) -> FileResponse | HttpResponse:  # fmt: skip
    asked = _asked(request, venue, pk)
    if asked.state != "ready":
        return redirect("paper_job", venue.slug, pk)
    path = made_folder() / asked.job.result["file"]
    if not path.exists():
        raise Http404("The file is no longer there. Ask for the paper again.")
    return FileResponse(
        path.open("rb"), as_attachment=True, filename=asked.file_name,
        content_type="application/pdf",
    )  # fmt: skip


def _asked(request: SignedInRequest, venue: Venue, pk: int) -> AskedPaper:
    job = get_object_or_404(paper_jobs(venue, request.user), pk=pk)
    return asked_paper(job, timezone.now())


def _occasion(request: SignedInRequest, found: YearPapers) -> Occasion | None:
    try:
        day = parse_date(request.POST.get("day", ""))
    except ValueError:
        return None
    sent = request.POST
    return found.occasion(sent.get("what", ""), sent.get("of", ""), day) if day else None
