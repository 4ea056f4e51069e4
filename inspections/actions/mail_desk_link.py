"""Send a link to the audit desk to the auditor it was made for."""

from __future__ import annotations

from django.conf import settings
from django.core.mail import EmailMessage
from django.urls import reverse

from inspections.models import DeskLink

CONSOLE = "django.core.mail.backends.console.EmailBackend"


class LinkNotSent(RuntimeError):
    """The link is good, but nobody was sent it."""


def address_of_link(token: str) -> str:
    return settings.LOFTBOOK_ADDRESS + reverse("open_desk_link", args=[token])


def mail_desk_link(*, link: DeskLink, token: str) -> None:
    """Raises LinkNotSent. Never to the terminal: whoever reads the server's log could open it."""
    if settings.EMAIL_BACKEND == CONSOLE:
        raise LinkNotSent(
            "No mail server is set up here, so it was not sent. Hand it over yourself."
        )
    subject = " ".join(f"{link.venue.name}: your way to the audit desk".split())
    try:
        EmailMessage(subject, _words(link, token), to=[link.address]).send()
    except OSError as fault:
        raise LinkNotSent(
            f"The mail could not be sent ({fault}). Hand the link over yourself."
        ) from fault


def _words(link: DeskLink, token: str) -> str:
    return (
        f"{link.made_by.name} of {link.venue.name} lets you, {link.person.name}, look at what the house "
        f"inspected, until {link.last_day:%-d %B %Y} (that day included):\n\n"
        f"{address_of_link(token)}\n\n"
        "Whoever has this link sees what you see, so keep it to yourself. It shows and asks, and changes "
        "nothing; each time it is opened, the house's log says so. If it came to you by mistake, tell "
        f"{link.made_by.name}, who can revoke it at once.\n"
    )
