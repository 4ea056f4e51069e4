"""Where the set-up puts things. All of it is ignored by git and may be deleted."""

from pathlib import Path

BASE = Path(__file__).resolve().parent.parent.parent
VENV = BASE / ".venv"
PYTHON = VENV / "bin" / "python"
ENV_FILE = BASE / ".env"
VAR = BASE / "var"
TLS = VAR / "tls"
SYSLIBS = BASE / ".syslibs"
SYSLIBS_FLAT = SYSLIBS / "lib"  # settings.py knows this one too
