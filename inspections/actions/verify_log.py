"""Verify a venue's whole log, keep what was found, and tell those who must know."""

from __future__ import annotations

import logging
from datetime import datetime

from django.utils.translation import gettext as _

from inspections.models import HeadReceiver
from inspections.queries.log_check import check_log
from venue.actions.send_letter import NotTaken, send_letter
from venue.language_now import for_reader, said
from venue.letter import Letter
from venue.models import LogCheck, Membership, Role, Venue

log = logging.getLogger(__name__)


def verify_log(*, venue: Venue, at: datetime) -> LogCheck:
    """Reads the log outside any transaction: it may take minutes. Twice does no harm."""
    found = check_log(venue)
    check = LogCheck.objects.create(
        venue=venue, at=at, size=found.size, root=found.root, records=found.records,
        heads=found.heads, faults=found.faults,
    )  # fmt: skip
    if found.faults:
        _shout(check)
    return check


def _shout(check: LogCheck) -> None:
    """Mail to the managers and to whoever holds heads. A mail that cannot be sent hides nothing: the
    pages and /healthz say it too."""
    venue = check.venue
    log.error("the log of %s does not hold: %s", venue.slug, check.faults[0])
    managers = Membership.objects.filter(venue=venue, role=Role.MANAGER, ended_on__isnull=True)
    holders = HeadReceiver.objects.filter(venue=venue, ended_at__isnull=True)
    addresses = {*managers.values_list("person__email", flat=True)}
    with for_reader(None, venue):
        subject = _("%(venue)s: the inspection log DOES NOT HOLD") % {"venue": venue.name}
        words = _words(check)
    for address in sorted(addresses | {*holders.values_list("address", flat=True)}):
        try:
            send_letter(Letter(address, subject, words))
        except NotTaken:
            log.exception("the mail to %s could not be sent", address)


def _words(check: LogCheck) -> str:
    faults = "\n".join(f"- {said(words)}" for words in check.faults)
    known = {"venue": check.venue.name, "at": f"{check.at:%Y-%m-%d %H:%M}"}
    return "\n\n".join(
        (
            _(
                "The log of %(venue)s was recomputed on %(at)s UTC from its first line, and it does not "
                "hold:"
            ) % known,
            faults,
            _(
                "Records or log lines were changed, lost or added past Loftbook, or the disk is failing. "
                "Do not trust what the book says until it is known what happened. Keep the backups, and "
                "keep the heads and bundles you were given: they show what the log was."
            ),
            _("Lines found: %(size)s") % {"size": check.size},
            _("Root found: %(root)s") % {"root": check.root},
        )
    ) + "\n"  # fmt: skip
