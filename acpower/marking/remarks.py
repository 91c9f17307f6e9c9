"""Remarks on a marked class that change no mark: late files, answers that fit somebody else's job card."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from acpower.marking.judge import Marked
from acpower.marking.result import Result
from acpower.worksheets.answers import read_number
from acpower.worksheets.cards import JobCard
from acpower.worksheets.scheme import Number, Worksheet
from acpower.worksheets.verdicts import accepts

LEAST_MATCHES = 3
"""By chance one answer in a hundred fits another card; three that fit the same card hardly do so by chance."""


def note_late(results: Sequence[Result], due: datetime | None) -> list[Result]:
    """Remark on files that were saved after the worksheets were due; the clock is that of the file."""
    if due is None:
        return list(results)
    return [
        _with_remark(
            result,
            "late",
            f"The file was last saved on {saved:%Y-%m-%d at %H:%M}; it was due on {due:%Y-%m-%d at %H:%M}.",
        )
        if result.submission.saved and (saved := datetime.fromtimestamp(result.submission.saved)) > due
        else result
        for result in results
    ]


def note_other_cards(results: Sequence[Result]) -> list[Result]:
    """Remark on wrong answers that are right for the job card of another apprentice of the class.

    An answer that fits a known error of the own card is left out: two people with the same
    misconception are not copying.
    """
    classes: dict[str, list[Result]] = defaultdict(list)
    for result in results:
        classes[result.worksheet.name].append(result)
    return [
        _compared(result, classes[result.worksheet.name])
        if len(_unknown(result)) >= LEAST_MATCHES
        else result
        for result in results
    ]


def _compared(result: Result, others: Sequence[Result]) -> Result:
    assert result.marked is not None
    unknown, own = _unknown(result), result.submission.apprentice
    for other in others:
        apprentice = other.submission.apprentice
        if apprentice == own or other.marked is None:
            continue
        count = _matches(unknown, result.worksheet, other.marked.card)
        if count >= LEAST_MATCHES:
            says = (
                f"{count} wrong answers fit the job card of {apprentice}. The marks are not changed; it may be "
                "worth a conversation."
            )
            result = _with_remark(result, "other-card", says)
    return result


def _unknown(result: Result) -> list[Marked]:
    """Return the numbers that are wrong and fit no known error."""
    return [
        one
        for one in (result.marked.questions if result.marked else ())
        if isinstance(one.question, Number) and one.verdict.outcome == "not yet"
    ]


def _matches(unknown: Sequence[Marked], worksheet: Worksheet, card: JobCard) -> int:
    keys = worksheet.keys(card)
    return sum(
        accepts(question, read_number(one.answer, question.accepted_units), getattr(keys, question.name))
        for one in unknown
        if isinstance(question := one.question, Number)
    )


def _with_remark(result: Result, code: str, says: str) -> Result:
    return replace(result, remarks=(*result.remarks, (code, says)))
