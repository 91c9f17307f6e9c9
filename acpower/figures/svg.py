"""Turn a scene into SVG text. No browser, no state: the same scene always gives the same text."""

import math
from functools import lru_cache
from html import escape
from typing import Any

import numpy as np
from matplotlib.ticker import MaxNLocator

from acpower.figures.look import BLACK, TEXT_SIZE
from acpower.figures.scene import (
    PICTURE_HEIGHT,
    PICTURE_WIDTH,
    Area,
    Arrow,
    Axis,
    Box,
    Chart,
    Fill,
    Line,
    Mark,
    Pen,
    Scene,
    Text,
    Thing,
)

LARGE_TEXT_SIZE = 18  # for a projector
_LETTER = 0.6  # mean width of a letter in text sizes, for the wider ones of common sans-serif faces
_HALF_MARK = 6.0


def draw(scene: Scene, title: str, words: str, *, large: bool = False, name: str = "picture") -> str:
    """Return the scene as an SVG element with its text alternative.

    Parameters
    ----------
    scene
        What to draw.
    title, words
        What the picture is, and the sentences beside it; together with the scene's own description
        they are the text alternative.
    large
        Larger text, for a projector; margins and number of ticks follow.
    name
        Unlike that of every other picture on the page: text alternative and hatch are found by it.

    Examples
    --------
    >>> from acpower.figures.scene import L1, Axis, Chart, Line, Scene
    >>> ramp = Chart(Axis(0, 1, "Time (s)"), Axis(0, 10, "Voltage (V)"), [Line([0, 1], [0, 10], L1)])
    >>> print(draw(Scene([ramp]), "A ramp", "10 V after one second.").splitlines()[2])
    <desc id="picture-description">10 V after one second.</desc>
    """
    size = LARGE_TEXT_SIZE if large else TEXT_SIZE
    charts = "\n".join(_Paper(chart, size, name).svg() for chart in scene.charts)
    description = f"{scene.description} {words}".strip()
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {PICTURE_WIDTH} {PICTURE_HEIGHT}" role="img"'
        f' aria-labelledby="{name}-title {name}-description" font-family="Arial, Helvetica, sans-serif"'
        f' font-size="{size}">\n<title id="{name}-title">{escape(title)}</title>\n'
        f'<desc id="{name}-description">{escape(description)}</desc>\n'
        f'<defs><pattern id="{name}-hatch" width="6" height="6" patternUnits="userSpaceOnUse"'
        f' patternTransform="rotate(45)"><path d="M3 0V6" stroke="{BLACK}"/></pattern></defs>\n'
        f'<rect width="100%" height="100%" fill="#fff"/>\n{charts}\n</svg>'
    )


