"""Keeps the secrets that stand in addresses out of the server's log."""

from __future__ import annotations

import logging
import re

SECRET = re.compile(r"(/feeds/\d+/|/desk/|/invitation/|/messages/stop/)[^\s\"']+")


def without_secrets(text: str) -> str:
    """
    >>> without_secrets("Not Found: /feeds/3/0a1b2c.ics")
    'Not Found: /feeds/3/…'
    >>> without_secrets("POST /desk/0a1b2c/ HTTP/1.1")
    'POST /desk/… HTTP/1.1'
    """
    return SECRET.sub(r"\1…", text)


class WithoutSecrets(logging.Filter):
    """Every record passes, the secrets in its words do not."""

    def filter(self, record: logging.LogRecord) -> bool:
        record.msg = without_secrets(str(record.msg))
        if isinstance(record.args, tuple):
            record.args = tuple(
                without_secrets(one) if isinstance(one, str) else one for one in record.args
            )
        return True
