"""Make the PDF of a paper that a job asks for. It is kept for some days and can be made again."""

from __future__ import annotations

from datetime import date, datetime

from django.db import transaction

from inspections.actions.background_jobs import end_job
from inspections.actions.made_files import KEPT_FOR, made_folder, write_whole
from inspections.models import Job, YearPlan
from inspections.papers.document import paper_pdf
from inspections.queries.paper_content import notice, work_pack
from inspections.queries.year_papers import PACK, year_papers


class NoSuchPaper(ValueError):
    """The plan was changed since: nobody comes that day, or nothing is isolated."""


def make_asked_paper(*, job: Job, at: datetime) -> bool:
    """False when the job was somebody else's in the end: then nothing is kept. Raises NoSuchPaper,
    PdfNotMade."""
    asked = job.asked
    plan = YearPlan.objects.select_related("venue__organisation").get(pk=asked["plan"])
    papers = year_papers(plan, at)
    occasion = papers.occasion(asked["what"], asked["of"], date.fromisoformat(asked["day"]))
    if occasion is None:
        raise NoSuchPaper("The plan was changed since: there is nothing of that kind that day.")
    content = (work_pack if asked["what"] == PACK else notice)(papers, occasion, at)
    path = made_folder() / f"{job.pk}-{job.attempts}.pdf"
    write_whole(path, paper_pdf(content, plan.venue.paper, at))
    told = {"file": path.name, "kept_until": (at + KEPT_FOR).isoformat()}
    ended = False
    try:
        with transaction.atomic():
            ended = end_job(job=job, result=told)
    finally:
        if not ended:
            path.unlink(missing_ok=True)
    return ended
