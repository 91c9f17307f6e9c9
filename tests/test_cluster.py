"""Marking on a cluster: a scheduler and two workers on loopback, one of which is killed in the middle."""

import json
import os
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from classroom import hand_in, hashes, right, with_cell, write_register

from acpower.cli import main
from acpower.marking import cluster, so_far
from acpower.marking.cluster import Cluster
from acpower.marking.hand_back import RECORD
from acpower.marking.record import load_record
from acpower.marking.run import Limits
from acpower.marking.user_mistake import UserMistake

APPRENTICES = [f"C{number:02}" for number in range(12)]
SLOW = "import time\ntime.sleep(0.5)"
STARTUP_SECONDS = 90


class Started:
    """A cluster of this test: the address of its scheduler, and its workers."""

    def __init__(self, place: Path) -> None:
        self._place = place
        self._told = place / "scheduler.json"
        self._running: list[subprocess.Popen[bytes]] = []
        self._start("scheduler", "--port", "0", "--scheduler-file", str(self._told))
        self._wait(lambda: self._told.exists() and bool(self._told.read_text(encoding="utf-8")))
        self.address: str = json.loads(self._told.read_text(encoding="utf-8"))["address"]

    def worker(self) -> "subprocess.Popen[bytes]":
        """Start a worker with one thread."""
        here = str(self._place / f"worker-{len(self._running)}")
        return self._start("worker", self.address, "--no-nanny", "--nthreads", "1", "--local-directory", here)

    def end(self) -> None:
        """End what was started here."""
        for process in reversed(self._running):
            process.kill()
            process.wait()

    def _start(self, kind: str, *words: str) -> "subprocess.Popen[bytes]":
        module = f"distributed.cli.dask_{kind}"
        with (self._place / "log").open("ab") as log:
            process = subprocess.Popen(
                [sys.executable, "-m", module, *words, "--host", "127.0.0.1", "--no-dashboard"],
                env={name: value for name, value in os.environ.items() if not name.startswith("PYTEST_")},
                stdout=log,
                stderr=log,
            )
        self._running.append(process)
        return process

    def _wait(self, there: Callable[[], bool]) -> None:
        ends_at = time.monotonic() + STARTUP_SECONDS
        while not there():
            assert time.monotonic() < ends_at, (self._place / "log").read_text(encoding="utf-8")[-2000:]
            time.sleep(0.1)


@pytest.fixture(scope="module")
def started(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Started]:
    one = Started(tmp_path_factory.mktemp("cluster"))
    yield one
    one.end()


def _until(there: Callable[[], bool], seconds: float = STARTUP_SECONDS) -> None:
    ends_at = time.monotonic() + seconds
    while not there():
        assert time.monotonic() < ends_at
        time.sleep(0.05)


def _written(to: Path) -> dict[str, str]:
    """Return the hashes of all that was written but the record, which holds the time of day."""
    return {name: value for name, value in hashes(to).items() if name != RECORD}


def test_where_nothing_answers_it_is_told(monkeypatch):
    monkeypatch.setattr(cluster, "CONNECT_SECONDS", 1)
    with pytest.raises(UserMistake, match=r"No cluster answers at tcp://127\.0\.0\.1:9 "):
        Cluster("tcp://127.0.0.1:9", accept_limits_only=False)


def test_a_cluster_without_workers_is_told(started):
    with pytest.raises(UserMistake, match="has no workers"):
        Cluster(started.address, accept_limits_only=False)


def test_a_worker_lost_in_mid_run_changes_nothing_on_the_mark_sheet(started, tmp_path, monkeypatch, capsys):
    folder = tmp_path / "in"
    for one in APPRENTICES:
        wrong = {"line_current_a": "1234"} if one.endswith("3") else {}
        hand_in(folder, one, with_cell(right(one, **wrong), SLOW))
    hand_in(folder, "C99", with_cell(right("C99"), "import os\nos._exit(0)"))
    register = write_register(tmp_path / "class.csv", *APPRENTICES, "C99")
    here, there = tmp_path / "here", tmp_path / "there"
    common = ["mark", str(folder), "--register", str(register), "--to"]
    assert main([*common, str(here)]) == 1

    lost, _ = started.worker(), started.worker()
    orders: list[bool] = []
    order = cluster._Order

    def counted(places: tuple[int, ...], again: bool) -> Any:
        orders.append(again)
        return order(places, again)

    def kill() -> None:
        kept = there / so_far.NAME
        _until(lambda: kept.exists() and len(kept.read_text(encoding="utf-8").splitlines()) >= 2)
        lost.kill()

    monkeypatch.setattr(cluster, "_Order", counted)
    monkeypatch.setattr(cluster, "WORKSHEETS_OF_AN_ORDER", 2)
    with_two = threading.Thread(target=kill)
    _until(lambda: len(_machines(started.address)) == 2)
    with_two.start()
    assert main([*common, str(there), "--cluster", started.address]) == 1
    with_two.join()
    assert "Isolation: full" in capsys.readouterr().out
    assert orders.count(True) == 1, "the order that the lost worker had went out once more"
    assert _written(there) == _written(here)
    ran = [one["id"] for one in load_record(there / RECORD)["worksheets"]]
    assert ran == [*APPRENTICES, "C99"]


def test_when_all_workers_are_lost_it_is_told_and_the_next_marking_goes_on(started):
    on_it = Cluster(started.address, accept_limits_only=False)
    try:
        for process in started._running[1:]:
            process.kill()
        with pytest.raises(UserMistake, match="All machines of the cluster are lost"):
            list(on_it.run_all([{"cells": ["1"], "variables": {}, "files": {}}], Limits(), for_marks=False))
    finally:
        on_it.close()


def _machines(address: str) -> dict[str, int]:
    from distributed import Client

    with Client(address, set_as_default=False) as client:
        return client.scheduler_info()["workers"]
