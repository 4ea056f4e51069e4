#!/usr/bin/env python3
"""Run one of Loftbook's commands with the environment that `.env` completes."""

import os
import sys
from pathlib import Path

from config.environment import EnvironmentRefused, read_env_file


def main() -> None:
    """Read `.env`, then hand over to Django."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    try:
        read_env_file(Path(__file__).resolve().parent / ".env")
        from django.core.management import execute_from_command_line

        execute_from_command_line(sys.argv)
    except EnvironmentRefused as refusal:
        sys.exit(str(refusal))
    except KeyboardInterrupt:
        sys.exit(130)
    except ModuleNotFoundError as missing:
        if missing.name != "django":
            raise
        sys.exit("Django is not in this Python. Use .venv/bin/python, made by `make setup`.")


if __name__ == "__main__":
    main()
