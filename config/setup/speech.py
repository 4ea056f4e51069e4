"""How the set-up speaks: one plain sentence a step, and a refusal that says what to do."""

import sys
from typing import NoReturn


def say(sentence: str) -> None:
    """Print one sentence at once, also into a pipe."""
    print(sentence, flush=True)


def refuse(sentence: str) -> NoReturn:
    """Stop with a sentence that says what the person can do."""
    print(f"\n{sentence}\n", file=sys.stderr, flush=True)
    raise SystemExit(1)
