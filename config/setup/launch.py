"""`make run`: bring the database up to date, then keep the web server and the worker going.

Run by the environment's own Python, after config.setup has made it.
"""

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import FrameType
from urllib.parse import urlsplit

from config.environment import EnvironmentRefused, read_env_file, yes_or_no
from config.setup import addresses
from config.setup.places import BASE, ENV_FILE, PYTHON, SYSLIBS_FLAT, TLS
from config.setup.speech import refuse, say

# The worker lets a task in hand end for this long, and is itself waited for a little longer.
WORKER_STOPS_WITHIN = 15
WAIT_FOR_STOP = WORKER_STOPS_WITHIN + 10
SAY_AFTER = 3  # that something is still waited for

stop_asked: list[int] = []


def main() -> int:
    """Prepare, start both, say where, and stay until told to stop."""
    for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, ask_to_stop)
    with the_keyboard():
        code = run()
        if stop_asked:
            say("\nLoftbook has stopped.")
    return code


def run() -> int:
    """0 when it was told to stop, 1 when one of the two ended by itself."""
    port = complete_environment()
    prepare()
    if stop_asked:
        return 0
    started = {"web server": start_web(port), "background worker": start_worker()}
    greet(port)
    try:
        return watch(started)
    finally:
        stop(list(started.values()))


def ask_to_stop(number: int, _frame: FrameType | None) -> None:
    """Remember that someone pressed Ctrl-C or closed the window, or that the machine wants us gone."""
    stop_asked.append(number)


@contextmanager
def the_keyboard() -> Iterator[None]:
    """Have Ctrl-C told to this process alone. The `make` that waits for it would otherwise be
    interrupted as well, and call an end that was wished for an error."""
    before = os.getpgrp()
    if not sys.stdin.isatty() or os.tcgetpgrp(sys.stdin.fileno()) != before:
        yield
        return
    # Giving the keyboard back is allowed only so; and nobody would wake what Ctrl-Z stops.
    for number in (signal.SIGTTOU, signal.SIGTSTP):
        signal.signal(number, signal.SIG_IGN)
    with suppress(PermissionError):  # the first process of a terminal has a group of its own
        os.setpgid(0, 0)
    os.tcsetpgrp(sys.stdin.fileno(), os.getpgrp())
    try:
        yield
    finally:
        with suppress(OSError):  # the window was closed
            os.tcsetpgrp(sys.stdin.fileno(), before)


def complete_environment() -> int:
    """Fill in what depends on this machine today; return the port."""
    try:
        read_env_file(ENV_FILE)
    except EnvironmentRefused as refusal:
        refuse(str(refusal))
    port = addresses.choose_port(os.environ)
    configured = os.environ.get("LOFTBOOK_ADDRESS", "http://localhost")
    os.environ["LOFTBOOK_ADDRESS"] = addresses.public_address(configured, port, scheme())
    hosts = [os.environ.get("LOFTBOOK_HOSTS", ""), "localhost", "127.0.0.1"]
    os.environ["LOFTBOOK_HOSTS"] = ",".join([*filter(None, hosts), addresses.house_address()])
    if SYSLIBS_FLAT.is_dir():
        os.environ["LD_LIBRARY_PATH"] = str(SYSLIBS_FLAT)
    return port


def scheme() -> str:
    """HTTPS where `make certificate` was run; phones then work without signal."""
    return "https" if (TLS / "server.pem").is_file() else "http"


def wants_demo() -> bool:
    """Whether the demo house is wanted, as it is unless told otherwise."""
    try:
        return yes_or_no(os.environ, "LOFTBOOK_DEMO", default=True)
    except EnvironmentRefused as refusal:
        refuse(str(refusal))


def prepare() -> None:
    """Everything that may be done again and again without harm."""
    steps = [
        ("Bringing the database up to date.", ["migrate", "--noinput", "-v", "0"]),
        ("", ["createcachetable"]),
        ("Collecting styles and scripts.", ["collectstatic", "--noinput", "-v", "0"]),
    ]
    if wants_demo():
        steps.append(("Looking in on the demo house.", ["load_demo"]))
    for sentence, command in steps:
        if stop_asked:
            return
        if sentence:
            say(sentence)
        manage(*command)


