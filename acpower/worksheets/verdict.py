"""What a verdict is, and how a wrong answer is put into words."""

from dataclasses import dataclass

from acpower.worksheets.scheme import KnownError, Question

# More than two errors that fit the same value say nothing about what the apprentice did.
MOST_ERRORS_NAMED = 2


@dataclass(frozen=True)
class Verdict:
    """The decision on one answer, with its reason."""

    outcome: str
    marks: int
    says: str
    known_errors: tuple[KnownError, ...] = ()
    code: str = ""
    followed: float | None = None
    """What was expected from the apprentice's own earlier values, where those carried forward."""

    @property
    def passed(self) -> bool:
        """Whether the answer counts as right."""
        return self.outcome in ("right", "carried forward")


def wrong(question: Question, fitting: list[KnownError]) -> Verdict:
    """Return the verdict on an answer that is not right and fits these known errors."""
    if not 0 < len(fitting) <= MOST_ERRORS_NAMED:
        return Verdict("not yet", 0, f"Not yet. This fits no known error. {question.hints[0]}")
    says = ", or ".join(error.says for error in fitting)
    hint = " ".join(dict.fromkeys(error.hint for error in fitting))
    kept = min(error.keeps for error in fitting)
    return Verdict(
        "known error", kept, f"Not yet. Your answer fits a known error: {says}. {hint}", tuple(fitting)
    )
