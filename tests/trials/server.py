"""The server of the trials: a process of its own, that can be killed, on a database file."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


class Server:
    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.switch = folder / "stumble"
        self.switch.write_text("")
        self.port = _free_port()
        self.log = folder / "server.log"
        self.process: subprocess.Popen[bytes] | None = None

    def environment(self, public_port: int) -> dict[str, str]:
        return {
            **{name: value for name, value in os.environ.items() if name in ("PATH", "HOME", "LANG")},
            "DJANGO_SETTINGS_MODULE": "tests.trials.settings", "LOFTBOOK_DEBUG": "yes",
            "DATABASE_URL": f"sqlite:///{self.folder / 'trials.sqlite3'}",
            "LOFTBOOK_SECRET_KEY": "only-for-trials-" * 4,
            "LOFTBOOK_ADDRESS": f"http://localhost:{public_port}",
            "LOFTBOOK_FILES": str(self.folder / "files"), "LOFTBOOK_KEYS": str(self.folder / "keys"),
            "TRIALS_STUMBLE": str(self.switch),
        }  # fmt: skip

    def run(self, public_port: int, *words: str) -> None:
        """One command to its end."""
        command = [sys.executable, "-m", *words]
        subprocess.run(command, cwd=ROOT, env=self.environment(public_port), check=True)

    def start(self, public_port: int) -> None:
        words = ["-m", "django", "runserver", f"127.0.0.1:{self.port}", "--noreload"]
        log = self.log.open("ab")
        self.process = subprocess.Popen(
            [sys.executable, *words],
            cwd=ROOT,
            env=self.environment(public_port),
            stdout=log,
            stderr=log,
        )
        for _ in range(900):
            with socket.socket() as ask:
                if ask.connect_ex(("127.0.0.1", self.port)) == 0:
                    return
            time.sleep(0.1)
        raise RuntimeError(f"The server does not start: see {self.log}")

    def kill(self) -> None:
        if self.process:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait()
            self.process = None


def _free_port() -> int:
    with socket.create_server(("127.0.0.1", 0)) as probe:
        return int(probe.getsockname()[1])
