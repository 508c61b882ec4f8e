"""Has a shop's calculator run in a process of its own (shop_calculator_host), within a time and a memory, and gives its answer.

A calculator that ends its process, hangs or fills the memory takes nothing with it: it becomes one line.
"""

from __future__ import annotations

import json
import os
import queue
import signal
import subprocess
import sys
import threading
import time
from functools import lru_cache
from pathlib import Path
from typing import IO, Any

from build_tools.content.problems import Fault
from build_tools.content.shop.shop_calculator_host import READY

HOST = Path(__file__).with_name("shop_calculator_host.py")
START = 60.0  # seconds for Python and the handbook's own code
SECONDS = 10.0  # for the calculator and its worked example
MEMORY = 400_000_000  # bytes for the calculator
OWN_MEMORY = 200_000_000  # bytes that Python and the handbook's own code may take beside it
LONGEST_ANSWER = 2_000_000  # characters
_LOOK = 0.05  # seconds between two looks at its memory


@lru_cache(maxsize=64)  # `serve` asks again with every change of any file
def answer(module: str, name: str, text: str) -> str | Fault:
    """The JSON text that the calculator of this file gives (see shop_calculator_host), or why it gives none."""
    process = subprocess.Popen(
        [sys.executable, "-I", "-B", "-X", "utf8", str(HOST), str(MEMORY)],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        start_new_session=os.name == "posix",
        creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
    )
    assert process.stdin and process.stdout, "pipes, as asked for"
    lines: queue.Queue[bytes] = queue.Queue()
    reader = threading.Thread(target=_read, args=(process.stdout, lines), daemon=True)
    reader.start()
    try:
        _ask(process.stdin, {"module": module, "name": name, "text": text})
        if _next(process, lines, START).strip() != READY.encode():
            return Fault("K108", "Python could not be started once more to try the calculator; run the command again.")
        return _next(process, lines, SECONDS).decode("utf-8", "replace") or _ended()
    except _Refused as refused:
        return refused.fault
    finally:
        _end(process)


def problems_or_data(text: str) -> dict[str, Any]:
    """The answer as data. ValueError where it is none."""
    try:
        data = json.loads(text)
    except RecursionError:
        raise ValueError from None
    if not isinstance(data, dict):
        raise ValueError
    return data


class _Refused(Exception):
    def __init__(self, fault: Fault):
        super().__init__(fault)
        self.fault = fault


def _ended() -> Fault:
    return Fault("K108", "The calculator ended its program without an answer.")


def _ask(stream: IO[bytes], request: dict[str, str]) -> None:
    try:
        stream.write(json.dumps(request).encode())
        stream.close()
    except OSError:  # it ended before it listened; the missing answer says so
        pass


def _read(stream: IO[bytes], lines: queue.Queue[bytes]) -> None:
    for _ in (READY, "answer"):
        lines.put(stream.readline(LONGEST_ANSWER))


def _next(process: subprocess.Popen[bytes], lines: queue.Queue[bytes], seconds: float) -> bytes:
    """The next line of the process; empty where it ended without one. Raises _Refused at the end of time or memory."""
    until = time.monotonic() + seconds
    while True:
        ended = process.poll() is not None
        try:
            return lines.get(timeout=_LOOK)
        except queue.Empty:
            if ended:  # and yet the line is held open, by a process that it started
                return b""
        if time.monotonic() > until:
            raise _Refused(Fault("K106", f"The calculator gave no answer within {seconds:.0f} seconds."))
        if _memory(process.pid) > MEMORY + OWN_MEMORY:
            raise _Refused(Fault("K107", "The calculator takes too much memory."))


def _memory(number: int) -> int:
    """Bytes that a process holds now; 0 where that cannot be told. On Windows its job object refuses what is too much."""
    try:
        return int(Path(f"/proc/{number}/statm").read_bytes().split()[1]) * os.sysconf("SC_PAGE_SIZE")
    except (OSError, IndexError):
        pass
    if os.name != "posix" or Path("/proc/self").exists():
        return 0
    done = subprocess.run(["ps", "-o", "rss=", "-p", str(number)], capture_output=True, text=True)
    return int(done.stdout) * 1024 if done.stdout.strip().isdecimal() else 0


def _end(process: subprocess.Popen[bytes]) -> None:
    """End the process, and whatever it started."""
    try:
        if os.name == "posix":
            os.killpg(process.pid, signal.SIGKILL)
        else:
            process.kill()
    except OSError:
        pass
    process.wait()
