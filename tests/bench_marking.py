"""How fast a class is marked beside two other ways of running the same worksheets.

Run ``PYTHONPATH=tests python tests/bench_marking.py`` (500 worksheets, about six minutes on two cores),
with ``--growth`` for 50 to 5 000 worksheets, or with ``--kernels`` for two ways of reaching a forked kernel.
Nothing here is a timed test.

- ``pytest --nbval-lax -n 2`` over the folder, as anybody would do it;
- bare forks: a warm IPython shell is forked for each worksheet and runs its cells, on as many cores as
  marking uses, without nbval, without isolation, without judging;
- marking: take in, run in full isolation, judge; with ``marking and pages`` the reports as well.

The first worksheet of each way is not counted apart: starting up is part of each.
"""

import argparse
import gc
import json
import os
import platform
import signal
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Sequence
from importlib.metadata import version
from pathlib import Path

import numpy as np
import psutil
from classroom import hand_in, right, write_register

from acpower.marking import isolation
from acpower.marking.hand_back import hand_back
from acpower.marking.mark import mark_class
from acpower.marking.run import Limits
from acpower.marking.workers import cores
from acpower.worksheets.answering import MARKING_VARIABLE

GROWTH = (50, 150, 500, 1500, 5000)


def main() -> None:
    """Print the ratios, or the growth."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--worksheets", type=int, default=500)
    parser.add_argument("--growth", action="store_true")
    parser.add_argument("--kernels", action="store_true")
    options = parser.parse_args()
    versions = ", ".join(
        f"{name} {version(name)}" for name in ("acpower", "nbval", "pytest", "ipython", "numpy")
    )
    print(f"{platform.platform()}, Python {platform.python_version()}, {cores()} cores; {versions}")
    print(f"isolation: {isolation.in_words(isolation.level())}", flush=True)
    with tempfile.TemporaryDirectory() as place:
        if options.growth:
            _growth(Path(place))
        elif options.kernels:
            _kernels(Path(place), 30)
        else:
            _ratios(Path(place), options.worksheets)


def _ratios(place: Path, count: int) -> None:
    folder, register = _class(place, count)
    seconds = {}
    for name, way in (
        ("bare forks", lambda: _bare_forks(folder)),
        ("marking", lambda: _mark(folder, register)),
        ("marking and pages", lambda: _mark(folder, register, place / "marked")),
        ("pytest --nbval-lax -n 2", lambda: _plain(folder)),
    ):
        with _Memory() as memory:
            begin = time.perf_counter()
            way()
            seconds[name] = time.perf_counter() - begin
        print(
            f"{name:24} {1000 * seconds[name] / count:7.1f} ms each of {count}, "
            f"at most {memory.most / 2**20:.0f} MiB in all processes",
            flush=True,
        )
    print(
        f"marking: {seconds['pytest --nbval-lax -n 2'] / seconds['marking']:.1f} times the throughput of pytest"
    )
    print(f"marking takes {seconds['marking'] / seconds['bare forks']:.2f} times as long as bare forks")


def _growth(place: Path) -> None:
    taken, most = [], 0.0
    for count in GROWTH:
        folder, register = _class(place / str(count), count)
        with _Memory() as memory:
            begin = time.perf_counter()
            _mark(folder, register)
            taken.append(time.perf_counter() - begin)
        most = max(most, memory.most)
        print(f"{count:5} worksheets: {taken[-1]:7.2f} s, at most {memory.most / 2**20:.0f} MiB", flush=True)
    slope, start = np.polyfit(GROWTH, taken, 1)
    power, _ = np.polyfit(np.log(GROWTH[1:]), np.log(np.array(taken[1:]) - start), 1)
    fitted = np.polyval((slope, start), GROWTH)
    error = 1 - np.sum((taken - fitted) ** 2) / np.sum((taken - np.mean(taken)) ** 2)
    print(
        f"fit: {start:.1f} s and {1000 * slope:.1f} ms for each worksheet, R² {error:.4f}, exponent {power:.2f}"
    )


def _kernels(place: Path, count: int) -> None:
    """Compare our packets with Jupyter's messages: one worksheet after the other, a fork for each, no judging."""
    folder, _ = _class(place, count)
    cells = [_cells(path) for path in sorted(folder.glob("*.ipynb"))]
    begin = time.perf_counter()
    subprocess.run([sys.executable, __file__, "jupyter", str(folder)], check=True)
    jupyter = time.perf_counter() - begin
    begin = time.perf_counter()
    worker = isolation.new_worker(for_marks=False)
    worksheets = [{"cells": one, "variables": {MARKING_VARIABLE: "{}"}, "files": {}} for one in cells]
    assert len(list(worker.run(worksheets, Limits()))) == count
    worker.end()
    worker.close()
    ours = time.perf_counter() - begin
    print(
        f"forked IPython kernel, Jupyter's messages, without nbval and isolation: {1000 * jupyter / count:.0f} ms each"
    )
    print(f"forked shell, our packets, with nbval and isolation: {1000 * ours / count:.0f} ms each")
    print(f"ratio {jupyter / ours:.1f}")


