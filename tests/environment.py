"""The environment of the tests: made before Django reads its settings, gone afterwards.

A pytest plugin (`-p tests.environment` in pyproject.toml), and a way to run a checker that
loads the settings: `python -m tests.environment mypy`.
"""

import atexit
import os
import shutil
import socket
import sys
import tempfile
from pathlib import Path

import pytest

DATABASES = ("sqlite", "postgres")
WORKER = os.environ.get("PYTEST_XDIST_WORKER", "alone")
FOLDER = Path(tempfile.mkdtemp(prefix=f"loftbook-tests-{WORKER}-"))
atexit.register(shutil.rmtree, FOLDER, ignore_errors=True)


def wanted_database() -> str:
    """Which database this run is on, said in LOFTBOOK_TEST_DATABASE."""
    wanted = os.environ.get("LOFTBOOK_TEST_DATABASE", "") or "sqlite"
    if wanted not in DATABASES:
        sys.exit(f"LOFTBOOK_TEST_DATABASE must be one of {', '.join(DATABASES)}")
    return wanted


def database_url() -> str:
    """The run's database; PostgreSQL is started once, and parallel workers inherit its address."""
    if wanted_database() == "sqlite":
        return f"sqlite:///{FOLDER}/tests.sqlite3"
    if WORKER != "alone":
        return os.environ["DATABASE_URL"]
    from tests.postgres import OwnPostgres

    server = OwnPostgres()
    atexit.register(server.stop)
    return server.start()


def complete() -> None:
    """Leave nothing of the caller's own settings in force."""
    values = {
        "LOFTBOOK_TEST_DATABASE": wanted_database(),
        "DATABASE_URL": database_url(),
        "LOFTBOOK_SECRET_KEY": "only-for-tests-" * 5,
        # Named too: what is not, a command of the tests' would take from the developer's own `.env`.
        "LOFTBOOK_KEY_SECRET": "keys-only-for-tests-" * 4,
        "LOFTBOOK_ADDRESS": "http://localhost:8000",
        "LOFTBOOK_FILES": str(FOLDER / "files"),
        "LOFTBOOK_KEYS": str(FOLDER / "keys"),
        "LOFTBOOK_LOG_LEVEL": "WARNING",
    }
    for name in [name for name in os.environ if name.startswith("LOFTBOOK_")]:
        del os.environ[name]
    os.environ.update(values)
    (FOLDER / "files").mkdir(mode=0o700)
    (FOLDER / "keys").mkdir(mode=0o700)


def keep_off_the_network() -> None:
    """Refuse every connection that leaves this machine; the product and its tests need none."""
    connect = socket.socket.connect

    def only_loopback(self: socket.socket, address: object) -> None:
        if self.family in (socket.AF_INET, socket.AF_INET6):
            host = str(address[0]) if isinstance(address, tuple) else str(address)
            if host not in ("localhost", "::1") and not host.startswith("127."):
                raise AssertionError(f"a test tried to reach {host}")
        connect(self, address)  # type: ignore[arg-type]

    socket.socket.connect = only_loopback  # type: ignore[method-assign]


@pytest.hookimpl(tryfirst=True)
def pytest_configure() -> None:
    """What tests do without: hashed static names, slow password hashes, a secret hashed long, a shared cache."""
    from django.test import override_settings

    from config import settings

    plain_static = "django.contrib.staticfiles.storage.StaticFilesStorage"
    override_settings(
        CACHES={"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}},
        STORAGES={**settings.STORAGES, "staticfiles": {"BACKEND": plain_static}},
        PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"],
        WHITENOISE_AUTOREFRESH=True,
        LOFTBOOK_KEY_ROUNDS=1000,
    ).enable()


complete()
if __name__ == "__main__":
    import subprocess

    sys.exit(subprocess.run([sys.executable, "-m", *sys.argv[1:]], check=False).returncode)
else:
    keep_off_the_network()
