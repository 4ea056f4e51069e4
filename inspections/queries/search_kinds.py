"""Each kind of thing that the search box finds beside equipment and its parts: one function, one or
two queries. What stands open comes before what is done with."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta

from django.db.models import Case, Exists, OuterRef, Q, Value, When
from django.db.models.functions import Length

from inspections.digest import day_words
from inspections.models import Finding, Order, RegimeVersion, Remedy, Report, Task
from inspections.queries.folded import holding
from inspections.queries.found import ASKED, Asked, Group, Hit, group
from inspections.queries.tasks import Stop, open_tasks, with_standing
from venue.folding import folded
from venue.language_now import said
from venue.models import Membership, Place

AHEAD = timedelta(days=120)  # tasks planned later are on the page of their equipment
NEAREST = ("at_0", Length("folded"), "pk")


def tasks(asked: Asked) -> Group:
    rows = open_tasks(asked.venue).filter(planned_on__lte=asked.day + AHEAD)
    columns = ("equipment__tag", "equipment__name", "plan__version__title")
    found = holding(rows, asked.words, *columns, also=_titles_said(asked))
    found = found.order_by(asked.named_first("equipment_id"), "planned_on", "pk")[:ASKED]
    url = asked.url("task_list", show=AHEAD.days, words=asked.typed)
    return group(
        "Tasks", list(with_standing(found, asked.day)), lambda stop: _task(asked, stop), url
    )


def _titles_said(asked: Asked) -> Callable[[str], Q]:
    """A check is found by the title that the page shows, in its language."""
    running = RegimeVersion.objects.filter(plans__equipment__venue=asked.venue)
    titles = {
        pk: folded(said(title)) for pk, title in running.distinct().values_list("pk", "title")
    }

    def also(word: str) -> Q:
        return Q(plan__version_id__in=[pk for pk, title in titles.items() if word in title])

    return also


def _task(asked: Asked, stop: Stop) -> Hit:
    what = f"{stop.task.equipment}: {said(stop.task.plan.version.title)}"
    url = asked.url("task", stop.task.pk)
    return Hit(what, _planned(stop.task), url, stop.mark, stop.words)


def _planned(task: Task) -> str:
    words = f"planned for {day_words(task.planned_on)}"
    return f"{words}, {task.half_words}" if task.half else words


def findings(asked: Asked) -> Group:
    remedies = Remedy.objects.filter(finding=OuterRef("pk"))
    orders = Order.objects.filter(finding=OuterRef("pk"), returned__isnull=True)
    rows = Finding.objects.filter(venue=asked.venue).select_related("equipment")
    rows = rows.annotate(has_remedy=Exists(remedies), has_order=Exists(orders))
    found = holding(rows, asked.words, "what", "equipment__tag", "equipment__name")
    cured = Case(When(has_remedy=True, has_order=False, then=Value(1)), default=Value(0))
    found = found.order_by(cured, asked.named_first("equipment_id"), *NEAREST)
    url = asked.url("finding_list", show="all", words=asked.typed)
    return group("Findings", list(found[:ASKED]), lambda one: _finding(asked, one), url)


def _finding(asked: Asked, one: Finding) -> Hit:
    cured = one.has_remedy and not one.has_order  # type: ignore[attr-defined]
    state, words = ("done", "Cured") if cured else ("watch", "Open")
    more = f"{one.equipment}, {day_words(one.at.astimezone(asked.venue.zone).date())}"
    return Hit(one.what, more, asked.url("finding", one.pk), state, words)


def orders(asked: Asked) -> Group:
    rows = Order.objects.filter(venue=asked.venue).select_related("equipment", "returned")
    found = holding(rows, asked.words, "why", "restriction", "equipment__tag", "equipment__name")
    lifted = Case(When(returned__isnull=False, then=Value(1)), default=Value(0))
    found = found.order_by(lifted, asked.named_first("equipment_id"), *NEAREST)
    url = asked.url("order_list", show="all", words=asked.typed)
    return group("Orders", list(found[:ASKED]), lambda one: _order(asked, one), url)


def _order(asked: Asked, one: Order) -> Hit:
    more, url = f"{one.equipment}", asked.url("finding", one.finding_id)
    if hasattr(one, "returned"):
        return Hit(one.why, more, url, "done", "Returned to service")
    if one.what == Order.What.RESTRICTED:
        return Hit(one.why, more, url, "restrict", "Restricted")
    if one.bites_on > asked.day:
        return Hit(one.why, more, url, "watch", f"Out of service from {day_words(one.bites_on)}")
    return Hit(one.why, more, url, "out of service", "Out of service")


def reports(asked: Asked) -> Group:
    """Also with the word for it before the number, in English or in the language of the page."""
    names = {"report", folded(said("Report"))}
    words = [word for word in asked.words if word not in names]
    rows = Report.objects.filter(venue=asked.venue).defer("record_json")
    found = list(holding(rows, words, "number", "title")[:ASKED])
    url = asked.url("reports", words=" ".join(words))
    return group("Reports", found, lambda one: _report(asked, one), url)


def _report(asked: Asked, one: Report) -> Hit:
    examined = f"Examined on {day_words(one.examined_on)}"
    url = asked.url("report", one.number)
    return Hit(said(f"Report {one.number}"), one.title, url, "done", examined)


def places(asked: Asked) -> Group:
    """Each leads to what stands in it and in the places inside it."""
    found = list(holding(Place.objects.filter(venue=asked.venue), asked.words, "name")[:ASKED])
    return group("Places", found, lambda one: _place(asked, one), asked.url("house"))


def _place(asked: Asked, one: Place) -> Hit:
    return Hit(one.name, "; ".join(one.hazards), asked.url("equipment_list", place=one.pk))


def people(asked: Asked) -> Group:
    rows = Membership.objects.filter(venue=asked.venue, ended_on=None).select_related("person")
    found = list(holding(rows, asked.words, "person__name")[:ASKED])
    url = asked.url("people", words=asked.typed)
    return group("People", found, lambda one: _person(asked, one), url)


def _person(asked: Asked, one: Membership) -> Hit:
    name = one.person.name
    return Hit(name, one.get_role_display(), asked.url("people", words=name))


KINDS: tuple[Callable[[Asked], Group], ...] = (tasks, findings, orders, reports, places, people)
