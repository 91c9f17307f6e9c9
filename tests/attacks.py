"""What an attack is, for the tests of hostile submissions. Attacks are numbered A01 to A79, others X01 onwards."""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Attack:
    """One attack, made by one apprentice.

    ``cell`` is put into a worksheet after question 4, which is right but for ``changes``, and ``then`` a
    second one after it; the honest twin is the same without them. ``code`` is the reason that must be on record, with
    ``says`` in its words; without one the cell ends as any other, and so it raises if it gets what it
    must not. ``rest`` says whether the questions after the cell are still marked; None where it is a race how many.
    ``limits_only`` is the reason where there are limits only; None where those promise nothing.
    """

    number: str
    name: str
    cell: str = ""
    code: str = ""
    says: str = ""
    rest: bool | None = True
    then: str = ""
    changes: Mapping[str, str] = field(default_factory=dict)
    limits_only: str | None = None
    limits_only_rest: bool = True
