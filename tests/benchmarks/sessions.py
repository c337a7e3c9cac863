"""Twenty people at once: `python -m tests.benchmarks.sessions`.

Each opens the order page of the demo house over the server's own stream, as a browser does, then moves a
what-if slider once in ten seconds for a minute, once all have their page; two sliders at random, so that few
answers are there already. Waits are counted from the click to the end of the server's
answer; the drawing in the browser is not in them.
"""

from __future__ import annotations

import asyncio
import json
import random
import statistics
import subprocess
import sys
import time
from pathlib import Path

import psutil
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.asyncio.client import ClientConnection, connect
from websockets.typing import Origin

from fuelplan.pages import server_command
from tests.conftest import free_port, wait_until_served

DEMO = Path(__file__).resolve().parents[2] / "demo_sites" / "family_house"
PEOPLE, CLICKS, EVERY_S = 20, 6, 10.0
LAST = {"if-lead": 20, "if-price": 12}  # the sliders' last steps
STEP = {"if-lead": 1, "if-price": 5}


class Person:
    """One visit: its stream, and the widgets that its page holds."""

    def __init__(self, stream: ClientConnection, seed: int) -> None:
        """Keep the stream."""
        self.stream, self.random = stream, random.Random(seed)
        self.sliders: dict[str, str] = {}
        self.fragment = ""
        self.page = ""  # the page's own mark, without which the server draws all of it anew
        self.errors = 0

    async def run(self, message: BackMsg) -> float:
        """Send one wish and wait until the server has answered it all. [s]"""
        begun = time.perf_counter()
        await self.stream.send(message.SerializeToString())
        while True:
            data = await self.stream.recv()
            answer = ForwardMsg()
            answer.ParseFromString(data if isinstance(data, bytes) else data.encode())
            self.look_at(answer)
            if answer.WhichOneof("type") == "script_finished":
                return time.perf_counter() - begun

    def look_at(self, answer: ForwardMsg) -> None:
        """Note the slider for the supplier's time, and anything that went wrong."""
        if answer.WhichOneof("type") == "new_session":
            self.page = answer.new_session.page_script_hash or self.page
        if answer.WhichOneof("type") != "delta":
            return
        element = answer.delta.new_element
        kind = element.WhichOneof("type")
        for name in LAST:
            if kind == "slider" and name in element.slider.id:
                self.sliders[name], self.fragment = element.slider.id, answer.delta.fragment_id
        if kind == "exception" or (kind == "html" and "mistake in the program" in element.html.body):
            self.errors += 1

    def click(self) -> BackMsg:
        """Return the wish that a moved slider sends."""
        message = BackMsg()
        message.rerun_script.page_script_hash = self.page
        message.rerun_script.fragment_id = self.fragment
        for name, last in LAST.items():
            state = message.rerun_script.widget_states.widgets.add()
            state.id = self.sliders[name]
            state.double_array_value.data.append(
                float(self.random.randint(1, last) * (5 if name == "if-price" else 1))
            )
        return message


def first_wish(page: str) -> BackMsg:
    """Return what a browser sends when it opens a page."""
    message = BackMsg()
    message.rerun_script.page_name = page
    return message


async def visit(port: int, seed: int, all_here: asyncio.Barrier) -> tuple[float, list[float], int]:
    """Return the wait for the first page, those for the clicks, and how often something went wrong."""
    await asyncio.sleep(seed * EVERY_S / PEOPLE)
    address = f"127.0.0.1:{port}"
    stream = await connect(
        f"ws://{address}/_stcore/stream", origin=Origin(f"http://{address}"), max_size=None
    )
    person = Person(stream, seed)
    first = await person.run(first_wish("when-to-order"))
    assert len(person.sliders) == len(LAST), "the page has not its sliders"
    await all_here.wait()
    await asyncio.sleep(seed * EVERY_S / PEOPLE)
    waits = []
    for _ in range(CLICKS):
        begun = time.perf_counter()
        waits.append(await person.run(person.click()))
        await asyncio.sleep(max(0.0, EVERY_S - (time.perf_counter() - begun)))
    await stream.close()
    return first, waits, person.errors


async def all_visits(port: int, server: psutil.Process) -> dict[str, float]:
    """Return the figures of all visits. [s]"""
    all_here = asyncio.Barrier(PEOPLE)
    found = await asyncio.gather(*(visit(port, seed, all_here) for seed in range(PEOPLE)))
    used = server.cpu_times()
    clicks = sorted(wait for _, waits, _ in found for wait in waits)
    return {
        "people": PEOPLE,
        "clicks": len(clicks),
        "went wrong": sum(errors for _, _, errors in found),
        "first page, slowest": max(first for first, _, _ in found),
        "click, median": statistics.median(clicks),
        "click, p95": clicks[int(0.95 * (len(clicks) - 1))],
        "click, slowest": clicks[-1],
        "processor time in all": used.user + used.system,
        "others' load of the machine": psutil.getloadavg()[0],
    }


def main() -> None:
    """Serve the demo house and print the figures."""
    port = free_port()
    command = server_command(str(DEMO), port)
    server = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    try:
        wait_until_served(port, server)
        found = asyncio.run(all_visits(port, psutil.Process(server.pid)))
    finally:
        server.terminate()
        server.wait()
    sys.stdout.write(json.dumps({k: round(v, 3) for k, v in found.items()}, indent=1) + "\n")


if __name__ == "__main__":
    main()
