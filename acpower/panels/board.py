"""The drawing route of the panels: matplotlib to PNG, fast enough to follow a slider.

Drawing a whole figure anew takes far longer than drawing its few moving parts. A board keeps
everything that stands still (axes, grid, labels) as a ready image and draws only the moving
artists on top. This is the one place to change if the panels should be drawn in another way.
"""

import io
from collections.abc import Iterable
from typing import Any

from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.image import imsave


class Board:
    """A figure of which only the moving artists are drawn again.

    Parameters
    ----------
    figure
        The figure with all its axes and artists.
    moving
        The artists that change, in drawing order. Everything else is drawn once, and again
        only when the limits of an axis have changed.

    Examples
    --------
    >>> from acpower.figures.look import blank_figure
    >>> figure = blank_figure(2, 1)
    >>> (line,) = figure.subplots().plot([0, 1], [0, 1])
    >>> board = Board(figure, [line])
    >>> before = board.png()
    >>> line.set_ydata([1, 0])
    >>> board.png() == before
    False
    """

    def __init__(self, figure: Figure, moving: Iterable[Artist]) -> None:
        self._figure = figure
        self._canvas: Any = FigureCanvasAgg(figure)  # matplotlib gives its canvas no types
        self._moving = list(moving)
        for artist in self._moving:
            artist.set_animated(True)  # leaves it out of the ready image
        self._background: Any = None
        self._limits: list[tuple[float, float, float, float]] = []

    def png(self) -> bytes:
        """Return the figure as it stands now, as PNG bytes."""
        limits = [(*axes.get_xlim(), *axes.get_ylim()) for axes in self._figure.axes]
        if self._background is None or limits != self._limits:
            self._canvas.draw()
            self._background = self._canvas.copy_from_bbox(self._figure.bbox)
            self._limits = limits
        self._canvas.restore_region(self._background)
        for artist in self._moving:
            self._figure.draw_artist(artist)
        buffer = io.BytesIO()
        # Little compression: the picture travels no further than this computer.
        imsave(buffer, self._canvas.buffer_rgba(), format="png", pil_kwargs={"compress_level": 1})
        return buffer.getvalue()
