"""`python -m bench.phone`: what the pages weigh on a phone, and how fast a kept check opens.

Three figures against three goals. The weight of our script is every script a phone keeps, compressed
as the server sends it (brotli over HTTPS, which is what a phone in the house gets). A vendored reader
of codes is fetched only by a browser without one and is not counted. The first load is *My round* in a browser that has
nothing but a session: every byte the page asks for, as the browser counts them on the wire, headers
included. What the worker then fetches for later, and the pages of the round, are told beside it and
have no goal. A kept check is opened without network, on a processor slowed down four times, until
its first question can be answered.

Times mean nothing on a busy machine, so the load is printed beside them, and the processor time that
one opening takes at full speed. Where it is allowed (as root) the browser goes ahead of all other
programs while the openings are timed, and the report says so.

The figures are our own output, of one machine and one run.
"""

from __future__ import annotations

import gzip
import socket
import sys
import threading
from contextlib import suppress
from os import cpu_count, getloadavg
from statistics import median
from typing import Any

from bench.ahead import put_ahead
from bench.demo_house import PROJECT, running_demo_house
from bench.pocket import ROUND, WHOLE, chromium, new_phone, phone_with_round
from bench.screenshots import sign_in
from inspections.phone_files import files_for_phone, worker_script
from venue.front_files import SCRIPTS, look_script, packed
from venue.language_now import known_in
from venue.languages import ENGLISH, LANGUAGES
from venue.one_file import one_script
from venue.script_words import in_language

SCRIPT, FIRST_LOAD, OPENING = 40_000, 150_000, 300.0
SLOWER, OPENINGS = 4, 15
# The clock of the page itself, from the tap on: set before any script of ours has run.
READY = """
addEventListener("DOMContentLoaded", () => {
    const look = () => {
        const question = document.querySelector(".in-steps .question:not([hidden])");
        if (!question) return requestAnimationFrame(look);
        requestAnimationFrame(() => setTimeout(() => { globalThis.readyAfter = performance.now(); }));
    };
    look();
});
"""
# Asked by a promise: the pages forbid the evaluation of text, which waiting otherwise takes.
WAIT = """new Promise((done) => {
    const look = () => (globalThis.readyAfter ? done() : setTimeout(look, 50));
    look();
})"""
PAINTED = "performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? 0"


def main() -> int:
    with running_demo_house() as (port, _), chromium() as browser:
        weight = script_weight()
        loaded = first_load(browser, port)
        opened = opening(browser, f"http://localhost:{port}")
    report(weight, loaded, opened)
    return 0


def script_weight(language: str = ENGLISH, *, push: bool = False) -> dict[str, int]:
    """The one script of every page, the one that sets its look, and the worker. `push`: with what
    the worker does more where messages to phones are switched on."""
    root, known = PROJECT / "static", known_in(language, "phone")
    joined = in_language(one_script(root, SCRIPTS, "/static/{}".format), known)
    worker = worker_script("0" * 12, files_for_phone(root), root, known, push=push)
    texts = [text.encode() for text in (joined, look_script(root), worker)]
    return {
        "files": len(texts),
        "plain": sum(map(len, texts)),
        "gzip": sum(len(gzip.compress(text, 9)) for text in texts),
        "brotli": sum(len(packed(text)) for text in texts),
    }


class Wire:
    """Stands between phone and server and counts what comes down."""

    def __init__(self, to_port: int) -> None:
        self.to_port, self.down = to_port, 0
        self.listener = socket.create_server(("127.0.0.1", 0), backlog=64)
        self.port: int = self.listener.getsockname()[1]
        threading.Thread(target=self._listen, daemon=True).start()

    def _listen(self) -> None:
        with suppress(OSError):
            while True:
                phone, _ = self.listener.accept()
                server = socket.create_connection(("127.0.0.1", self.to_port))
                for ends in ((phone, server, False), (server, phone, True)):
                    threading.Thread(target=self._carry, args=ends, daemon=True).start()

    def _carry(self, one: socket.socket, other: socket.socket, down: bool) -> None:
        with suppress(OSError):
            while chunk := one.recv(65536):
                self.down += len(chunk) if down else 0
                other.sendall(chunk)
        with suppress(OSError):
            other.shutdown(socket.SHUT_WR)