def manage(*command: str) -> None:
    """Run one command of manage.py to its end; a failure stops the run with its name."""
    done = subprocess.Popen([str(PYTHON), "manage.py", *command], cwd=BASE, start_new_session=True)
    while done.poll() is None:
        if stop_asked:
            send(done, signal.SIGTERM)
        time.sleep(0.05)
    if done.returncode and not stop_asked:
        refuse(f"`manage.py {command[0]}` failed; the lines above say why.")


def start_web(port: int) -> "subprocess.Popen[bytes]":
    """Start the web server in a process group of its own."""
    command = [
        str(PYTHON), "-m", "granian", "--interface", "wsgi", "--host", "0.0.0.0",
        "--port", str(port), "--workers", "2", "--blocking-threads", "4", "--backpressure", "32",
        "--no-ws", "--log-level", "warning",
        "--respawn-failed-workers", "--workers-kill-timeout", "10", "config.wsgi:application",
    ]  # fmt: skip
    if scheme() == "https":
        command += [
            "--ssl-certificate",
            str(TLS / "server.pem"),
            "--ssl-keyfile",
            str(TLS / "server.key"),
        ]
    return subprocess.Popen(command, cwd=BASE, start_new_session=True)


def start_worker() -> "subprocess.Popen[bytes]":
    """Start the background worker in a process group of its own."""
    command = [str(PYTHON), "manage.py", "worker", "--stop-within", str(WORKER_STOPS_WITHIN)]
    return subprocess.Popen(command, cwd=BASE, start_new_session=True)


def greet(port: int) -> None:
    """Say where the house is, as words and as a picture for a phone."""
    import segno

    address = os.environ["LOFTBOOK_ADDRESS"]
    if wants_demo():
        manage("demo_sign_ins")
    else:
        manage("set_up_code")
    say("\nLoftbook is running:")
    say(f"  on this machine  {scheme()}://localhost:{port}")
    if urlsplit(address).hostname != "localhost":
        say(f"  in the house     {address}")
        if sys.stdout.isatty():
            segno.make(address, error="m").terminal(compact=True)
    say("Ctrl-C stops it.\n")


def watch(started: dict[str, "subprocess.Popen[bytes]"]) -> int:
    """Stay until told to stop, or until one of the two ends by itself."""
    while not stop_asked:
        for name, process in started.items():
            if process.poll() is not None:
                say(f"The {name} ended by itself (code {process.returncode}); stopping.")
                return 1
        time.sleep(0.3)
    return 0


def stop(processes: list["subprocess.Popen[bytes]"]) -> None:
    """Ask both to end, wait, and end by force what has not."""
    for process in processes:
        send(process, signal.SIGTERM)
    deadline = time.monotonic() + WAIT_FOR_STOP
    if not ended_within(SAY_AFTER, processes):
        say("Waiting for what is in hand.")
    for process in processes:
        try:
            process.wait(max(0.1, deadline - time.monotonic()))
        except subprocess.TimeoutExpired:
            say("Something did not stop when asked; ending it by force.")
        # Also when the leader has gone: a child it left behind would hold the port.
        send(process, signal.SIGKILL)
        process.wait()


def ended_within(seconds: float, processes: list["subprocess.Popen[bytes]"]) -> bool:
    """Whether all have ended before the time is over."""
    until = time.monotonic() + seconds
    while any(process.poll() is None for process in processes):
        if time.monotonic() > until:
            return False
        time.sleep(0.1)
    return True


def send(process: "subprocess.Popen[bytes]", number: signal.Signals) -> None:
    """Signal a whole process group, if any of it is left."""
    try:
        os.killpg(process.pid, number)
    except ProcessLookupError:
        return


if __name__ == "__main__":
    sys.exit(main())
