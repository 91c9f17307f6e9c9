"""One look for every picture: colours that colour-blind people can tell apart, sizes for a projector.

The colours are the Okabe-Ito set. On a white ground only black and blue are dark enough for text;
orange, sky blue and yellow are fills and need a dark outline. No picture relies on hue alone: every
line also has its own style and a label beside it, every marked bar also has a hatch and a word.
"""

import base64
import html
import io
from dataclasses import dataclass
from typing import Any

from matplotlib.axes import Axes
from matplotlib.figure import Figure

BLACK = "#000000"
BLUE = "#0072B2"
VERMILLION = "#D55E00"
GREEN = "#009E73"
PURPLE = "#CC79A7"
ORANGE = "#E69F00"
SKY_BLUE = "#56B4E9"
YELLOW = "#F0E442"
GREY = "#666666"

TEXT_COLOURS = (BLACK, BLUE, GREY)
LINE_COLOURS = (BLACK, BLUE, VERMILLION, GREEN, PURPLE, GREY)

PHASE_STYLES: dict[str, dict[str, Any]] = {
    "L1": {"color": BLACK, "linestyle": "-"},
    "L2": {"color": VERMILLION, "linestyle": "--"},
    "L3": {"color": BLUE, "linestyle": ":"},
}
"""One style per line conductor, the same in every picture."""

PHASE_ANGLES = {"L1": 90.0, "L2": -30.0, "L3": 210.0}
"""Where the arrows of a three-phase star point [degrees, anticlockwise from the right]."""

TEXT_SIZE = 13
LINE_WIDTH = 2.5
_DOTS_PER_INCH = 100


@dataclass(frozen=True)
class Still:
    """A still figure with its text alternative; a notebook shows it as an HTML figure.

    JupyterLab drops the text alternative of an ordinary figure, so a screen reader would find
    nothing. An ``<img alt=...>`` inside HTML reaches it.

    Parameters
    ----------
    figure
        The drawing.
    alt
        What the figure says, with its numbers, for a reader who cannot see it.
    caption
        One sentence below the figure.

    Examples
    --------
    >>> still = Still(blank_figure(4, 3), alt="An empty frame.", caption="Nothing yet.")
    >>> 'alt="An empty frame."' in still._repr_html_()
    True
    """

    figure: Figure
    alt: str
    caption: str

    def _repr_html_(self) -> str:
        buffer = io.BytesIO()
        self.figure.savefig(buffer, format="png", dpi=1.5 * _DOTS_PER_INCH)
        width = round(self.figure.get_figwidth() * _DOTS_PER_INCH)
        return (
            '<figure style="margin: 0.5em 0">'
            f"{image(buffer.getvalue(), self.alt, width)}"
            f'<figcaption style="font-size: 16px">{html.escape(self.caption)}</figcaption>'
            "</figure>"
        )


def image(png: bytes, alt: str, width: int) -> str:
    """Return an HTML image that carries its bytes and its text alternative.

    Parameters
    ----------
    png
        The picture.
    alt
        The text alternative.
    width
        The width on the page [CSS pixels]; a narrower page shrinks the picture.
    """
    code = base64.b64encode(png).decode("ascii")
    return (
        f'<img alt="{html.escape(alt)}" src="data:image/png;base64,{code}"'
        f' style="width: {width}px; max-width: 100%; height: auto">'
    )


def blank_figure(width: float, height: float) -> Figure:
    """Return an empty figure of the given size [inches; 100 CSS pixels each]."""
    return Figure(figsize=(width, height), dpi=_DOTS_PER_INCH, facecolor="white")


def plain_axes(axes: Axes, *, x_label: str = "", y_label: str = "", grid: bool = True) -> Axes:
    """Give axes the common look: large text, no box, a faint grid behind the curves."""
    axes.spines[["top", "right"]].set_visible(False)
    axes.tick_params(labelsize=TEXT_SIZE)
    axes.set_xlabel(x_label, fontsize=TEXT_SIZE)
    axes.set_ylabel(y_label, fontsize=TEXT_SIZE)
    axes.set_axisbelow(True)
    if grid:
        axes.grid(color="#DDDDDD")
    return axes


def phase_arrow(axes: Axes, name: str, tip: complex) -> None:
    """Draw the arrow of a line conductor from the neutral, in the middle, to its tip."""
    style: dict[str, Any] = {"arrowstyle": "-|>", "mutation_scale": 18, "linewidth": LINE_WIDTH}
    style |= {"shrinkA": 0, "shrinkB": 0, **PHASE_STYLES[name]}
    axes.annotate("", (tip.real, tip.imag), (0, 0), arrowprops=style)


def spread(positions: list[float], gap: float) -> list[float]:
    """Move label positions apart until neighbours keep the gap; the order of the list stays.

    Labels that would cover each other are pushed away from their common middle.

    >>> spread([0.0, 10.0], gap=2.0)
    [0.0, 10.0]
    >>> spread([5.0, 5.0], gap=2.0)
    [4.0, 6.0]
    """
    order = sorted(range(len(positions)), key=lambda index: positions[index])
    groups = [[index] for index in order]
    middle = [positions[index] for index in order]
    at = 1
    while at < len(groups):
        below, above = groups[at - 1], groups[at]
        if middle[at] - middle[at - 1] >= gap * (len(below) + len(above)) / 2 - 1e-9:
            at += 1
            continue
        joined = below + above
        groups[at - 1 : at + 1] = [joined]
        middle[at - 1 : at + 1] = [sum(positions[index] for index in joined) / len(joined)]
        at = max(at - 1, 1)
    moved = [0.0] * len(positions)
    for group, centre in zip(groups, middle, strict=True):
        for rank, index in enumerate(group):
            moved[index] = centre + gap * (rank - (len(group) - 1) / 2)
    return moved
