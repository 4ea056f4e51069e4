"""What a push message says: a few words and where they lead, as the browser's worker shows them.

A lock screen can be read by anybody, so no person is named, nor what was found, nor where: it counts.
Pure; the words come finished.
"""

from __future__ import annotations

import json
from dataclasses import dataclass


@dataclass(frozen=True)
class Note:
    """`url` and `stop` are paths of this book; a later note of the same `tag` takes the place of an
    earlier one that was not looked at."""

    title: str
    body: str
    url: str
    stop: str
    stop_words: str
    tag: str
    icon: str
    language: str

    def as_sent(self) -> bytes:
        """JSON: the title, and beside it what `showNotification` is given."""
        told = {
            "title": self.title, "body": self.body, "tag": self.tag, "icon": self.icon,
            "lang": self.language, "data": {"url": self.url, "stop": self.stop},
            "actions": [{"action": "stop", "title": self.stop_words}],
        }  # fmt: skip
        return json.dumps(told, ensure_ascii=False, separators=(",", ":")).encode()
