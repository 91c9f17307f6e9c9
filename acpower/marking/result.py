"""What one marked worksheet and one marked class are."""

from dataclasses import dataclass

from acpower.marking.judge import MarkedWorksheet
from acpower.marking.register import Register
from acpower.marking.run import Run
from acpower.marking.take_in import Submission
from acpower.worksheets.cards import JobCard
from acpower.worksheets.scheme import Worksheet


@dataclass(frozen=True)
class Result:
    """One apprentice's worksheet: how it was taken in, how it ran, how it was judged."""

    submission: Submission
    run: Run | None = None
    marked: MarkedWorksheet | None = None
    remarks: tuple[tuple[str, str], ...] = ()
    """What comparing it with the clock and with the rest of the class brought: codes with words."""

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
    def notes(self) -> list[tuple[str, str]]:
        """Everything that a person should know about it: reason codes with their words."""
        notes = []
        if self.submission.code:
            notes.append((self.submission.code, self.submission.says))
        if self.run and self.run.code:
            notes.append((self.run.code, self.run.says))
        return [*notes, *self._structure_notes(), *self.remarks]

    def _structure_notes(self) -> list[tuple[str, str]]:
        """Return what the notebook itself has changed of what was handed out."""
        if self.run is None:
            return []
        notes = []
        unasked = [
            f"{number} ({question.title})"
            for number, question in enumerate(self.worksheet.questions, start=1)
            if not any(question.name in source for source in self.submission.cells)
        ]
        if unasked:
            notes.append(
                f"No cell records an answer to question {', '.join(unasked)}: the cell was deleted or changed."
            )
        opened, opened_for = self.run.opened, self.run.opened_for
        if not opened and not self.run.code:
            notes.append("The job card was not opened: its cell was deleted or changed.")
        if opened and opened != self.worksheet.name:
            notes.append(f"The notebook opened the job card of another worksheet (“{opened}”).")
        if opened_for and opened_for.casefold() != self.submission.apprentice.casefold():
            own = self.submission.apprentice
            notes.append(
                f"The notebook opened the job card of “{opened_for}”, but the file is {own}'s. It was marked "
                f"with the numbers of {own}."
            )
        elif self.marked and self.run.numbers and self.run.numbers != _shown(self.marked.card):
            notes.append(
                "The job card in the notebook shows other numbers than were handed out. It was marked with those "
                "that were handed out."
            )
        return [("structure-changed", says) for says in notes]


@dataclass(frozen=True)
class ClassResult:
    """Everything about one marked class, in the order of the register."""

    register: Register
    results: tuple[Result, ...]
    strays: tuple[Submission, ...]
    """Files that belong to no apprentice of the register."""

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


def _shown(card: JobCard) -> dict[str, str]:
    return {name: str(value) for name, value in card.values.items()}
