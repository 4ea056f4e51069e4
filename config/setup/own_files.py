"""The ignored file of secrets and the private folders, made once and then left alone."""

import os
import secrets
from pathlib import Path

from config.setup.places import ENV_FILE, VAR
from config.setup.push_key import new_key
from config.setup.speech import say

LINES = """\
# Made by `make setup` on this machine. It holds secrets: keep it, back it up, show it to nobody.
# Every name is explained in config/environment.py.
LOFTBOOK_SECRET_KEY={secret}
LOFTBOOK_KEY_SECRET={key_secret}
DATABASE_URL=sqlite:///var/loftbook.sqlite3
LOFTBOOK_ADDRESS=http://localhost:8000
LOFTBOOK_FILES=var/files
LOFTBOOK_KEYS=var/keys
# Messages to phones: yes here, and your own mail address as LOFTBOOK_EMAIL_FROM (docs/messages.md).
LOFTBOOK_PUSH=no
LOFTBOOK_PUSH_KEY={push_key}
"""


def ensure(env_file: Path = ENV_FILE, var: Path = VAR) -> None:
    """Make what is missing; nothing that exists is changed."""
    for folder in (var, var / "files", var / "keys"):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    if env_file.exists():
        return
    # Never readable by others, not even for the moment before a chmod.
    handle = os.open(env_file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as out:
        fresh = {name: secrets.token_urlsafe(64) for name in ("secret", "key_secret")}
        out.write(LINES.format(**fresh, push_key=new_key()))
    say(f"Made {env_file.name} with fresh secrets.")
