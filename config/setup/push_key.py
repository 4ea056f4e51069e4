"""`python -m config.setup.push_key`: a fresh secret key for messages to phones, as a line for `.env`.

Another key makes every device that allowed messages ask anew: its browser takes them from no other.
"""

import secrets
from base64 import urlsafe_b64encode

from config.environment import ORDER_OF_P256
from config.setup.speech import say


def new_key() -> str:
    """A number above 0 and below the order of P-256, in base64url."""
    number = secrets.randbelow(ORDER_OF_P256 - 1) + 1
    return urlsafe_b64encode(number.to_bytes(32, "big")).decode().rstrip("=")


if __name__ == "__main__":
    say(f"LOFTBOOK_PUSH_KEY={new_key()}")
