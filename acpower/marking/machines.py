"""Where worksheets are run: on this machine, or on those of a cluster (see `cluster`)."""

from collections.abc import Generator, Sequence
from typing import Protocol

from acpower.marking import isolation
from acpower.marking.run import Data, Limits, Told
from acpower.marking.workers import run_all


class Machines(Protocol):
    """One machine or many, with the isolation that all of them give."""

    isolation: str

    def run_all(
        self, worksheets: Sequence[Data], limits: Limits, *, for_marks: bool
    ) -> Generator[tuple[int, Told], None, None]:
        """Run all worksheets; yield the place of each and what was told, each place once."""


class ThisMachine:
    """The machine on which the marker runs, if its isolation will do.

    Raises
    ------
    UserMistake
        It gives no full isolation, and nobody has said that limits only will do.
    """

    def __init__(self, *, accept_limits_only: bool = False) -> None:
        isolation.check(accept_limits_only=accept_limits_only)
        self.isolation = isolation.level()

    def run_all(
        self, worksheets: Sequence[Data], limits: Limits, *, for_marks: bool
    ) -> Generator[tuple[int, Told], None, None]:
        """Run all worksheets on all cores; yield the place of each and what was told, as they end."""
        return run_all(worksheets, limits, lambda: isolation.new_worker(for_marks=for_marks))
