"""Run worksheets on the machines of a Dask cluster: ``acpower mark --cluster ADDRESS``.

The cluster is there already; every machine has acpower installed. The marker hands out orders and
keeps the books itself: each order goes to one machine, and when that is lost, what it has not sent
back goes once to another. Judging stays with the marker, so the mark sheet is the same.
"""

import json
import threading
import time
from collections import Counter, deque
from collections.abc import Generator, Sequence
from dataclasses import asdict, dataclass
from importlib.metadata import version
from typing import TYPE_CHECKING

from acpower.marking import isolation
from acpower.marking.run import Data, Limits, Told
from acpower.marking.user_mistake import UserMistake
from acpower.marking.workers import Worker

if TYPE_CHECKING:
    from distributed import Future

WORKSHEETS_OF_AN_ORDER = 10
CONNECT_SECONDS = 10
_LOOK_AGAIN = 0.5  # seconds between two looks at which machines are there
_WAIT = 0.02
_LOST = "The machine that ran this worksheet was lost, and so was the second one."


@dataclass(frozen=True)
class _Order:
    """Some worksheets, by their places, and whether they were with another machine before."""

    places: tuple[int, ...]
    again: bool


class Cluster:
    """A cluster whose machines are fit for marking.

    Raises
    ------
    UserMistake
        Nothing answers at the address, no machine is there, one has another acpower, or one gives
        no full isolation although it must.
    """

    def __init__(self, address: str, *, accept_limits_only: bool) -> None:
        try:
            from distributed import Client
        except ImportError:
            raise UserMistake('A cluster needs one more package: pip install "acpower[cluster]".') from None
        try:
            self._client = Client(address, timeout=CONNECT_SECONDS, set_as_default=False)
        except (OSError, ValueError) as problem:
            raise UserMistake(f"No cluster answers at {address} ({problem}). Check the address.") from None
        told = self._client.run(_machine)
        if not told:
            raise UserMistake(f"The cluster at {address} has no workers. Start some and mark again.")
        others = sorted({other for other, _ in told.values()} - {version("acpower")})
        if others:
            raise UserMistake(
                f"Machines of the cluster have acpower {', '.join(others)}; this one has {version('acpower')}. "
                "Install the same everywhere."
            )
        levels = {level for _, level in told.values()}
        self.isolation = isolation.FULL if levels == {isolation.FULL} else isolation.LIMITS_ONLY
        if self.isolation != isolation.FULL and not accept_limits_only:
            raise UserMistake(
                "Not every machine of the cluster gives full isolation, and nothing was marked. If limits only "
                "will do, add --limits-only."
            )

    def run_all(
        self, worksheets: Sequence[Data], limits: Limits, *, for_marks: bool
    ) -> Generator[tuple[int, Told], None, None]:
        """Run all worksheets; yield the place of each and what was told, each place once."""
        size = WORKSHEETS_OF_AN_ORDER
        waiting = deque(
            _Order(tuple(range(start, min(start + size, len(worksheets)))), again=False)
            for start in range(0, len(worksheets), size)
        )
        out: dict[Future[str], tuple[str, _Order]] = {}
        there: dict[str, int] = {}
        look_at = 0.0
        try:
            while waiting or out:
                if time.monotonic() >= look_at:
                    there = self._machines()
                    look_at = time.monotonic() + _LOOK_AGAIN
                for future, (machine, order) in list(out.items()):
                    answers = _answers(future)
                    if answers is not None:
                        del out[future]
                        yield from zip(order.places, answers, strict=True)
                    elif machine not in there:
                        del out[future]
                        future.cancel()
                        if order.again:
                            yield from ((place, Told([], _LOST)) for place in order.places)
                        else:
                            waiting.append(_Order(order.places, again=True))
                busy = Counter(machine for machine, _ in out.values())
                for machine, at_once in there.items():
                    while waiting and busy[machine] < at_once:
                        order = waiting.popleft()
                        data = json.dumps([worksheets[place] for place in order.places])
                        future = self._client.submit(
                            _carry_out, data, asdict(limits), for_marks, workers=[machine], pure=False
                        )
                        out[future] = machine, order
                        busy[machine] += 1
                if not there:
                    raise UserMistake(
                        "All machines of the cluster are lost. Start some and mark again: it goes on."
                    )
                time.sleep(_WAIT)
        finally:
            for future in out:
                future.cancel()

    def close(self) -> None:
        """Leave the cluster; it runs on."""
        self._client.close()

    def _machines(self) -> dict[str, int]:
        """Return the machines that are there, and how many orders each can carry out at once."""
        workers = self._client.scheduler_info(n_workers=-1)["workers"]
        return {address: worker["nthreads"] for address, worker in workers.items()}


def _answers(future: "Future[str]") -> list[Told] | None:
    """Return what was told of an order that is done; None where it is not, or where its machine was lost."""
    from distributed import CancelledError, KilledWorker

    if not future.done():
        return None
    try:
        return [Told(**told) for told in json.loads(future.result(timeout=CONNECT_SECONDS))]
    except (CancelledError, KilledWorker, TimeoutError):
        return None


# What follows runs on the machines of the cluster.

_of_this_thread = threading.local()


def _machine() -> tuple[str, str]:
    """Return the version of acpower here, and the isolation."""
    return version("acpower"), isolation.level()


def _carry_out(data: str, limits: dict[str, float], for_marks: bool) -> str:
    """Run the worksheets of one order, in the isolation of this machine, and return what was told as JSON."""
    kept: tuple[bool, Worker] | None = getattr(_of_this_thread, "worker", None)
    if kept is None or kept[0] is not for_marks:
        if kept is not None:
            kept[1].end()
            kept[1].close()
        _of_this_thread.worker = kept = for_marks, isolation.new_worker(for_marks=for_marks)
    worksheets = json.loads(data)
    told = dict(kept[1].run(worksheets, Limits(**limits)))
    return json.dumps([asdict(told[place]) for place in range(len(worksheets))])
