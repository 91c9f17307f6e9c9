"""Practise the questions of a worksheet without end: every card is new, nobody's id is needed.

It judges by the rules that hold in a worksheet's notebook, and keeps the progress beside the notebook.
"""

from html import escape
from pathlib import Path
from typing import Any

import anywidget
import traitlets

from acpower.worksheets.answering import NotYet
from acpower.worksheets.job import LOOK
from acpower.worksheets.practice import Practice, Practised, Task, practised_questions
from acpower.worksheets.practice_file import Count, PracticeFile
from acpower.worksheets.question_text import question_html
from acpower.worksheets.scheme import (
    HINTS,
    Choice,
    Number,
    Ordering,
    Question,
    Worksheet,
    counted,
    in_marks,
)
from acpower.worksheets.schemes import WORKSHEETS, find_worksheet
from acpower.worksheets.verdict import Verdict

WRONG_TRIES = 3
"""After so many wrong tries on one card its working may be seen."""

_WRONG = ("known error", "too few figures", "not yet")
_START = "Type your answer and press Enter. The reaction stands here."
_START_HELP = f"Hints stand here. So does the working, after a right answer or {WRONG_TRIES} wrong tries."
_HERE = Path(__file__).parent


class _Face(anywidget.AnyWidget):
    """What is shared with the page: what is shown there. What is pressed comes back as a message."""

    _esm = "".join(
        (_HERE / name).read_text(encoding="utf-8") for name in ("large_text.js", "practise_panel.js")
    )
    _css = (_HERE / "practise_panel.css").read_text(encoding="utf-8")
    shown = traitlets.Dict().tag(sync=True)


def practise_panel(worksheet: str | None = None) -> "PractisePanel":
    """Return a panel with fresh job cards for one question after another.

    Progress is kept in ``my-practice.json`` in the folder of the notebook: names of questions and
    counts only.

    Parameters
    ----------
    worksheet
        The name of the worksheet that is chosen at first, such as ``charging-power``. Without it,
        the last one with progress. An instructor's own worksheets are among them once they are in use.

    Raises
    ------
    NotYet
        If there is no such worksheet, or nothing of it can be practised here; a notebook shows the
        sentence alone.

    Examples
    --------
    >>> practise_panel("charging-power").face.shown["question"]
    'phase_voltage_v'
    """
    return PractisePanel(worksheet)


