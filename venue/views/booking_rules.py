"""Rules that say what a booking is, and the bookings that no rule knows."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from venue.access import SignedInRequest, venue_page
from venue.actions import booking_rules as actions
from venue.actions.calendars import answer_unknown, say_calendar_known
from venue.calendar.kinds import words_of
from venue.forms import ACCESS_CHOICES
from venue.forms_calendars import AnswerForm, CompleteForm, RuleForm, shown_rule
from venue.models import Booking, BookingRule, Venue
from venue.queries.calendars import (
    as_kind_rule,
    kinds_ahead,
    rules_of,
    try_rule,
    unknown_group,
    unknown_groups,
)


@require_GET
@venue_page("plan tasks")
def booking_rules(request: SignedInRequest, venue: Venue) -> HttpResponse:
    words, kinds = dict(ACCESS_CHOICES), dict(Booking.What.choices)
    rows = [
        (
            rule,
            kinds.get(rule.what, rule.what),
            [words.get(one, one) for one in rule.leaves_accessible],
        )
        for rule in rules_of(venue)
    ]
    return render(request, "venue/booking_rules.html", {"venue": venue, "rules": rows})


@require_POST
@venue_page("plan tasks")
def starting_rules(request: SignedInRequest, venue: Venue) -> HttpResponse:
    taken = actions.take_starting_rules(venue=venue, by=request.user, at=timezone.now())
    if not taken:
        messages.error(request, "This venue has rules already; the usual ones are not added.")
    return redirect("booking_rules", venue.slug)


@venue_page("plan tasks")
def add_rule(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = RuleForm(request.POST or None)
    if request.method == "POST" and form.is_valid() and "try" not in request.POST:
        actions.add_rule(venue=venue, rule=form.rule(), by=request.user, at=timezone.now())
        return redirect("booking_rules", venue.slug)
    return _rule_page(request, venue, form, None)


@venue_page("plan tasks")
def change_rule(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    rule = _rule(request, venue, pk)
    form = RuleForm(request.POST or None, initial=shown_rule(as_kind_rule(rule)))
    if request.method == "POST" and form.is_valid() and "try" not in request.POST:
        actions.change_rule(rule=rule, to=form.rule(), by=request.user, at=timezone.now())
        return redirect("booking_rules", venue.slug)
    return _rule_page(request, venue, form, rule)


@require_POST
@venue_page("plan tasks")
def move_rule(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    up = request.POST.get("where") == "up"
    rule = _rule(request, venue, pk)
    actions.move_rule(rule=rule, up=up, by=request.user, at=timezone.now())
    return redirect("booking_rules", venue.slug)


@require_POST
@venue_page("plan tasks")
def remove_rule(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    rule = _rule(request, venue, pk)
    actions.remove_rule(rule=rule, by=request.user, at=timezone.now())
    messages.success(request, f"The rule “{rule.words}” is removed.")
    return redirect("booking_rules", venue.slug)


@require_GET
@venue_page("see pages")
def unknown_bookings(request: SignedInRequest, venue: Venue) -> HttpResponse:
    groups = unknown_groups(venue, request.user, timezone.now())
    page = {"venue": venue, "groups": groups, "bookings": sum(len(g.bookings) for g in groups)}
    return render(request, "venue/unknown_bookings.html", page)


@venue_page("plan tasks")
def answer(request: SignedInRequest, venue: Venue, pk: int) -> HttpResponse:
    """One answer for every booking with the title of this one."""
    booking = get_object_or_404(Booking.objects.visible_to(request.user), pk=pk, venue=venue)
    group = unknown_group(venue, request.user, booking.title, timezone.now())
    if group is None:
        return redirect("unknown_bookings", venue.slug)
    form = AnswerForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        words = words_of(group.title)
        holds = form.cleaned_data["holds"] == "rule" and bool(words)
        answer_unknown(
            group=group, venue=venue, rule=form.rule(words), add_rule=holds, by=request.user,
            at=timezone.now(),
        )  # fmt: skip
        messages.success(request, f"“{group.title}” is known now.")
        return redirect("unknown_bookings", venue.slug)
    page = {"venue": venue, "group": group, "form": form}
    return render(request, "venue/unknown_answer.html", page, status=422 if form.errors else 200)


@venue_page("plan tasks")
def what_kinds_leave(request: SignedInRequest, venue: Venue) -> HttpResponse:
    """What each kind of booking leaves accessible, all kinds on one page."""
    kinds = kinds_ahead(venue, request.user, timezone.now())
    if request.method == "POST":
        known = dict(ACCESS_CHOICES)
        leaves = {
            kind.what: [one for one in request.POST.getlist(kind.what) if one in known]
            for kind in kinds
        }
        actions.say_what_kinds_leave(venue=venue, leaves=leaves, by=request.user, at=timezone.now())
        messages.success(request, "Kept. The bookings ahead were looked at again.")
        return redirect("set_up" if venue.set_up_since else "bookings", venue.slug)
    page = {"venue": venue, "kinds": kinds, "access": ACCESS_CHOICES}
    return render(request, "venue/what_kinds_leave.html", page)


@venue_page("plan tasks")
def calendar_known(request: SignedInRequest, venue: Venue) -> HttpResponse:
    form = CompleteForm(request.POST or None, initial={"until": venue.calendar_known_until})
    if request.method == "POST" and form.is_valid():
        until = form.cleaned_data["until"]
        say_calendar_known(venue=venue, until=until, by=request.user, at=timezone.now())
        return redirect("bookings", venue.slug)
    title = "How far the calendar is entered"
    page = {"venue": venue, "form": form, "title": title}
    return render(request, "venue/form.html", page, status=422 if form.errors else 200)


def _rule(request: SignedInRequest, venue: Venue, pk: int) -> BookingRule:
    return get_object_or_404(BookingRule.objects.visible_to(request.user).in_venue(venue), pk=pk)


def _rule_page(
    request: SignedInRequest, venue: Venue, form: RuleForm, rule: BookingRule | None
) -> HttpResponse:
    """The form, with what the rule finds among the bookings ahead when it was tried."""
    rules = list(rules_of(venue))
    before = rules[: rules.index(rule)] if rule in rules else rules
    page = {"venue": venue, "form": form, "rule": rule}
    if request.method == "POST" and form.is_valid():
        kinds = [as_kind_rule(one) for one in before]
        page["tried"] = try_rule(venue, form.rule(), kinds, timezone.now())
    return render(request, "venue/booking_rule.html", page, status=422 if form.errors else 200)
