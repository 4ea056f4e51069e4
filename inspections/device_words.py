"""What a device is called in the list of those that get messages, by what its browser says of itself.
Pure. Browsers say much that is not so, so the later names of a list are only asked after the earlier."""

from __future__ import annotations

# In this order: most browsers name several.
SYSTEMS = (
    ("iPhone", "iPhone"), ("iPad", "iPad"), ("Android", "Android"), ("CrOS", "ChromeOS"),
    ("Windows", "Windows"), ("Macintosh", "Mac"), ("Linux", "Linux"),
)  # fmt: skip
BROWSERS = (
    ("Firefox", "Firefox"), ("FxiOS", "Firefox"), ("Edg", "Edge"), ("OPR", "Opera"),
    ("SamsungBrowser", "Samsung Internet"), ("CriOS", "Chrome"), ("Chrome", "Chrome"),
    ("Safari", "Safari"),
)  # fmt: skip


def device_words(agent: str) -> str:
    """
    >>> device_words("Mozilla/5.0 (Linux; Android 15; K) AppleWebKit/537.36 Chrome/142.0.0.0 Mobile Safari/537.36")
    'Android, Chrome'
    >>> device_words("curl/8")
    'A device'
    """
    named = [
        next((name for sign, name in names if sign in agent), "") for names in (SYSTEMS, BROWSERS)
    ]
    return ", ".join(filter(None, named)) or "A device"
