"""`make run`: comes up on an empty database, answers, and leaves nothing when interrupted."""

import signal
import urllib.error
import urllib.request

import pytest

from tests.postgres import free_port
from tests.tooling.processes import is_alive, own_environ, processes_of, start, wait_for


@pytest.fixture
def launched(tmp_path):
    port = free_port()
    environ = own_environ(tmp_path, LOFTBOOK_DEMO="no", PORT=str(port))
    process = start(["-m", "config.setup.launch"], environ, tmp_path / "out")
    yield process, f"http://localhost:{port}/account/login/"
    if process.poll() is None:
        process.send_signal(signal.SIGTERM)
        process.wait(60)


def status(address):
    try:
        with urllib.request.urlopen(address, timeout=5) as answer:
            return answer.status
    except urllib.error.HTTPError as refusal:
        return refusal.code
    except OSError:
        return None


def test_one_command_brings_loftbook_up_and_an_interrupt_takes_it_down(launched, tmp_path):
    process, address = launched
    out = tmp_path / "out"
    assert wait_for(lambda: status(address), "answer", out, process) == 200
    wait_for(lambda: "Ctrl-C stops it" in out.read_text(), "greeting", out, process)
    started = processes_of(process.pid)
    assert len({group for _, group in started}) >= 2, "web server and worker are apart"
    process.send_signal(signal.SIGINT)
    assert process.wait(60) == 130
    assert [pid for pid, _ in started if is_alive(pid)] == []
    assert status(address) is None
