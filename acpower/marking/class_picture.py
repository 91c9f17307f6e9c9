"""The class picture: what the whole class got right, and what it has misunderstood."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from statistics import median
from typing import Any

import jinja2

from acpower.marking.class_figures import OUTCOMES, errors_figure, questions_figure
from acpower.marking.class_findings import (
    RETEACH_FROM,
    QuestionPicture,
    error_pictures,
    fairness,
    groups,
    marks_table,
    places,
    question_pictures,
)
from acpower.marking.item_statistics import (
    ENOUGH,
    MISSING_RULE,
    TIE_RULE,
    Statistic,
    discrimination,
    reliability,
    rest_correlation,
    warning,
)
from acpower.marking.result import ClassResult, Result
from acpower.worksheets.scheme import Question, Worksheet, counted


@dataclass(frozen=True)
class Coefficients:
    """How a question goes with the rest of its worksheet."""

    number: int
    question: Question
    discrimination: Statistic
    rest_correlation: Statistic


def class_picture_page(
    class_result: ClassResult, marked_on: date, version: str, templates: jinja2.Environment
) -> str:
    """Return the class picture as one page without active content.

    ``marked_on`` and ``version`` say when, and with which version of the package, it was marked.
    """
    found = groups(class_result)
    return templates.get_template("class-picture.html").render(
        counted=counted,
        size=len(class_result.register.ids),
        with_work=len({result.submission.apprentice for result in class_result.results if result.marked}),
        marked_on=marked_on.isoformat(),
        version=version,
        parts=[_part(worksheet, class_result.of(worksheet)) for worksheet in class_result.worksheets],
        reteach_from=RETEACH_FROM,
        reteach=[group for group in found if len(group.apprentices) >= RETEACH_FROM],
        misconceptions=[group for group in found if group.misconception],
        rules=(MISSING_RULE, TIE_RULE),
        enough=ENOUGH,
        strays=class_result.strays,
        problems=class_result.register.problems,
    )


def _part(worksheet: Worksheet, results: Sequence[Result]) -> dict[str, Any]:
    """Return what the page says about one worksheet."""
    table = marks_table(results)
    totals = sorted(sum(row) for row in table)
    questions = question_pictures(worksheet, results)
    errors = error_pictures(worksheet, results)
    return {
        "worksheet": worksheet,
        "marked": len(table),
        "due": len(results),
        "totals": totals,
        "middle": median(totals) if totals else None,
        "questions": [(picture, _not_right(picture)) for picture in questions],
        "errors": errors,
        "questions_figure": questions_figure(worksheet, questions)._repr_html_() if table else "",
        "errors_figure": errors_figure(worksheet, errors)._repr_html_() if errors else "",
        "attention": [result for result in results if result.status != "marked" or result.notes],
        "fairness": fairness(worksheet, results),
        "coefficients": _coefficients(worksheet, table),
        "reliability": reliability(table),
        "warning": warning(len(table)),
    }


def _not_right(picture: QuestionPicture) -> str:
    """Say what became of a question where it is not simply right, and how often."""
    others = [
        f"{words}:\xa0{picture.counts[outcome]}"
        for outcome, (words, *_) in OUTCOMES.items()
        if outcome != "right" and picture.counts[outcome]
    ]
    return "; ".join(others)


def _coefficients(worksheet: Worksheet, table: Sequence[Sequence[int]]) -> list[Coefficients]:
    return [
        Coefficients(
            place.number,
            place.question,
            discrimination(table, place.number - 1, place.question.marks),
            rest_correlation(table, place.number - 1),
        )
        for place in places(worksheet)
    ]
