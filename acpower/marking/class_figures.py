"""The two pictures of a marked class: what became of each question, and the known errors."""

from collections.abc import Sequence

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
from acpower.marking.class_findings import ErrorPicture, QuestionPicture
from acpower.worksheets.scheme import Worksheet

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


def questions_figure(worksheet: Worksheet, pictures: Sequence[QuestionPicture]) -> Still:
    """Draw one bar per question, parted by outcome."""
    figure = blank_figure(11, 1.8 + 0.5 * len(pictures))
    axes = plain_axes(_fitted(figure), x_label="Apprentices", grid=False)
    labels = [f"{picture.place.number}. {picture.place.question.title}" for picture in pictures]
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
    axes.set_xlim(0, 1.01 * max(left))  # the outline of the last bar is not cut
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    figure.legend(loc="outside upper center", ncols=3, fontsize=TEXT_SIZE - 1, frameon=False)
    told = " ".join(
        f"Question {picture.place.number}, {picture.place.question.title} – "
        + "; ".join(
            f"{words}: {picture.counts[outcome]}"
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
    labels = [_wrapped(f"Question {picture.place.number}: {picture.error.says}") for picture in drawn]
    counts = [len(picture.apprentices) for picture in drawn]
    bars = axes.barh(labels, counts, color=VERMILLION, hatch="//", edgecolor=BLACK, linewidth=0.8)
    axes.bar_label(bars, padding=4, fontsize=TEXT_SIZE)
    axes.invert_yaxis()
    axes.set_xlim(0, max(counts) + 1)
    axes.xaxis.set_major_locator(MaxNLocator(integer=True))
    axes.tick_params(axis="y", labelsize=TEXT_SIZE - 2)
    told = " ".join(
        f"Question {picture.place.number}, {picture.error.says}: {len(picture.apprentices)}."
        for picture in drawn
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
