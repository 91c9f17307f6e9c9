"""How a recorded answer leaves the notebook while a class is marked, and how a reaction is shown."""

import json
import os
from collections.abc import Sequence
from html import escape
from typing import Any

from IPython.display import HTML, display

from acpower.worksheets.answers import Answer, answer_from_value
from acpower.worksheets.block import block
from acpower.worksheets.cards import JobCard
from acpower.worksheets.plain_errors import use_plain_errors
from acpower.worksheets.scheme import show_computed

# The marker sets this variable for the notebook's process; it holds the inputs for function questions.
MARKING_VARIABLE = "ACPOWER_MARKING"
ANSWER_FORMAT = "application/x-acpower-answer+json"


class NotYet(Exception):
    """Fails a notebook cell with a line that a person can act on, and without a traceback."""

    def _render_traceback_(self) -> list[str]:
        return [str(self)]


def being_marked() -> bool:
    """Whether the marker runs this notebook."""
    return MARKING_VARIABLE in os.environ


def under_pytest() -> bool:
    """Whether pytest runs this notebook."""
    return "PYTEST_VERSION" in os.environ  # pytest sets it for everything that runs below it


def card_opened(card: JobCard) -> None:
    """Tell the marker which job card was opened, with its numbers; in JupyterLab, begin to say errors plainly."""
    if not being_marked():
        if not under_pytest():
            use_plain_errors()
        return
    numbers = {name: str(value) for name, value in card.values.items()}
    _hand_out({"opened": card.worksheet, "apprentice": card.apprentice, "numbers": numbers})


def hand_out_answer(question: str, value: Any) -> None:
    """Hand an answer to the marker as bounded text; a function is tried on the marker's inputs."""
    trials: dict[str, Sequence[Sequence[Any]]] = json.loads(os.environ[MARKING_VARIABLE])
    answer = answer_from_value(value, trials.get(question, ()))
    _hand_out({"question": question, "answer": answer.as_data()})


def given(answer: Answer) -> str:
    """Repeat what was recorded, where it can be repeated; a long computed number as in the report.

    >>> given(Answer("number", "18.02060872464108")), given(Answer("text", "18.02060872464108 A"))
    (' (You recorded: 18.0206)', ' (You recorded: 18.02060872464108 A)')
    """
    if answer.kind not in ("number", "text"):
        return ""
    text = show_computed(answer.text) if answer.kind == "number" else answer.text
    return f" (You recorded: {text})"


def show_block(title: str, says: str, foot: str, *, sign: str, colour: str) -> None:
    """Show a reaction below the cell."""
    inside = f'<div>{escape(says)}</div><div style="opacity:0.75;font-size:0.9em">{escape(foot)}</div>'
    display(HTML(block(title, inside, sign=sign, colour=colour)))


def _hand_out(data: dict[str, Any]) -> None:
    display({ANSWER_FORMAT: data}, raw=True)
