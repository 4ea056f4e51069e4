"""`python -m tests.tamper [N] [SEED]`: N single changes to a bundle; the last line is the count."""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

import tests.environment  # noqa: F401  # settings of its own, before Django reads them

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")


def main(words: list[str]) -> int:
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0)
    from tests.tamper.evidence import make_evidence
    from tests.tamper.run import run
    from tests.tamper.table import table

    changes = int(words[0]) if words else 100
    seed = int(words[1]) if len(words) > 1 else 1
    with tempfile.TemporaryDirectory() as folder:
        found = run(make_evidence(Path(folder)), changes, seed)
    print(table(found))
    for said in found.uncaught:
        print(f"UNCAUGHT {said}")
    for said in found.missed:
        print(f"MISSED BY verify_evidence {said}")
    print(found.line)
    return 1 if found.uncaught or found.missed else 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
