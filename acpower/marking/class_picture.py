"""The class picture: what the whole class got right, and what it has misunderstood."""

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

import jinja2
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator

from acpower.figures.look import (
    BLACK,
    BLUE,
    GREY,
    SKY_BLUE,
    TEXT_SIZE,
    VERMILLION,
    Still,
    blank_figure,
    plain_axes,
)
from acpower.marking.result import ClassResult, Result
from acpower.worksheets.scheme import KnownError, Question, Worksheet

# outcome of a verdict: (words, fill, hatch, colour of the count)
OUTCOMES = {
    "right": ("right", BLUE, "", "white"),
    "carried forward": ("right from an own earlier value", SKY_BLUE, "", BLACK),
    "known error": ("known error", VERMILLION, "//", BLACK),
    "too few figures": ("right, but too few figures", "#F0E442", "", BLACK),
    "not yet": ("wrong, no known error", "#F5C9A8", "..", BLACK),
    "refused": ("not readable as an answer", "#DDDDDD", "xx", BLACK),
    "blank": ("nothing recorded", "white", "", GREY),
}
MOST_ERRORS_DRAWN = 10
_RETEACH_FROM = 3  # apprentices with the same known error


@dataclass(frozen=True)
class QuestionPicture:
    """One question over the class: how many of each outcome."""

    number: int
    question: Question
    counts: Counter[str]

    @property
    def right(self) -> int:
        """How many have it right, their own earlier values carried forward."""
        return self.counts["right"] + self.counts["carried forward"]


@dataclass(frozen=True)
class ErrorPicture:
    """One known error over the class: who made it. ``shared`` counts those where another fits as well."""

    number: int
    question: Question
    says: str
    hint: str
    apprentices: tuple[str, ...]
    shared: int


def question_pictures(worksheet: Worksheet, results: Sequence[Result]) -> list[QuestionPicture]:
    """Count the outcomes of each question over the marked worksheets."""
    return [
        QuestionPicture(
            place + 1,
            question,
            Counter(result.marked.questions[place].verdict.outcome for result in results if result.marked),
        )
        for place, question in enumerate(worksheet.questions)
    ]


def error_pictures(worksheet: Worksheet, results: Sequence[Result]) -> list[ErrorPicture]:
    """Collect the known errors of a class, the most frequent first."""
    who: dict[tuple[int, str], list[tuple[str, bool]]] = defaultdict(list)
    errors: dict[tuple[int, str], KnownError] = {}
    for result in results:
        for place, one in enumerate(result.marked.questions if result.marked else ()):
            for error in one.verdict.known_errors:
                errors[place, error.name] = error
                who[place, error.name].append(
                    (result.submission.apprentice, len(one.verdict.known_errors) > 1)
                )
    pictures = []
    for (place, name), found in who.items():
        question = worksheet.questions[place]
        error = errors[place, name]
        apprentices = tuple(apprentice for apprentice, _ in found)
        shared = sum(several for _, several in found)
        pictures.append(ErrorPicture(place + 1, question, error.says, error.hint, apprentices, shared))
    return sorted(pictures, key=lambda picture: (-len(picture.apprentices), picture.number))