def first_load(browser: Any, port: int) -> dict[str, int]:
    """My round in a browser with nothing but a session, as its network panel counts it."""
    signed_in = new_phone(browser, f"http://localhost:{port}")
    sign_in(signed_in.new_page())
    wire = Wire(port)
    phone = new_phone(
        browser, f"http://localhost:{wire.port}", storage_state=signed_in.storage_state()
    )
    signed_in.close()
    tab = phone.new_page()
    counted = count_bytes(phone.new_cdp_session(tab))
    tab.goto(ROUND, wait_until="networkidle")
    tab.get_by_text(WHOLE).wait_for()
    tab.evaluate("navigator.serviceWorker.ready.then(() => true)")
    tab.wait_for_timeout(1000)
    phone.close()
    along = ("/kept/", "/t/", "/sync/")
    later = sum(size for url, size in counted if any(part in url for part in along))
    # The round asks for its own page once more, to keep it.
    again = [size for url, size in counted if url.endswith(ROUND)][1:]
    whole = sum(size for _, size in counted)
    page = whole - later - sum(again)
    return {"page": page, "along": whole - page, "worker": wire.down - whole, "all": wire.down}


def count_bytes(session: Any) -> list[tuple[str, int]]:
    addresses: dict[str, str] = {}
    counted: list[tuple[str, int]] = []
    session.on(
        "Network.requestWillBeSent",
        lambda told: addresses.update({told["requestId"]: told["request"]["url"]}),
    )
    session.on(
        "Network.loadingFinished",
        lambda told: counted.append(
            (addresses.get(told["requestId"], ""), int(told["encodedDataLength"]))
        ),
    )
    session.send("Network.enable")
    return counted


def opening(browser: Any, address: str) -> dict[str, list[float]]:
    """A check of the round, opened without network on a slow processor."""
    tab = phone_with_round(browser, address)
    tab.add_init_script(READY)
    kept = tab.locator("form[data-kept-page]").first.get_attribute("data-kept-page")
    tab.context.set_offline(True)
    slow = tab.context.new_cdp_session(tab)
    slow.send("Performance.enable", {"timeDomain": "threadTicks"})
    times: dict[str, list[float]] = {"painted": [], "ready": [], "work": [], "ahead": []}
    for _ in range(OPENINGS):
        tab.goto("about:blank")  # the count begins anew with another page
        before = work_of(slow)
        open_kept(tab, kept)
        times["work"].append(work_of(slow) - before)
    slow.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    for _ in range(OPENINGS):
        tab.goto("about:blank")
        times["ahead"].append(put_ahead("chromium"))  # anew: a browser makes processes as it goes
        open_kept(tab, kept)
        times["painted"].append(tab.evaluate(PAINTED))
        times["ready"].append(tab.evaluate("readyAfter"))
    tab.context.close()
    return times


def open_kept(tab: Any, page: str) -> None:
    tab.goto(page, wait_until="commit")
    tab.evaluate(WAIT)


def work_of(session: Any) -> float:
    """Processor time of the page so far, in ms: what else the machine does is not in it."""
    told = session.send("Performance.getMetrics")["metrics"]
    return 1000 * next(each["value"] for each in told if each["name"] == "TaskDuration")


def report(weight: dict[str, int], loaded: dict[str, int], opened: dict[str, list[float]]) -> None:
    ready = median(opened["ready"])
    print(f"{'':44}{'measured':>10}{'goal':>10}")
    line(f"our script, brotli ({weight['files']} files)", weight["brotli"], SCRIPT, "bytes")
    line("first load of My round, over the wire", loaded["page"], FIRST_LOAD, "bytes")
    line("a kept check opened, no network, 4 x slower", ready, OPENING, "ms")
    print()
    print(f"the script in gzip {weight['gzip']} bytes, unpacked {weight['plain']}")
    for language, name in LANGUAGES:
        plain, push = (script_weight(language, push=push)["brotli"] for push in (False, True))
        print(f"in {name} {plain} bytes in brotli, {push} where messages to phones are switched on")
    print(f"then, for later: the worker's files {loaded['worker']} bytes,", end=" ")
    print(f"the pages of the round {loaded['along']} bytes; {loaded['all']} in all")
    spread = f"{min(opened['ready']):.0f} to {max(opened['ready']):.0f} ms"
    print(
        f"the work of one opening: {median(opened['work']):.0f} ms of processor, not slowed down;",
        end=" ",
    )
    print(f"{getloadavg()[0]:.1f} programs wanted the machine's {cpu_count()} processors")
    ahead = "ahead of them" if all(opened["ahead"]) else "among them"
    print(f"{OPENINGS} openings {ahead}: ready after {spread}, first painted after", end=" ")
    print(f"{median(opened['painted']):.0f} ms (median)")


def line(what: str, measured: float, goal: float, unit: str) -> None:
    outcome = "met" if measured <= goal else "MISSED"
    print(f"{what:44}{measured:10.0f}{goal:10.0f} {unit}: {outcome}")


if __name__ == "__main__":
    sys.exit(main())
