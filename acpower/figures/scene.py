"""What a picture is made of, in the coordinates of its axes; plain data, no drawing.

A panel turns its numbers into a `Scene`, and `acpower.figures.svg.draw` turns the scene into SVG text:
the same text is shown live, written into a read-only page and read by the tests.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from acpower.figures.look import BLACK, BLUE, GREY, LINE_COLOURS, LINE_WIDTH, TEXT_COLOURS, VERMILLION

PICTURE_WIDTH, PICTURE_HEIGHT = 512, 400
"""Size of every picture in its own pixels; the page makes it larger or smaller as a whole."""


@dataclass(frozen=True)
class Pen:
    """How a line looks: a colour is never alone, each has its own dashes.

    >>> Pen("#F0E442")
    Traceback (most recent call last):
        ...
    ValueError: colour of a line: #F0E442 is too light on white; use one of LINE_COLOURS
    """

    colour: str
    dashes: tuple[float, ...] = ()
    width: float = LINE_WIDTH

    def __post_init__(self) -> None:
        if self.colour not in LINE_COLOURS:
            raise ValueError(
                f"colour of a line: {self.colour} is too light on white; use one of LINE_COLOURS"
            )


L1, L2, L3 = Pen(BLACK), Pen(VERMILLION, (9, 4)), Pen(BLUE, (2.5, 3))
NEUTRAL = Pen(GREY, (12, 3, 2, 3))
FIRST, SECOND = Pen(BLUE), Pen(VERMILLION, (9, 4))
THIN, GUIDE, LIMIT = Pen(BLACK, width=1), Pen(GREY, (3, 3), 1), Pen(BLACK, (9, 3, 2, 3), 1.5)


@dataclass(frozen=True)
class Fill:
    """How an area looks: light colours have a dark outline, and a meaning has a hatch as well."""

    colour: str
    hatch: bool = False
    outline: bool = True


@dataclass(frozen=True)
class Line:
    """A polyline; it ends at the edge of the axes."""

    x: ArrayLike
    y: ArrayLike
    pen: Pen


@dataclass(frozen=True)
class Area:
    """What lies between two curves, or between a curve and a level; it ends at the edge of the axes."""

    x: ArrayLike
    low: ArrayLike
    high: ArrayLike
    fill: Fill


@dataclass(frozen=True)
class Box:
    """A bar, a band or a display; an edge left out is the edge of the axes."""

    fill: Fill
    left: float | None = None
    right: float | None = None
    bottom: float | None = None
    top: float | None = None


MarkShape = Literal["circle", "square", "diamond"]


@dataclass(frozen=True)
class Mark:
    """A point that stands out."""

    x: float
    y: float
    shape: MarkShape
    colour: str


@dataclass(frozen=True)
class Arrow:
    """A phasor or a pointer, from tail to head."""

    tail: tuple[float, float]
    head: tuple[float, float]
    pen: Pen


@dataclass(frozen=True)
class Text:
    """A label; a line break starts a new line.

    Attributes
    ----------
    shift
        Moves it right and up, in letters of its own size.
    size
        Times the size of all text.
    leader
        A thin line leads from the label to this point.
    halo
        White behind the letters, for a label on curves; 0 for one on a filled box. 2 also fills the gaps
        between words, where a line would run through the label.
    """

    x: float
    y: float
    text: str
    anchor: Literal["start", "middle", "end"] = "start"
    shift: tuple[float, float] = (0.0, 0.0)
    bold: bool = False
    size: float = 1.0
    colour: str = BLACK
    leader: tuple[float, float] | None = None
    halo: float = 1

    def __post_init__(self) -> None:
        if self.colour not in TEXT_COLOURS:
            raise ValueError(
                f"colour of a text: {self.colour} is too light on white; use one of TEXT_COLOURS"
            )


Thing = Line | Area | Box | Mark | Arrow | Text


@dataclass(frozen=True)
class Axis:
    """A scale from its left or lower end to the other; its label names the unit.

    Attributes
    ----------
    ticks
        Places and words. Left out, round numbers are chosen if there is a label; without both the
        scale is not drawn.
    """

    low: float
    high: float
    label: str = ""
    ticks: Sequence[tuple[float, str]] | None = None


@dataclass(frozen=True)
class Chart:
    """Axes with what stands on them, in the order of drawing; labels and marks come on top.

    Attributes
    ----------
    place
        Left, top, width and height as fractions of the picture, with tick words and axis labels.
    equal
        Both scales alike, so that a circle is round and an angle is true.
    beside, above
        Room kept free for labels right of the axes [letters] and above them [lines].
    """

    x: Axis
    y: Axis
    things: Sequence[Thing]
    place: tuple[float, float, float, float] = (0.0, 0.0, 1.0, 1.0)
    equal: bool = False
    grid: bool = True
    beside: float = 0.5
    above: float = 0.5


@dataclass(frozen=True)
class Scene:
    """The whole picture.

    Attributes
    ----------
    description
        What the picture shows beyond the sentences that stand beside it, for a reader who cannot see it.
    """

    charts: Sequence[Chart]
    description: str = ""


def level(x: Axis, height: float, pen: Pen) -> Line:
    """Return a line across the whole axes."""
    return Line([x.low, x.high], [height, height], pen)


def upright(y: Axis, place: float, pen: Pen) -> Line:
    """Return a line from the bottom of the axes to their top."""
    return Line([place, place], [y.low, y.high], pen)


def arc(middle: tuple[float, float], radius: float, start: float, end: float, pen: Pen) -> Line:
    """Return an arc from one angle to another [degrees, anticlockwise from the right].

    >>> quarter = arc((0, 0), 2, 0, 90, THIN)
    >>> bool(abs(quarter.x[-1]) < 1e-12), float(quarter.y[-1])
    (True, 2.0)
    """
    angles = np.radians(np.linspace(start, end, 2 + int(abs(end - start) / 6)))
    return Line(middle[0] + radius * np.cos(angles), middle[1] + radius * np.sin(angles), pen)


def circle(middle: tuple[float, float], radius: float, pen: Pen) -> Line:
    """Return a whole circle; it is round where the chart has equal scales."""
    return arc(middle, radius, 0, 360, pen)