def questions_figure(worksheet: Worksheet, pictures: Sequence[QuestionPicture]) -> Still:
    """Draw one bar per question, parted by outcome."""
    figure = blank_figure(11, 1.8 + 0.5 * len(pictures))
    axes = plain_axes(_fitted(figure), x_label="Apprentices", grid=False)
    labels = [f"{picture.number}. {picture.question.title}" for picture in pictures]
    left = [0] * len(pictures)
    for outcome, (words, fill, hatch, ink) in OUTCOMES.items():
        counts = [picture.counts[outcome] for picture in pictures]
        bars = axes.barh(
            labels, counts, left=left, color=fill, hatch=hatch, edgecolor=BLACK, linewidth=0.8, label=words
        )
        texts = axes.bar_label(
            bars,
            ["" if not n else str(n) for n in counts],
            label_type="center",
            color=ink,
            fontsize=TEXT_SIZE,
        )
        for text in texts:
            if hatch and text.get_text():
                text.set_bbox({"facecolor": "white", "edgecolor": "none", "pad": 1.5})
        left = [a + b for a, b in zip(left, counts, strict=True)]
    axes.invert_yaxis()
    axes.set_xlim(0, max(left, default=0) or 1)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    figure.legend(loc="outside upper center", ncols=3, fontsize=TEXT_SIZE - 1, frameon=False)
    told = " ".join(
        f"Question {picture.number}, {picture.question.title}: "
        + ", ".join(
            f"{picture.counts[outcome]} {words}"
            for outcome, (words, *_) in OUTCOMES.items()
            if picture.counts[outcome]
        )
        + "."
        for picture in pictures
    )
    return Still(
        figure,
        alt=f"Bars, one for each question of {worksheet.title}, parted by outcome. {told}",
        caption="How many apprentices have each question right, and what happened where not.",
    )


def errors_figure(worksheet: Worksheet, pictures: Sequence[ErrorPicture]) -> Still:
    """Draw one bar per known error, the most frequent on top."""
    drawn = pictures[:MOST_ERRORS_DRAWN]
    figure = blank_figure(11, 1.1 + 0.5 * len(drawn))
    axes = plain_axes(_fitted(figure), x_label="Apprentices", grid=False)
    labels = [_wrapped(f"Question {picture.number}: {picture.says}") for picture in drawn]
    counts = [len(picture.apprentices) for picture in drawn]
    bars = axes.barh(labels, counts, color=VERMILLION, hatch="//", edgecolor=BLACK, linewidth=0.8)
    axes.bar_label(bars, padding=4, fontsize=TEXT_SIZE)
    axes.invert_yaxis()
    axes.set_xlim(0, max(counts) + 1)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    axes.tick_params(axis="y", labelsize=TEXT_SIZE - 2)
    told = " ".join(
        f"Question {picture.number}, {picture.says}: {len(picture.apprentices)}." for picture in drawn
    )
    return Still(
        figure,
        alt=f"Bars, one for each known error in {worksheet.title}, the most frequent first. {told}",
        caption="The known errors of this class, by how many apprentices made them.",
    )


def _fitted(figure: Figure) -> Axes:
    """Return axes that leave as much room for their labels as these need."""
    figure.set_layout_engine("constrained")
    return figure.subplots()


def _wrapped(text: str, width: int = 62) -> str:
    """Break a label in two at a space near its middle, if it is long."""
    if len(text) <= width:
        return text
    break_at = text.rfind(" ", 0, len(text) // 2 + 6)
    return f"{text[:break_at]}\n{text[break_at + 1 :]}"


def class_picture_page(class_result: ClassResult, templates: jinja2.Environment) -> str:
    """Return the class picture as one page without active content."""
    parts = []
    for worksheet in class_result.worksheets:
        results = class_result.of(worksheet)
        marked = [result for result in results if result.marked]
        totals = sorted(result.marked.marks for result in marked if result.marked)
        questions = question_pictures(worksheet, marked)
        errors = error_pictures(worksheet, marked)
        parts.append(
            {
                "worksheet": worksheet,
                "marked": len(marked),
                "due": len(results),
                "totals": totals,
                "middle": median(totals) if totals else None,
                "questions": questions,
                "errors": errors,
                "reteach": [error for error in errors if len(error.apprentices) >= _RETEACH_FROM],
                "questions_figure": questions_figure(worksheet, questions)._repr_html_() if marked else "",
                "errors_figure": errors_figure(worksheet, errors)._repr_html_() if errors else "",
                "attention": [result for result in results if result.status != "marked" or result.notes],
            }
        )
    return templates.get_template("class-picture.html").render(
        parts=parts,
        outcomes={outcome: words for outcome, (words, *_) in OUTCOMES.items()},
        strays=class_result.strays,
        problems=class_result.register.problems,
    )
