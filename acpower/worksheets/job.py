"""What an apprentice's notebook uses: open a job card, record answers, read the reaction.

Three situations, one notebook:

* In JupyterLab ``record`` shows a friendly block at once.
* Under ``pytest --nbval-lax`` a wrong or missing answer fails its cell with one line to act on.
* While a class is marked ``record`` hands the answer out as bounded text and says nothing; the
  marker's own process judges it.
"""

import json
import os
from collections.abc import Sequence
from html import escape
from typing import Any

from IPython.display import HTML, display

from acpower.worksheets.answers import Answer, answer_from_value
from acpower.worksheets.cards import JobCard
from acpower.worksheets.plain_errors import use_plain_errors
from acpower.worksheets.scheme import Worksheet
from acpower.worksheets.schemes import find_worksheet
from acpower.worksheets.verdict import Verdict
from acpower.worksheets.verdicts import judge

# The marker sets this variable for the notebook's process; it holds the inputs for function questions.
MARKING_VARIABLE = "ACPOWER_MARKING"
ANSWER_FORMAT = "application/x-acpower-answer+json"
PRACTICE_APPRENTICE = "practice"

_LOOK = {
    # outcome: (sign, border colour); the words carry the meaning, the colour only helps
    "right": ("✔", "#0072B2"),
    "carried forward": ("✔", "#0072B2"),
    "known error": ("➜", "#D55E00"),
    "too few figures": ("➜", "#D55E00"),
    "not yet": ("➜", "#D55E00"),
    "refused": ("?", "#D55E00"),
    "blank": ("…", "#666666"),
}


class NotYet(Exception):
    """Fails a notebook cell with a line that a person can act on, and without a traceback."""

    def _render_traceback_(self) -> list[str]:
        return [str(self)]


def job_card(worksheet: str, *, version: str, apprentice: str = PRACTICE_APPRENTICE) -> "Job":
    """Open the job card of one apprentice.

    Parameters
    ----------
    worksheet, version
        Name and version of the worksheet, as printed in its first code cell.
    apprentice
        The id from the register. Any id gives a card of its own for practice.

    Returns
    -------
    Job
        Show it to see the numbers; use ``job.card.NAME`` in a formula; ``job.record(...)`` answers.

    Examples
    --------
    >>> job_card("charging-power", version="1", apprentice="A07").card.apprentice
    'A07'
    """
    if not isinstance(apprentice, str) or not apprentice.strip():
        raise NotYet(
            "Write your id between the quotation marks, such as apprentice='A07', and run the cell again."
        )
    try:
        scheme = find_worksheet(worksheet)
    except ValueError as problem:
        raise NotYet(str(problem)) from None
    if version != scheme.version:
        raise NotYet(
            f"This worksheet is version {version} of {worksheet}; the installed package has version "
            f"{scheme.version}. Ask your instructor for the worksheet that belongs to the package."
        )
    job = Job(scheme, scheme.card(apprentice.strip()))
    if MARKING_VARIABLE in os.environ:
        _hand_out({"opened": worksheet, "version": version, "apprentice": job.card.apprentice})
    elif not _under_pytest():
        use_plain_errors()
    return job


class Job:
    """A job card and what has been recorded on it."""

    def __init__(self, worksheet: Worksheet, card: JobCard) -> None:
        self.card = card
        self._worksheet = worksheet
        self._answers: dict[str, Answer] = {}
        self._right: set[str] = set()

    def record(self, question: str, value: Any) -> None:
        """Record an answer on the job card.

        ``question`` is the name printed with the question. ``value`` is a number, a text, a
        function where one is asked for, or ``...`` for not yet.
        """
        try:
            asked = self._worksheet.question(question)
        except ValueError as problem:
            raise NotYet(str(problem)) from None
        marking = os.environ.get(MARKING_VARIABLE)
        if marking is not None:
            answer = answer_from_value(value, json.loads(marking).get(question, ()))
            _hand_out({"question": question, "answer": answer.as_data()})
            return
        trials: Sequence[Sequence[Any]] = self._worksheet.trials(self.card).get(question, ())
        answer = self._answers[question] = answer_from_value(value, trials)
        verdict = judge(self._worksheet, asked, answer, self.card, self._answers)
        (self._right.add if verdict.passed else self._right.discard)(question)
        if _under_pytest():
            if not verdict.passed:
                raise NotYet(f"{question}: {verdict.says}{_given(answer)}")
            return
        display(HTML(self._block(question, asked.title, verdict, answer)))

    def _block(self, question: str, title: str, verdict: Verdict, answer: Answer) -> str:
        sign, colour = _LOOK[verdict.outcome]
        return (
            f'<div role="status" style="border-left:6px solid {colour};padding:0.5em 1em;margin:0.3em 0;'
            f'background:rgba(127,127,127,0.08);font-size:1.05em;max-width:50em">'
            f'<strong><span aria-hidden="true">{sign}</span> {escape(title)}</strong>'
            f"<div>{escape(verdict.says)}{escape(_given(answer))}</div>"
            f'<div style="opacity:0.75;font-size:0.9em">Right so far: {len(self._right)} of '
            f"{len(self._worksheet.questions)} questions.</div></div>"
        )

    def _repr_html_(self) -> str:
        rows = "".join(
            f'<tr><th scope="row" style="text-align:left">{escape(entry.label)}</th>'
            f'<td style="text-align:right"><strong>{escape(str(self.card.values[entry.name]))}</strong></td>'
            f'<td style="text-align:left">{escape(entry.unit)}</td>'
            f'<td style="text-align:left"><code>job.card.{escape(entry.name)}</code></td></tr>'
            for entry in self.card.entries
        )
        return (
            '<table style="font-size:1.05em;border-collapse:collapse">'
            f'<caption style="text-align:left"><strong>Job card of {escape(self.card.apprentice)}</strong>: '
            f"{escape(self._worksheet.title)} (worksheet {escape(self.card.worksheet)}, version "
            f"{escape(self.card.version)}). The site is invented.</caption>"
            '<thead><tr><th scope="col" style="text-align:left">What</th><th scope="col">Value</th>'
            '<th scope="col" style="text-align:left">Unit</th>'
            '<th scope="col" style="text-align:left">Name in a formula</th></tr></thead>'
            f"<tbody>{rows}</tbody></table>"
        )

    def __repr__(self) -> str:
        lines = [f"Job card of {self.card.apprentice} ({self._worksheet.title})"]
        for entry in self.card.entries:
            lines.append(f"  {entry.label}: {self.card.values[entry.name]} {entry.unit}".rstrip())
        return "\n".join(lines)


def _under_pytest() -> bool:
    return "PYTEST_VERSION" in os.environ  # pytest sets it for everything that runs below it


def _given(answer: Answer) -> str:
    return f" (You recorded: {answer.text})" if answer.kind in ("number", "text") else ""


def _hand_out(data: dict[str, Any]) -> None:
    display({ANSWER_FORMAT: data}, raw=True)
