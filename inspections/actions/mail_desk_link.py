"""Send a link to the audit desk to the auditor it was made for: at once, or again by itself."""

from __future__ import annotations

from datetime import datetime

from inspections.actions.mail_to_desk import TRIED_FOR, owe_mail
from inspections.models import DeskLink, DeskMail
from inspections.queries.desk_letters import link_letter, secret_of_server
from inspections.sealed_text import seal_text
from venue.actions.send_letter import NotTaken, no_mail_server, send_letter


class LinkNotSent(RuntimeError):
    """The link is good, but nobody was sent it yet. `waits`: it is tried again by itself."""

    def __init__(self, words: str, *, waits: bool) -> None:
        self.waits = waits
        super().__init__(words)


def mail_desk_link(*, link: DeskLink, token: str, at: datetime) -> None:
    """Raises LinkNotSent. Never to the terminal: whoever reads the server's log could open it. What
    is refused waits with its secret encrypted, and is tried again."""
    if no_mail_server():
        raise LinkNotSent(
            "No mail server is set up here, so it was not sent. Hand it over yourself.", waits=False
        )
    try:
        send_letter(link_letter(link, token))
    except NotTaken as refusal:
        row = owe_mail(
            venue=link.venue, kind=DeskMail.Kind.LINK, about=link.pk, person=link.person, at=at,
            sealed=seal_text(token, secret_of_server()),
        )  # fmt: skip
        told = {"error": str(refusal)[:300], "attempts": 1}
        DeskMail.objects.filter(pk=row.pk).update(**told)
        raise LinkNotSent(
            f"{refusal} It is tried again by itself for {TRIED_FOR.days} days, and until then kept "
            "encrypted; or hand the link over yourself.",
            waits=True,
        ) from refusal
