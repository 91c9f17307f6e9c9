"""What one marked worksheet and one marked class are."""

from dataclasses import dataclass, field
from datetime import UTC, datetime

from acpower.marking.isolation import FULL
from acpower.marking.judge import MarkedWorksheet
from acpower.marking.register import Register
from acpower.marking.run import Stop
from acpower.marking.submission import Submission
from acpower.worksheets.scheme import Worksheet

NOBODYS = "No file belongs to an apprentice of the class list. Check that folder and class list are of the same class."

NOTHING_RECORDED = "nothing-recorded"

Note = tuple[str, str]
"""A reason code and the words for a person."""


@dataclass(frozen=True)
class Result:
    """One apprentice's worksheet: how it was taken in, how it was judged, what a person should know."""

    submission: Submission
    marked: MarkedWorksheet | None = None
    notes: list[Note] = field(default_factory=list)
    stops: tuple[Stop, ...] = ()
    seconds: float = 0.0

    @property
    def worksheet(self) -> Worksheet:
        """The worksheet that this result belongs to."""
        assert self.submission.worksheet is not None
        return self.submission.worksheet

    @property
    def status(self) -> str:
        """``marked``, ``query``, ``refused`` or ``missing``."""
        return "marked" if self.marked else self.submission.status

    @property
    def untouched(self) -> bool:
        """Whether nothing is recorded, so that the worksheet may still come: its report gives no answer away."""
        return any(code == NOTHING_RECORDED for code, _ in self.notes)


@dataclass(frozen=True)
class ClassResult:
    """Everything about one marked class, in the order of the register."""

    register: Register
    results: tuple[Result, ...]
    strays: tuple[Submission, ...]
    """Files that belong to no apprentice of the register."""
    isolation: str = FULL
    """The isolation in which the worksheets ran."""
    marked_at: datetime = field(default_factory=lambda: datetime.now(UTC))

    @property
    def worksheets(self) -> list[Worksheet]:
        """The worksheets that were marked, each once."""
        return list({result.worksheet.name: result.worksheet for result in self.results}.values())

    def of(self, worksheet: Worksheet) -> list[Result]:
        """Return the results of one worksheet."""
        return [result for result in self.results if result.worksheet.name == worksheet.name]

    @property
    def needs_attention(self) -> bool:
        """Whether anything is left for a person to decide or to ask for."""
        return bool(self.strays or self.register.problems) or any(
            result.status != "marked" or result.notes for result in self.results
        )
