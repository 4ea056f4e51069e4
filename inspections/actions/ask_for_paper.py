"""Ask for a paper of a year plan: an examiner's work pack, or a letter of notice. The worker makes
the PDF from the plan as it stands then."""

from __future__ import annotations

from datetime import date, datetime

from inspections.actions.ask_for_job import Wish, ask_for_job
from inspections.models import Job, YearPlan
from venue.models import Person


def ask_for_paper(
    *, year_plan: YearPlan, what: str, of: str, day: date, title: str, by: Person, at: datetime
) -> tuple[Job, bool]:
    """The job, and whether it is new. Raises TooManyAsked."""
    said = {"plan": year_plan.pk, "what": what, "of": of, "day": day.isoformat()}
    key = f"paper:{year_plan.pk}:{what}:{of}:{day}"
    # The title may name the examiner, so the log, which must be able to forget people, has none.
    asked = said | {"title": title}
    wish = Wish(Job.Kind.PAPER, key, asked=asked, did="ask_for_paper", said=said)
    return ask_for_job(venue=year_plan.venue, wish=wish, by=by, at=at)
