"""Hand one letter to the mail server: the one place that does, and that words what went wrong."""

from __future__ import annotations

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.core.mail.backends.base import BaseEmailBackend

from venue.letter import Letter

CONSOLE = "django.core.mail.backends.console.EmailBackend"


class NotTaken(RuntimeError):
    """The mail server did not take it: the sentence says so, with what the server said."""


def no_mail_server() -> bool:
    """None is set up: what is sent is printed to the terminal and reaches nobody."""
    return bool(settings.EMAIL_BACKEND == CONSOLE)


def send_letter(letter: Letter, connection: BaseEmailBackend | None = None) -> None:
    """Raises NotTaken."""
    mail = EmailMultiAlternatives(
        " ".join(letter.subject.split()), letter.words, to=[letter.to], connection=connection,
        headers=dict(letter.headers),
    )  # fmt: skip
    if letter.html:
        mail.attach_alternative(letter.html, "text/html")
    for name, content, kind in letter.files:
        mail.attach(name, content, kind)
    try:
        mail.send()
    except OSError as fault:
        raise NotTaken(f"The mail server did not take it: {fault}.") from fault
