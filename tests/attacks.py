"""What the tests of hostile submissions share: what an attack is, and a class that is marked with it.

Attacks are numbered A01 to A79; each has an honest twin, which is the same worksheet without the
attack. The invariants I1 to I8 that every attack is judged by are checks of `Outcome`.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

ORDINARY_USER = 4000
"""A user number without an account, for runs as an ordinary user where the tests are run by root."""


@dataclass(frozen=True)
class Attack:
    """One attack, made by one apprentice.

    ``cell`` is put into a right worksheet after question 4; or ``write`` writes whatever is handed
    in under the apprentice's name, into the given folder. ``codes`` are the reasons that must be on
    record, in any order. ``marks`` are those of each question, None for full marks: what an honest
    worksheet with the same true answers would get is the most.
    """

    number: str
    name: str
    cell: str = ""
    write: Callable[[Path, str], None] | None = None
    codes: tuple[str, ...] = ()
    marks: tuple[int, ...] | None = None
