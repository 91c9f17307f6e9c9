"""The quick questions of the lessons: answers with a reaction to each, worked out by the formulas.

They stand here and not in the lessons, where the code would give the answer away. No mark depends
on them. One module per lesson; a later lesson may ask a question again to warm up.
"""

from collections.abc import Callable, Mapping

from acpower.panels.questions import (
    charge_time,
    charging_point,
    charging_power,
    connectors,
    follow_the_power,
    losses,
    pilots,
    read_ac,
    supplies,
    weakest_link,
)
from acpower.panels.questions.question import Question

__all__ = ["QUESTIONS", "Question"]

QUESTIONS: Mapping[str, Callable[[], Question]] = {
    **follow_the_power.QUESTIONS,
    **read_ac.QUESTIONS,
    **supplies.QUESTIONS,
    **connectors.QUESTIONS,
    **pilots.QUESTIONS,
    **charging_power.QUESTIONS,
    **weakest_link.QUESTIONS,
    **losses.QUESTIONS,
    **charge_time.QUESTIONS,
    **charging_point.QUESTIONS,
}