class PractisePanel:
    """The panel: one question on one job card, and what has been said to the answers.

    Parameters
    ----------
    worksheet
        As for `practise_panel`.
    folder
        Where the progress is kept; the folder of the notebook without it.
    """

    def __init__(self, worksheet: str | None = None, folder: Path | None = None) -> None:
        self._file = PracticeFile(Path.cwd() if folder is None else folder)
        chosen = self._last_practised() if worksheet is None else _worksheet(worksheet)
        self.face = _Face()
        self.face.on_msg(
            lambda _, content, __: self.press(content["press"], content["text"], content["mark"])
        )
        self._answered = ""
        self._choose_worksheet(chosen)
        self._show()

    @property
    def task(self) -> Task:
        """The question with the numbers that are on the screen."""
        return self._task

    def press(self, what: str, text: str = "", mark: str = "") -> None:
        """Do what a button or a menu of the page asks for.

        Parameters
        ----------
        what
            ``record``, ``hint``, ``working``, ``card``, or ``worksheet`` and ``question`` to choose one.
        text
            What stands in the field for the answer; the name of what was chosen.
        mark
            What is shown next bears this mark, so that the page can tell what it is an answer to.
        """
        self._answered = mark
        if what == "record":
            self._record(text)
        elif what == "hint":
            self._hint()
        elif what == "working":
            self._show_working()
        elif what == "card":
            self._new_card()
        elif what == "worksheet":
            self._choose_worksheet(find_worksheet(text))
        elif what == "question" and text in self._questions:  # not one of the worksheet before
            self._choose_question(text)
        self._show()

    # ---- What is chosen

    def _last_practised(self) -> Worksheet:
        """Return the last worksheet, in the order of the lessons, with progress; the first one without any."""
        worksheets = _worksheets()
        practised = [one for one in worksheets if one.name in self._file.worksheets()]
        return practised[-1] if practised else worksheets[0]

    def _choose_worksheet(self, worksheet: Worksheet) -> None:
        self._worksheet = worksheet
        self._questions = {question.name: question for question in practised_questions(worksheet)}
        not_yet = [name for name in self._questions if not self._count(name).right]
        self._choose_question(next(iter(not_yet or self._questions)))

    def _choose_question(self, name: str) -> None:
        self._practice = Practice(self._worksheet, self._questions[name])
        self._begin(self._count(name).next_card)

    def _begin(self, number: int) -> None:
        """Take a card, with nothing answered on it."""
        self._task = self._practice.task(number)
        self._typed, self._reaction, self._help = "", _START, _START_HELP
        self._colour = LOOK["blank"][1]
        self._hints = self._wrong = 0
        self._right = self._working_seen = False

    # ---- What is pressed

    def _record(self, typed: str) -> None:
        self._typed = typed
        verdict = self._task.judge(typed)
        first_right = verdict.passed and not self._right
        self._right |= verdict.passed
        self._wrong += verdict.outcome in _WRONG
        self._react(verdict)
        if first_right and self._working_seen:
            self._reaction += " You had seen the working, so this card does not count. Take a new one."
        elif first_right:
            self._use_up(right=1)

    def _react(self, verdict: Verdict) -> None:
        sign, self._colour = LOOK[verdict.outcome]
        self._reaction = f"{sign} {verdict.says}"

    def _hint(self) -> None:
        hints = self._task.question.hints
        self._hints = min(self._hints + 1, len(hints))
        self._help = f"Hint, {HINTS[self._hints - 1]}: {hints[self._hints - 1]}"

    @property
    def _working_open(self) -> bool:
        return self._right or self._working_seen or self._wrong >= WRONG_TRIES

    def _show_working(self) -> None:
        if not self._working_open:
            return
        if not self._right and not self._working_seen:
            self._working_seen = True
            self._use_up(right=0)
        self._help = f"The working with these numbers: {self._task.working}"

    def _new_card(self) -> None:
        used_up = self._count(self._task.question.name).next_card > self._task.number
        if not used_up:
            self._use_up(right=0)
        self._begin(self._count(self._task.question.name).next_card)

    def _use_up(self, *, right: int) -> None:
        """Keep that the card is used up, and whether it was right: the next one is new, even after closing."""
        name = self._task.question.name
        following = self._practice.next_number(self._task.number)
        count = self._count(name)
        self._file.keep(self._worksheet.name, name, Count(count.right + right, following))

    def _count(self, question: str) -> Count:
        return self._file.count(self._worksheet.name, question)

    # ---- What is shown

    def _show(self) -> None:
        question, name = self._task.question, self._worksheet.name
        self.face.shown = {
            "worksheets": [(one.name, one.title) for one in _worksheets()],
            "worksheet": name,
            "questions": [(one, self._in_menu(one)) for one in self._questions],
            "question": question.name,
            "progress": self._progress(),
            "task": f"{name} {question.name} {self._task.number}",
            "asked": _asked_html(self._worksheet, question),
            "card": _card_html(self._task),
            "label": _label(question),
            "options": question.options if isinstance(question, Choice) else (),
            "typed": self._typed,
            "reaction": self._reaction,
            "colour": self._colour,
            "hint": f"Hint: {HINTS[min(self._hints, len(HINTS) - 1)]}",
            "working_open": self._working_open,
            "help": self._help,
            "left_out": self._left_out(),
            "answered": self._answered,
            "notice": " ".join(self._file.notices),
        }

    def _in_menu(self, name: str) -> str:
        at = [question.name for question in self._worksheet.questions].index(name) + 1
        right = self._count(name).right
        return f"{at}. {self._questions[name].title}{f' ({right} right)' if right else ''}"

    def _progress(self) -> str:
        """Say how far the worksheet is, and the question."""
        done = sum(self._count(name).right > 0 for name in self._questions)
        return (
            f"Worksheet: {done} of {counted(len(self._questions), 'question')} right on a card. "
            f"This question: {_on_cards(self._count(self._task.question.name).right)}."
        )

    def _left_out(self) -> str:
        """Say which questions are left to the notebook."""
        functions = [
            str(at)
            for at, question in enumerate(self._worksheet.questions, start=1)
            if question.name not in self._questions
        ]
        if not functions:
            return ""
        asks = "Question {} asks" if len(functions) == 1 else "Questions {} ask"
        return f"{asks.format(', '.join(functions))} for a function. Practise it in the worksheet's own notebook."

    def _repr_mimebundle_(self, **options: Any) -> Any:
        live = self.face._repr_mimebundle_(**options)
        if live is None:
            return None
        still = "<p>In a running notebook, the panel for practising stands here.</p>"
        return ({**live[0], "text/html": still}, *live[1:])


def _worksheets() -> list[Worksheet]:
    """Return the worksheets that can be practised, in the order of their lessons."""
    possible = [worksheet for worksheet in WORKSHEETS.values() if practised_questions(worksheet)]
    return sorted(possible, key=lambda worksheet: worksheet.lesson)


def _worksheet(name: str) -> Worksheet:
    try:
        worksheet = find_worksheet(name)
    except ValueError as mistake:
        raise NotYet(str(mistake)) from None
    if not practised_questions(worksheet):
        raise NotYet(f"The worksheet {name} asks for functions only. Practise them in its notebook.")
    return worksheet


def _on_cards(right: int) -> str:
    return f"right on {counted(right, 'card')}"


def _label(question: Practised) -> str:
    if isinstance(question, Number) and question.unit:
        return f"Your answer ({question.unit})"
    return "Your answer (letters in order)" if isinstance(question, Ordering) else "Your answer"


def _asked_html(worksheet: Worksheet, question: Question) -> str:
    """Return the question as it stands on paper: number, title, marks and prose."""
    number = worksheet.questions.index(question) + 1
    heading = f"{number}. {escape(question.title)} ({in_marks(question.marks)})"
    return f"<h2>{heading}</h2>{question_html(worksheet, question)}"


def _card_html(task: Task) -> str:
    rows = "".join(
        f'<tr><th scope="row">{escape(line.label)}</th>'
        f"<td>{escape(line.value)}{'&nbsp;' if line.unit else ''}{escape(line.unit)}</td></tr>"
        for line in task.lines
    )
    return f"<table><caption>Job card {task.number} of this question (invented)</caption>{rows}</table>"