def _run_jupyter(folder: Path) -> None:
    os.environ |= {MARKING_VARIABLE: "{}", "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    from ipykernel.kernelapp import IPKernelApp
    from jupyter_client import BlockingKernelClient
    from jupyter_client.connect import write_connection_file

    import acpower.worksheets.job  # noqa: F401

    gc.freeze()
    for path in sorted(folder.glob("*.ipynb")):
        connection, _ = write_connection_file()
        kernel = os.fork()
        if kernel == 0:
            os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
            os.dup2(1, 2)
            IPKernelApp.launch_instance(["-f", connection])
            os._exit(0)
        client = BlockingKernelClient(connection_file=connection)
        client.load_connection_file()
        client.start_channels()
        client.wait_for_ready(timeout=60)
        for cell in _cells(path):
            client.execute_interactive(
                cell, store_history=False, output_hook=lambda message: None, timeout=60
            )
        client.stop_channels()
        os.kill(kernel, signal.SIGKILL)
        os.waitpid(kernel, 0)
        os.unlink(connection)


def _cells(path: Path) -> list[str]:
    notebook = json.loads(path.read_text(encoding="utf-8"))
    return ["".join(cell["source"]) for cell in notebook["cells"] if cell["cell_type"] == "code"]


def _class(place: Path, count: int) -> tuple[Path, Path]:
    ids = [f"B{number:04}" for number in range(count)]
    folder = place / "in"
    for one in ids:
        hand_in(folder, one, right(one))
    return folder, write_register(place / "class.csv", *ids)


def _mark(folder: Path, register: Path, to: Path | None = None) -> None:
    limits = Limits()
    result = mark_class(folder, register, limits=limits)
    assert all(one.marked and one.marked.marks == one.worksheet.marks for one in result.results)
    if to is not None:
        hand_back(result, to, limits)


def _plain(folder: Path) -> None:
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-q",
        "--nbval-lax",
        "--nbval-current-env",
        "-n",
        "2",
        "--dist",
        "loadfile",
    ]
    (folder.parent / "pytest.ini").write_text("[pytest]\n", encoding="utf-8")
    done = subprocess.run(
        [*command, "-c", str(folder.parent / "pytest.ini"), "-p", "no:cacheprovider", str(folder)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stdout[-1000:]


def _bare_forks(folder: Path) -> None:
    subprocess.run([sys.executable, __file__, "bare", str(folder), str(cores())], check=True)


def _run_bare(folder: Path, at_once: int) -> None:
    os.environ |= {MARKING_VARIABLE: "{}", "OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"}
    from IPython.core.interactiveshell import InteractiveShell
    from traitlets.config import Config

    import acpower.worksheets.job  # noqa: F401

    with tempfile.TemporaryDirectory() as settings:
        os.environ["IPYTHONDIR"] = settings
        shell = InteractiveShell.instance(config=Config(HistoryManager={"enabled": False}))
    sys.stdout = open(os.devnull, "w")  # noqa: SIM115
    gc.freeze()
    files = sorted(folder.glob("*.ipynb"))
    for part in range(at_once):
        if os.fork() == 0:
            for path in files[part::at_once]:
                cells = _cells(path)
                if os.fork() == 0:
                    for cell in cells:
                        shell.run_cell(cell)
                    os._exit(0)
                os.wait()
            os._exit(0)
    for _ in range(at_once):
        os.wait()


class _Memory:
    """Looks twice a second how much memory this process and all below it take."""

    def __enter__(self) -> "_Memory":
        self.most = 0.0
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._look)
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._stop.set()
        self._thread.join()

    def _look(self) -> None:
        while not self._stop.wait(0.5):
            self.most = max(self.most, sum(map(_memory, _tree())))


def _tree() -> Sequence[psutil.Process]:
    this = psutil.Process()
    return [this, *this.children(recursive=True)]


def _memory(process: psutil.Process) -> float:
    try:
        return float(process.memory_full_info().pss)
    except psutil.Error:
        return 0.0


if __name__ == "__main__":
    if sys.argv[1:2] == ["bare"]:
        _run_bare(Path(sys.argv[2]), int(sys.argv[3]))
    elif sys.argv[1:2] == ["jupyter"]:
        _run_jupyter(Path(sys.argv[2]))
    else:
        main()
