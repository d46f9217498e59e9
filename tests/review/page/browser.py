"""A real browser for tests: Debian's chromium without a window, spoken to in its DevTools protocol over two pipes."""

import base64
import json
import os
import select
import shutil
import subprocess
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

PROGRAM = shutil.which("chromium")
ABSENT = "chromium is not installed (on Debian: apt-get install chromium)"
_DEADLINE_S = 60.0


class Browser:
    """One page in one browser; every call waits for its answer, and none waits for ever."""

    def __init__(self, process: "subprocess.Popen[bytes]", to: int, back: int) -> None:
        self.process, self.to, self.back = process, to, back
        self.count, self.session, self.rest = 0, "", b""
        self.events: list[dict[str, Any]] = []
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self.session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for domain in ("Page", "Runtime", "Log", "Network"):
            self.call(f"{domain}.enable")

    def call(self, method: str, **parameters: Any) -> dict[str, Any]:
        """One command of the protocol, and what it answers."""
        self.count += 1
        message: dict[str, Any] = {"id": self.count, "method": method, "params": parameters}
        if self.session:
            message["sessionId"] = self.session
        os.write(self.to, json.dumps(message).encode() + b"\0")
        while True:
            answer = self._next()
            if answer.get("id") == self.count:
                assert "error" not in answer, (method, answer["error"])
                return answer["result"]
            self.events.append(answer)

    def open(self, path: Path) -> float:
        """Open a file and wait until it has loaded; seconds that took."""
        self.events.clear()
        begun = time.monotonic()
        self.call("Page.navigate", url=path.resolve().as_uri())
        while not any(event.get("method") == "Page.loadEventFired" for event in self.events):
            self.events.append(self._next())
        # Two frames later everything is laid out and painted.
        self.run("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(1))))")
        return time.monotonic() - begun

    def run(self, expression: str) -> Any:
        """The value of a script expression within the page, whatever its policy on scripts; promises are awaited."""
        answer = self.call("Runtime.evaluate", expression=expression, awaitPromise=True, returnByValue=True)
        assert "exceptionDetails" not in answer, answer["exceptionDetails"]
        return answer["result"].get("value")

    def press(self, key: str) -> None:
        """Press and release one key."""
        codes = {"Tab": 9, "Enter": 13, "Escape": 27, "ArrowRight": 39}
        text = {"text": "\r"} if key == "Enter" else {}
        for kind in ("keyDown", "keyUp"):
            named = {"key": key, "code": key, "windowsVirtualKeyCode": codes[key]}
            self.call("Input.dispatchKeyEvent", type=kind, **named, **(text if kind == "keyDown" else {}))

    def look(self, width: int, height: int = 900, scheme: str = "light", media: str = "") -> None:
        """Set the size of the window, the colour scheme, and the medium."""
        self.call("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=False)
        features = [
            {"name": "prefers-color-scheme", "value": scheme}, {"name": "prefers-reduced-motion", "value": "reduce"},
        ]
        self.call("Emulation.setEmulatedMedia", media=media, features=features)

    def screenshot(self, path: Path, whole: bool = False) -> None:
        """What is seen, or the whole page, as PNG."""
        answer = self.call("Page.captureScreenshot", format="png", captureBeyondViewport=whole)
        path.write_bytes(base64.b64decode(answer["data"]))

    def print(self, path: Path) -> None:
        """The page on paper: A4 as PDF."""
        answer = self.call(
            "Page.printToPDF", printBackground=False, paperWidth=8.27, paperHeight=11.69, preferCSSPageSize=True
        )
        path.write_bytes(base64.b64decode(answer["data"]))

    def complaints(self) -> list[str]:
        """What the browser wrote to its console: errors of scripts, and breaches of the policy."""
        told = []
        for event in self.events:
            if event.get("method") in ("Log.entryAdded", "Runtime.exceptionThrown", "Runtime.consoleAPICalled"):
                told.append(json.dumps(event["params"]))
        return told

    def asked_for(self) -> list[str]:
        """Every address that was asked for since the page was opened, but for those that hold their own content."""
        asked = [event["params"]["request"]["url"] for event in self.events
                 if event.get("method") == "Network.requestWillBeSent"]
        return [url for url in asked if not url.startswith("data:")]

    def _next(self) -> dict[str, Any]:
        deadline = time.monotonic() + _DEADLINE_S
        while b"\0" not in self.rest:
            ready, _, _ = select.select([self.back], [], [], max(deadline - time.monotonic(), 0))
            got = os.read(self.back, 1 << 20) if ready else b""
            if not got:
                raise TimeoutError("the browser does not answer")
            self.rest += got
        message, _, self.rest = self.rest.partition(b"\0")
        return json.loads(message)


@contextmanager
def browser(home: Path) -> Iterator[Browser]:
    """Start a browser whose profile lies in the folder, and end it."""
    assert PROGRAM is not None, ABSENT
    read_here, write_there = os.pipe()
    read_there, write_here = os.pipe()

    def place() -> None:
        # The browser reads commands from descriptor 3 and answers on 4; copies above keep the two from colliding.
        own_read, own_write = os.dup(read_there), os.dup(write_there)
        os.dup2(own_read, 3)
        os.dup2(own_write, 4)

    arguments = [
        PROGRAM, "--headless", "--remote-debugging-pipe", "--no-sandbox", "--disable-gpu", "--no-first-run",
        "--disable-dev-shm-usage", "--disable-background-networking", "--disable-component-update",
        "--disable-extensions", "--disable-sync", "--hide-scrollbars", f"--user-data-dir={home}",
    ]
    process = subprocess.Popen(
        arguments, preexec_fn=place, close_fds=False, stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )
    os.close(read_there)
    os.close(write_there)
    try:
        yield Browser(process, write_here, read_here)
    finally:
        os.close(write_here)
        os.close(read_here)
        process.terminate()
        try:
            process.wait(10)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
