"""What a work pack and a letter of notice say. Reads only."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from inspections.held_half_days import Hold
from inspections.models import PlannedTask, YearPlan
from inspections.order_of_work import in_order_of_work
from inspections.papers.content import (
    NOT_PUBLISHED,
    Arranged,
    Head,
    Isolated,
    Notice,
    PackTask,
    WorkPack,
)
from inspections.planning.house import Task
from inspections.queries.equipment import kind_label
from inspections.queries.held_half_days import half_days_held, hours_of
from inspections.queries.last_year import LastYear, last_year_of
from inspections.queries.state import states_of
from inspections.queries.year_board import planned_tasks
from inspections.queries.year_papers import Occasion, YearPapers
from venue.language_now import language_of_papers
from venue.models import Venue

DAY = "%A %-d %B %Y"
HALVES = {"am": "Morning", "pm": "Afternoon"}


def work_pack(papers: YearPapers, visit: Occasion, now: datetime) -> WorkPack:
    rows = _rows(papers, visit.tasks)
    held = half_days_held(papers.plan.venue, visit.day, visit.day)
    told = last_year_of([row.equipment for row in rows], now)
    return WorkPack(
        head=_head(papers.plan, "Work pack", f"Work pack: {visit.words}, {visit.day:{DAY}}", now),
        day=f"{visit.day:{DAY}}",
        trade=visit.words,
        meets=tuple(_leaders(rows)),
        morning=_hold_words(held[visit.day, "am"]),
        afternoon=_hold_words(held[visit.day, "pm"]),
        arranged=tuple(_arranged(papers, visit.tasks)),
        tasks=tuple(_pack_tasks(papers, visit.tasks, rows, told, now)),
    )


def notice(papers: YearPapers, isolation: Occasion, now: datetime) -> Notice:
    rows = _rows(papers, isolation.tasks)
    halves = sorted({row.half for row in rows} | {_last_half(row) for row in rows})
    hours = hours_of(papers.plan.venue)
    begins, ends = hours.of(halves[0])[0], hours.of(halves[-1])[1]
    title = f"Notice of {isolation.words}, {isolation.day:{DAY}}"
    return Notice(
        head=_head(papers.plan, "Letter of notice", title, now),
        day=f"{isolation.day:{DAY}}",
        what=isolation.words,
        halves=" and ".join(HALVES[half].lower() for half in halves),
        from_to=f"{begins:02}:00 to {ends:02}:00",
        notice_days=isolation.notice_days,
        send_by=f"{isolation.send_by:{DAY}}",
        responsible=tuple(_leaders(rows)),
        things=tuple(_isolated(row) for row in rows),
    )


def _rows(papers: YearPapers, tasks: Iterable[Task]) -> list[PlannedTask]:
    """The halves of the day; in each what must be first, then the way through the house."""
    house = papers.checked.found.house
    kind_of = {papers.row(task).pk: house.plan_of[task.plan].kind for task in tasks}
    rows = planned_tasks(papers.plan.planned.filter(pk__in=kind_of))
    walked = sorted(
        rows.prefetch_related("equipment__parts", "equipment__venue"),
        key=lambda row: (row.equipment.place.walking_order, row.equipment.walking_order, row.pk),
    )
    halves = [[row for row in walked if row.half == half] for half in HALVES]
    return [
        row
        for half in halves
        for row in in_order_of_work([(row, kind_of[row.pk]) for row in half], house.order)
    ]


def _head(plan: YearPlan, what: str, title: str, now: datetime) -> Head:
    venue = plan.venue
    return Head(
        what=what,
        title=title,
        venue=venue.name,
        venue_address=venue.address,
        organisation=venue.organisation.name,
        organisation_address=venue.organisation.address,
        language=language_of_papers(venue),
        plan=str(plan),
        made_at=f"{now.astimezone(venue.zone):%-d %B %Y %H:%M}",
        draft="" if plan.state == YearPlan.State.PUBLISHED else NOT_PUBLISHED,
    )


def _leaders(rows: Sequence[PlannedTask]) -> list[str]:
    """Who meets them: those of the house who lead a task of the day, the busiest first."""
    hours: dict[str, int] = {}
    for row in rows:
        for crew in row.crew.all():
            if crew.leads:
                hours[crew.person.name] = hours.get(crew.person.name, 0) + crew.quarters
    return sorted(hours, key=lambda name: (-hours[name], name))


def _hold_words(hold: Hold) -> str:
    return hold.words[0].upper() + hold.words[1:]


def _arranged(papers: YearPapers, tasks: Sequence[Task]) -> Iterable[Arranged]:
    """Access that the house leaves, then what is made ready, each with the tags that need it."""
    house, rows = papers.checked.found.house, papers.row
    for word in sorted({word for task in tasks for word in house.plan_of[task.plan].access}):
        with_it = [t for t in tasks if word in house.plan_of[t.plan].access]
        yield Arranged("Access", word, _tags(rows(task) for task in with_it))
    for key in sorted({key for task in tasks for key in house.plan_of[task.plan].set_ups}):
        with_it = [t for t in tasks if key in house.plan_of[t.plan].set_ups]
        yield Arranged("Made ready", key, _tags(rows(task) for task in with_it))


def _tags(rows: Iterable[PlannedTask]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(row.equipment.tag for row in rows))


def _pack_tasks(
    papers: YearPapers,
    tasks: Sequence[Task],
    rows: Sequence[PlannedTask],
    told: LastYear,
    now: datetime,
) -> Iterable[PackTask]:
    house = papers.checked.found.house
    plan_of = {papers.row(task).pk: house.plan_of[task.plan] for task in tasks}
    today = now.astimezone(papers.plan.venue.zone).date()
    states = states_of([row.equipment for row in rows], today)
    for number, row in enumerate(rows, start=1):
        plan, equipment = plan_of[row.pk], row.equipment
        yield PackTask(
            number=number,
            half=HALVES[row.half],
            tag=equipment.tag,
            name=equipment.name,
            kind=_kind(equipment.kind, papers.plan.venue),
            check=row.plan.version.title,
            place=equipment.place.name,
            hazards=tuple(equipment.place.hazards),
            serial=equipment.serial or "Not known",
            state=states[equipment.pk].words,
            hours=f"{plan.examiner_quarters * plan.duration / 4:g} h",
            due=f"{row.due_on:%-d %B %Y}, lawful until {row.last_lawful_on:%-d %B %Y}",
            last=told.last_look(equipment.pk, row.plan.regime),
            crew=tuple(crew.person.name for crew in row.crew.all()),
            needs=tuple(sorted({*plan.access, *plan.set_ups})),
            findings=told.findings(equipment.pk),
            ropes=told.ropes(equipment),
        )


def _kind(slug: str, venue: Venue) -> str:
    return kind_label(slug, venue).replace("_", " ").capitalize()


def _last_half(row: PlannedTask) -> str:
    return "pm" if row.half_days > 1 else row.half


def _isolated(row: PlannedTask) -> Isolated:
    equipment = row.equipment
    return Isolated(
        equipment.tag, equipment.name, equipment.place.name, HALVES[row.half],
        row.plan.version.title,
    )  # fmt: skip
