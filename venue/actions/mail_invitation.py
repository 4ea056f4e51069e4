"""Send an invitation to whom it was made for."""

from __future__ import annotations

from django.conf import settings
from django.urls import reverse
from django.utils.translation import gettext as _

from venue.actions.invitations import GOOD_FOR
from venue.actions.send_letter import NotTaken, no_mail_server, send_letter
from venue.language_now import for_reader, said
from venue.letter import Letter
from venue.models import Membership, Person


class NotSent(RuntimeError):
    """The link is good, but nobody was sent it."""


def address_of_invitation(token: str) -> str:
    return settings.LOFTBOOK_ADDRESS + reverse("invitation", args=[token])


def mail_invitation(*, membership: Membership, token: str, by: Person) -> None:
    """Raises NotSent. Never to the terminal: whoever reads the server's log could open it."""
    if no_mail_server():
        raise NotSent("No mail server is set up here.")
    with for_reader(membership.person, membership.venue):
        subject = _("%(venue)s: your way into Loftbook") % {"venue": membership.venue.name}
        letter = Letter(membership.person.email, subject, _words(membership, token, by))
    try:
        send_letter(letter)
    except NotTaken as refusal:
        raise NotSent(str(refusal)) from refusal


def _words(membership: Membership, token: str, by: Person) -> str:
    names = {
        "manager": by.name, "person": membership.person.name, "venue": membership.venue.name,
        "role": said(membership.get_role_display()), "days": GOOD_FOR.days,
    }  # fmt: skip
    texts = (
        _("%(manager)s has given you, %(person)s, a role in the book of %(venue)s: %(role)s."),
        _("Choose your own password here:"),
        address_of_invitation(token).replace("%", "%%"),
        _(
            "The link is good for %(days)s days and once. Keep it to yourself: whoever opens it first "
            "chooses the password, and what is then signed carries your name. If it came to you by "
            "mistake, tell %(manager)s."
        ),
    )
    return "\n\n".join(text % names for text in texts) + "\n"
