"""Show a quick question: a tick brings a reaction at once."""

from html import escape
from typing import Any

import anywidget
import ipywidgets as widgets

from acpower.panels.questions import QUESTIONS, Question


class _Manners(anywidget.AnyWidget):
    """What the widget library's ticks lack: larger type, and arrow keys that stay in the question."""

    _css = """
    .acpower-question :is(label, .widget-html-content) { font-size: 15px !important; }
    .acpower-large .acpower-question :is(label, .widget-html-content) { font-size: 20px !important; }
    """
    # JupyterLab takes arrow keys for the notebook unless the focused element itself says no.
    _esm = """
    function keep({ target }) {
      if (target.closest(".acpower-question")) target.setAttribute("data-lm-suppress-shortcuts", "true");
    }
    function render() {
      document.addEventListener("focusin", keep);
      return () => document.removeEventListener("focusin", keep);
    }
    export default { render };
    """


def quick_question(name: str) -> Any:
    """Return a question with answers to tick. It is no part of any mark.

    Parameters
    ----------
    name
        A key of `acpower.panels.questions.QUESTIONS`.

    Raises
    ------
    ValueError
        If there is no question of that name; the message lists those that there are.

    Examples
    --------
    >>> ticks, reaction = quick_question("clock time").children[1:3]
    >>> ticks.value = "2 h 24 min"
    >>> reaction.value
    '<b>✔ Right.</b> 0.40 × 60 min = 24 min.'
    """
    if name not in QUESTIONS:
        raise ValueError(f"there is no quick question {name!r}. The questions are: {', '.join(QUESTIONS)}")
    question = QUESTIONS[name]()
    ticks = widgets.RadioButtons(options=list(question.answers), value=None, layout={"width": "max-content"})
    reaction = widgets.HTML("Tick one answer.", layout={"min_height": "32px"})

    def react(_change: object) -> None:
        verdict = "✔ Right." if ticks.value == question.right else "➜ Not yet."
        reaction.value = f"<b>{verdict}</b> {escape(question.answers[ticks.value])}"

    ticks.observe(react, names="value")
    asked = widgets.HTML(f"<b>Quick question.</b> {escape(question.asked)}")
    box = _Asked([asked, ticks, reaction, _Manners()])
    box.question = question
    box.add_class("acpower-question")
    return box


class _Asked(widgets.VBox):  # type: ignore[misc]  # the widget library has no types
    """A question; a page without a kernel shows it as text, with the answer apart."""

    question: Question

    def _repr_mimebundle_(self, **options: Any) -> dict[str, Any]:
        asked, right = self.question, self.question.right
        answers = "".join(f"<li>{escape(answer)}</li>" for answer in asked.answers)
        still = (
            f'<div class="acpower-question"><p><b>Quick question.</b> {escape(asked.asked)}</p><ul>{answers}</ul>'
            f'<p class="acpower-answer">Right answer: {escape(right)}. {escape(asked.answers[right])}</p></div>'
        )
        return {**super()._repr_mimebundle_(**options), "text/html": still}
