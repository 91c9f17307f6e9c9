"""What was handed in: a file or a line of answers, with the reason if it cannot be marked."""

from collections.abc import Mapping
from dataclasses import dataclass

from acpower.marking.term_key import term_mark
from acpower.worksheets.scheme import Worksheet


@dataclass(frozen=True)
class Submission:
    """One file taken in, or one apprentice who handed nothing in (``file`` is then empty).

    ``status`` is ``accepted``, ``query`` (somebody must decide something), ``refused`` (the file
    is of no use) or ``missing``. ``code`` and ``says`` give the reason.
    """

    file: str
    status: str
    apprentice: str = ""
    worksheet: Worksheet | None = None
    cells: tuple[str, ...] = ()
    sha256: str = ""
    code: str = ""
    says: str = ""
    saved: float = 0.0
    """When the file was last saved, in seconds since 1970."""
    issued_to: str = ""
    """The id that the hand-out wrote into the file."""
    typed: Mapping[str, str] | None = None
    """Answers given on paper and typed in, by question; there is nothing to run then."""


class NotUsable(Exception):
    """A file that cannot be marked as it is: a status, a reason code and a sentence."""

    def __init__(self, status: str, code: str, says: str) -> None:
        super().__init__(says)
        self.status, self.code = status, code


def check_term(issued: Mapping[str, str], term_key: str | None) -> None:
    """Refuse to mark practice as marks, marks as practice, or by the numbers of another term."""
    term = issued.get("term")
    if term_key is None and term is not None:
        says = "This worksheet was handed out for marks. Mark it with --term-key and the file of that term."
    elif term_key is not None and term is None and issued:
        says = "This worksheet was handed out for practice. Mark it without a term key, in a run of its own."
    elif term_key is not None and term is not None and term != term_mark(term_key):
        says = "This worksheet was handed out under another term key. Mark it with the file of that term."
    else:
        return
    raise NotUsable("query", "other-hand-out", says)
