"""What a venue's messages are made of: gathered once for all who read them."""

from __future__ import annotations

from datetime import date
from urllib.parse import urlencode

from django.conf import settings
from django.urls import reverse

from inspections.digest import (
    WEEKLY_AHEAD,
    Digest,
    Fact,
    FindingFact,
    OrderFact,
    Reader,
    TaskFact,
    Waiting,
    Ways,
    daily,
    day_words,
    weekly,
)
from inspections.models import AuditQuestion, Finding, Message, Order
from inspections.queries.rope_forecasts import NearingRope, rope_forecasts
from inspections.queries.tasks import open_tasks, to_do_by
from venue.models import Competence, Person, Venue
from venue.queries.people import lapsing, may_sign_on
from venue.roles import may

ORDER_WORDS = {
    Order.What.OUT_OF_SERVICE: "out of service",
    Order.What.RESTRICTED: "restricted",
    Order.What.BARRED_FROM: "out of service",
}


def waiting_in(venue: Venue, day: date, *, for_manager: bool) -> Waiting:
    """All that is open. The same number of queries however much there is."""
    ropes = rope_forecasts(venue, day) if for_manager else None
    return Waiting(
        day=day,
        tasks=_tasks(venue, day),
        findings=_findings(venue),
        orders=_orders(venue),
        questions=_questions(venue),
        lapsing=[_lapsing(venue, one, day) for one in lapsing(venue, day)] if for_manager else (),
        ropes=[_rope(venue, each) for each in ropes.ropes] if ropes else (),
        ropes_unknown=ropes.unknown if ropes else 0,
        may_sign=may_sign_on(venue, "competent_person", day),
    )


def digest_for(venue: Venue, person: Person, role: str, kind: str, waiting: Waiting) -> Digest:
    """What stands in the message of this kind to them."""
    if kind == Message.Kind.WEEKLY:
        return weekly(waiting, ways_of(venue, person))
    reader = Reader(
        person.pk,
        leads=role in ("manager", "competent"),
        returns=may(role, "return to service") and person.pk in waiting.may_sign,
        answers=may(role, "answer questions"),
    )
    return daily(waiting, reader, ways_of(venue, person))


def ways_of(venue: Venue, person: Person) -> Ways:
    tasks = _address("task_list", venue)
    return Ways(
        round=_address("round", venue),
        tasks=tasks,
        late=f"{tasks}?show=late",
        own_late=f"{tasks}?{urlencode({'show': 'late', 'who': person.name})}",
        nobodys_late=f"{tasks}?show=late&who=nobody",  # as the filter of that list names it
        findings=_address("finding_list", venue),
        questions=_address("audit_questions", venue),
        people=_address("people", venue),
        equipment=_address("equipment_list", venue),
    )


def _address(name: str, venue: Venue, *more: object) -> str:
    return f"{settings.LOFTBOOK_ADDRESS}{reverse(name, args=[venue.slug, *more])}"


def _tasks(venue: Venue, day: date) -> list[TaskFact]:
    return [
        TaskFact(
            f"{task.equipment}: {task.plan.version.title}", task.planned_on, task.last_lawful_on,
            _address("task", venue, task.pk), task.person_id, task.person.name if task.person else "",
            task.half_words, {helper.pk: helper.name for helper in task.helpers.all()},
        )
        for task in open_tasks(venue).filter(to_do_by(day + WEEKLY_AHEAD)).order_by("pk")
    ]  # fmt: skip


def _findings(venue: Venue) -> list[FindingFact]:
    rows = Finding.objects.filter(venue=venue, remedies=None).select_related("equipment")
    return [
        FindingFact(
            f"{one.equipment}: {one.what}", _address("finding", venue, one.pk), one.by_id, one.cured_by
        )
        for one in rows
    ]  # fmt: skip


def _orders(venue: Venue) -> list[OrderFact]:
    rows = Order.objects.filter(venue=venue, returned__isnull=True)
    rows = rows.select_related("equipment", "finding").prefetch_related("finding__remedies")
    return [_order(venue, one) for one in rows.order_by("bites_on", "pk")]


def _order(venue: Venue, order: Order) -> OrderFact:
    remedies = list(order.finding.remedies.all())
    return OrderFact(
        f"{order.equipment}: {order.why}", ORDER_WORDS[Order.What(order.what)],
        _address("finding", venue, order.finding_id), order.bites_on,
        frozenset(remedy.by_id for remedy in remedies),
    )  # fmt: skip


def _questions(venue: Venue) -> list[Fact]:
    rows = AuditQuestion.objects.in_venue(venue).filter(answers=None).select_related("by")
    return [
        Fact(one.text, f"asked by {one.by.name}", _address("audit_question", venue, one.pk))
        for one in rows.order_by("pk")
    ]


def _lapsing(venue: Venue, one: Competence, day: date) -> Fact:
    lapsed = one.expires_on is not None and one.expires_on < day
    when = day_words(one.expires_on) if one.expires_on else ""
    more = f"{'lapsed' if lapsed else 'lapses'} on {when}"
    what = f"{one.person.name}: {one.get_level_display()}, {one.certificate}"
    return Fact(what, more, _address("people", venue))


def _rope(venue: Venue, each: NearingRope) -> Fact:
    rope, near = each.rope, each.nearing
    more = f"about {day_words(near.day)}: {near.criterion}; last {near.value}, limit {near.limit}"
    return Fact(f"{rope.equipment}, {rope}", more, _address("part", venue, rope.pk))
