"""The controls of the panels and the common style sheet."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import ipywidgets as widgets

STYLE = """<style>
.acpower-panel { border: 1px solid #999; padding: 4px 8px; overflow: hidden; }
.acpower-panel .widget-label, .acpower-panel label, .acpower-panel input, .acpower-panel select,
.acpower-question label, .acpower-question .widget-html-content { font-size: 15px !important; }
.acpower-result .widget-html-content { font-size: 18px !important; line-height: 1.35; }
</style>"""
"""Larger type than the widget library's own, to be read from the back row."""


@dataclass(frozen=True)
class Control:
    """One thing to turn: the widget that holds the value and the row that is shown."""

    widget: Any
    row: Any


def knob(label: str, *, value: float, low: float, high: float, step: float) -> Control:
    """Return a number field and a slider that follow each other.

    The label says the unit. Every value can be typed as well as dragged; a typed value may lie
    between the steps of the slider.

    >>> current = knob("Current (A)", value=16, low=6, high=63, step=1)
    >>> field, slider = current.row.children
    >>> slider.value = 32
    >>> current.widget.value
    32.0
    """
    field = widgets.BoundedFloatText(
        value=value,
        min=low,
        max=high,
        step=step,
        description=label,
        style={"description_width": "200px"},
        layout={"width": "276px"},
    )
    slider = widgets.FloatSlider(
        value=value, min=low, max=high, step=step, readout=False, layout={"width": "114px"}
    )

    def follow_field(_change: object) -> None:
        slider.value = field.value

    def follow_slider(_change: object) -> None:
        # The browser answers each new value with the nearest step: that is nobody's hand.
        if abs(slider.value - field.value) > 0.51 * step:
            field.value = round(slider.value, 6)

    field.observe(follow_field, names="value")
    slider.observe(follow_slider, names="value")
    row = widgets.HBox([field, slider])
    row.add_class("acpower-knob")
    return Control(field, row)


def choice(label: str, options: Mapping[str, Any]) -> Control:
    """Return a list to choose from; the first entry is chosen.

    >>> choice("Phases", {"one": 1, "three": 3}).widget.value
    1
    """
    menu = widgets.Dropdown(
        options=list(options.items()),
        description=label,
        style={"description_width": "initial"},
        layout={"width": "386px"},
    )
    return Control(menu, menu)
