"""Open a finding with the order that belongs to it, in the caller's transaction; and the one-tap
"take out of service"."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from django.db import transaction

from inspections.authority_notice import notice_text
from inspections.consequences import Consequence
from inspections.models import Answer, AuthorityNotice, Finding, Order, Record
from venue.actions.log import Deed, write_lines
from venue.models import Equipment, Part, Person

# Two taps of one thumb, the second of them over a slow line. Source: common practice.
ONE_TAP = timedelta(minutes=1)


class NeedsWhy(ValueError):
    """Taking out of service needs one word why, so that the next person knows what to look at."""


def finding_with_order(
    *,
    equipment: Equipment,
    part: Part | None,
    record: Record | None,
    answer: Answer | None,
    what: str,
    detail: str,
    follows: Consequence,
    by: Person,
    at: datetime,
) -> Finding:
    finding, deeds = open_finding(
        equipment=equipment, part=part, record=record, answer=answer, what=what, detail=detail,
        follows=follows, by=by, at=at,
    )  # fmt: skip
    write_lines(venue=equipment.venue, by=by, at=at, deeds=deeds)
    return finding


def open_finding(
    *,
    equipment: Equipment,
    part: Part | None,
    record: Record | None,
    answer: Answer | None,
    what: str,
    detail: str,
    follows: Consequence,
    by: Person,
    at: datetime,
) -> tuple[Finding, list[Deed]]:
    """The rows without their log lines, for a caller who has more to tell and writes all at once."""
    venue = equipment.venue
    finding = Finding.objects.create(
        venue=venue, equipment=equipment, part=part, record=record, answer=answer, grade=follows.grade,
        what=what[:300], detail=detail, cured_by=follows.cured_by, restriction=follows.restriction,
        by=by, at=at,
    )  # fmt: skip
    after = {
        "grade": follows.grade,
        "what": finding.what,
        "cured_by": follows.cured_by,
        "restriction": follows.restriction,
    }
    deeds = [Deed("open_finding", finding, after=after)]
    if follows.order and follows.bites_on:
        deeds.append(_order(finding, follows.order, follows.bites_on, by, at))
    if follows.grade == "imminent_risk":
        deeds.append(_notice(finding, at))
    return finding, deeds


def _order(finding: Finding, what: str, bites_on: date, by: Person, at: datetime) -> Deed:
    order = Order.objects.create(
        venue=finding.venue, equipment=finding.equipment, finding=finding, what=what,
        why=finding.what, restriction=finding.restriction, bites_on=bites_on, by=by, at=at,
    )  # fmt: skip
    after = {"what": what, "why": finding.what, "bites_on": bites_on}
    return Deed("give_order", order, after=after)


def _notice(finding: Finding, at: datetime) -> Deed:
    # Prepared even if the risk was cured on the spot; sending it is the examiner's own act.
    notice = AuthorityNotice.objects.create(finding=finding, text=notice_text(finding), at=at)
    return Deed("prepare_notice", notice)


def take_out_of_service(
    *, equipment: Equipment, why: str, by: Person, at: datetime, part: Part | None = None
) -> Finding:
    """Bites at once. The person who pressed it cannot lift it alone."""
    if not why.strip():
        raise NeedsWhy("Say why, in a word or two. Then it is out of service at once.")
    today = at.astimezone(equipment.venue.zone).date()
    follows = Consequence("not_used_until_cured", "out_of_service", today, None, "")
    with transaction.atomic():
        return finding_with_order(
            equipment=equipment, part=part, record=None, answer=None, what=why.strip(), detail="",
            follows=follows, by=by, at=at,
        )  # fmt: skip


def press_out_of_service(*, equipment: Equipment, why: str, by: Person, at: datetime) -> Finding:
    """As `take_out_of_service`; a second tap on the same button finds what the first one did."""
    with transaction.atomic():
        # Locked, so that two taps that arrive together come one after the other.
        Equipment.objects.select_for_update().get(pk=equipment.pk)
        just_now = Finding.objects.filter(
            equipment=equipment, by=by, what=why.strip(), at__gt=at - ONE_TAP
        )
        return just_now.last() or take_out_of_service(equipment=equipment, why=why, by=by, at=at)