class _Paper:
    """The place of one chart on the picture, in pixels."""

    def __init__(self, chart: Chart, size: float, name: str) -> None:
        self.chart, self.size, self.name = chart, size, name
        left, top = chart.place[0] * PICTURE_WIDTH, chart.place[1] * PICTURE_HEIGHT
        width, height = chart.place[2] * PICTURE_WIDTH, chart.place[3] * PICTURE_HEIGHT
        # As many ticks as have room; the margins hold their words, whatever the text size.
        self.x_ticks = _ticks(chart.x, most=int(width / (4.5 * size)))
        self.y_ticks = _ticks(chart.y, most=int(height / (2.4 * size)))
        self.widest = max((len(word) for _, word in self.y_ticks), default=0) * _LETTER * size
        in_left = self.widest + (8 if self.widest else 1) + (1.6 * size if chart.y.label else 0)
        in_bottom = (1.7 * size if self.x_ticks else 1) + (1.4 * size if chart.x.label else 0)
        last = len(self.x_ticks[-1][1]) / 2 + 0.3 if self.x_ticks else 0.5  # half a tick word stands out
        in_top, in_right = chart.above * 1.2 * size, max(chart.beside, last) * _LETTER * size
        self.left, self.top = left + in_left, top + in_top
        self.width, self.height = width - in_left - in_right, height - in_top - in_bottom
        if chart.equal:
            shape = abs((chart.x.high - chart.x.low) / (chart.y.high - chart.y.low))
            fitting = min(self.width, self.height * shape)
            self.left += (self.width - fitting) / 2
            self.top += (self.height - fitting / shape) / 2
            self.width, self.height = fitting, fitting / shape
        self.x_scale = self.width / (chart.x.high - chart.x.low)
        self.y_scale = self.height / (chart.y.high - chart.y.low)

    def x(self, value: Any) -> Any:  # one place or many
        return (value - self.chart.x.low) * self.x_scale

    def y(self, value: Any) -> Any:
        return (self.chart.y.high - value) * self.y_scale

    def svg(self) -> str:
        inside: list[str] = []
        on_top: list[str] = []
        for thing in self.chart.things:
            (on_top if isinstance(thing, Text | Mark) else inside).append(self._draw(thing))
        # An inner svg element cuts off at the edge of the axes; labels and marks may stand over it.
        return "\n".join(
            [
                f'<g transform="translate({self.left:.1f} {self.top:.1f})">',
                *self._scales(),
                f'<svg width="{self.width:.1f}" height="{self.height:.1f}">',
                *inside,
                "</svg>",
                *on_top,
                "</g>",
            ]
        )

    def _scales(self) -> list[str]:
        chart, size, width, height = self.chart, self.size, self.width, self.height
        across = [(self.y(at), word) for at, word in self.y_ticks]
        along = [(self.x(at), word) for at, word in self.x_ticks]
        parts = []
        if chart.grid:
            lines = [f"M0 {y:.1f}h{width:.1f}" for y, _ in across]
            lines += [f"M{x:.1f} 0v{height:.1f}" for x, _ in along]
            parts.append(f'<path d="{"".join(lines)}" stroke="#ddd"/>')
        if along or across:
            parts.append(f'<path d="M0 0V{height:.1f}H{width:.1f}" stroke="{BLACK}" fill="none"/>')
        parts += [
            f'<text x="-6" y="{y + 0.35 * size:.1f}" text-anchor="end">{escape(word)}</text>'
            for y, word in across
        ]
        parts += [
            f'<text x="{x:.1f}" y="{height + 1.45 * size:.1f}" text-anchor="middle">{escape(word)}</text>'
            for x, word in along
        ]
        if chart.x.label:
            below = height + (2.8 if along else 1.2) * size
            parts.append(
                f'<text x="{width / 2:.1f}" y="{below:.1f}" text-anchor="middle">{escape(chart.x.label)}</text>'
            )
        if chart.y.label:
            parts.append(
                f'<text transform="translate({-self.widest - 6 - 0.6 * size:.1f} {height / 2:.1f}) rotate(-90)"'
                f' text-anchor="middle">{escape(chart.y.label)}</text>'
            )
        return parts

    def _draw(self, thing: Thing) -> str:
        match thing:
            case Line(x, y, pen):
                return f'<polyline points="{self._points(x, y)}" fill="none"{_stroke(pen)}/>'
            case Area(x, low, high, fill):
                there, low, high = np.broadcast_arrays(x, low, high)
                around = self._points(np.append(there, there[::-1]), np.append(high, low[::-1]))
                return self._filled(f'polygon points="{around}"', fill)
            case Box():
                return self._box(thing)
            case Mark():
                return self._mark(thing)
            case Arrow():
                return self._arrow(thing)
            case Text():
                return self._text(thing)

    def _points(self, x: Any, y: Any) -> str:
        places = np.column_stack([self.x(np.asarray(x)), self.y(np.asarray(y))])
        return " ".join(map(repr, places.round(1).ravel().tolist()))

    def _filled(self, shape: str, fill: Fill) -> str:
        outline = f' stroke="{BLACK}"' if fill.outline else ""
        hatch = f'<{shape} fill="url(#{self.name}-hatch)"/>' if fill.hatch else ""
        return f'<{shape} fill="{fill.colour}"{outline}/>{hatch}'

    def _box(self, box: Box) -> str:
        left, right = sorted(
            (
                0.0 if box.left is None else self.x(box.left),
                self.width if box.right is None else self.x(box.right),
            )
        )
        top, bottom = sorted(
            (
                0.0 if box.top is None else self.y(box.top),
                self.height if box.bottom is None else self.y(box.bottom),
            )
        )
        shape = f'x="{left:.1f}" y="{top:.1f}" width="{right - left:.1f}" height="{bottom - top:.1f}"'
        return self._filled(f"rect {shape}", box.fill)

    def _mark(self, mark: Mark) -> str:
        x, y = self.x(mark.x), self.y(mark.y)
        style = f' fill="{mark.colour}" stroke="{BLACK}"'
        if mark.shape == "circle":
            return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{_HALF_MARK:g}"{style}/>'
        turned = f' transform="rotate(45 {x:.1f} {y:.1f})"' if mark.shape == "diamond" else ""
        side = f'width="{2 * _HALF_MARK:g}" height="{2 * _HALF_MARK:g}"'
        return f'<rect x="{x - _HALF_MARK:.1f}" y="{y - _HALF_MARK:.1f}" {side}{style}{turned}/>'

    def _arrow(self, arrow: Arrow) -> str:
        pen = arrow.pen
        (x0, x1), (y0, y1) = (
            self.x(np.array([arrow.tail[0], arrow.head[0]])),
            self.y(np.array([arrow.tail[1], arrow.head[1]])),
        )
        length = math.hypot(x1 - x0, y1 - y0)
        if length < 0.5:  # too short for a direction
            return f'<circle cx="{x0:.1f}" cy="{y0:.1f}" r="{pen.width:g}" fill="{pen.colour}"/>'
        along_x, along_y = (x1 - x0) / length, (y1 - y0) / length
        head = min(5 * pen.width, length)
        back_x, back_y = x1 - head * along_x, y1 - head * along_y
        side_x, side_y = -0.4 * head * along_y, 0.4 * head * along_x
        return (
            f'<path d="M{x0:.1f} {y0:.1f}L{back_x:.1f} {back_y:.1f}"{_stroke(pen)}/>'
            f'<path d="M{x1:.1f} {y1:.1f}L{back_x + side_x:.1f} {back_y + side_y:.1f}'
            f'L{back_x - side_x:.1f} {back_y - side_y:.1f}Z" fill="{pen.colour}"/>'
        )

    def _text(self, text: Text) -> str:
        size = self.size * text.size
        x = self.x(text.x) + text.shift[0] * _LETTER * size
        middle = self.y(text.y) - text.shift[1] * size
        lines = text.text.split("\n")
        style = f' font-size="{size:g}"' if text.size != 1 else ""
        style += ' font-weight="bold"' if text.bold else ""
        style += f' fill="{text.colour}"' if text.colour != BLACK else ""
        style += f' text-anchor="{text.anchor}"' if text.anchor != "start" else ""
        style += f' stroke="#fff" stroke-width="{3 * text.halo:g}" paint-order="stroke"' if text.halo else ""
        spans = "".join(
            f'<tspan x="{x:.1f}" dy="{1.2 * size if at else 0:g}">{escape(line)}</tspan>'
            for at, line in enumerate(lines)
        )
        leader = ""
        if text.leader is not None:
            to_x, to_y = self.x(text.leader[0]), self.y(text.leader[1])
            leader = f'<path d="M{x:.1f} {middle:.1f}L{to_x:.1f} {to_y:.1f}" stroke="{BLACK}"/>'
        y = middle + (0.35 - 0.6 * (len(lines) - 1)) * size
        return f'{leader}<text y="{y:.1f}"{style}>{spans}</text>'


def _ticks(axis: Axis, most: int) -> tuple[tuple[float, str], ...]:
    if axis.ticks is not None:
        return tuple(axis.ticks)
    return _round_ticks(axis.low, axis.high, max(min(most, 6), 2)) if axis.label else ()


@lru_cache(maxsize=256)
def _round_ticks(low: float, high: float, most: int) -> tuple[tuple[float, str], ...]:
    places = MaxNLocator(most, steps=[1, 2, 2.5, 5, 10]).tick_values(low, high)
    return tuple((float(at), f"{at:.10g}".replace("-", "−")) for at in places if low <= at <= high)


def _stroke(pen: Pen) -> str:
    dashes = f' stroke-dasharray="{" ".join(f"{dash:g}" for dash in pen.dashes)}"' if pen.dashes else ""
    return f' stroke="{pen.colour}" stroke-width="{pen.width:g}"{dashes}'
