"""What all panels share: controls on the left, the picture on the right, the result in words below."""

import html
from collections.abc import Callable, Mapping
from typing import Any, Generic, Protocol, TypeVar

import ipywidgets as widgets

from acpower.figures.look import image
from acpower.panels.controls import STYLE, Control

Numbers = TypeVar("Numbers")
Shown = TypeVar("Shown", contravariant=True)

PICTURE_WIDTH = 512
PICTURE_HEIGHT = 400

# A slider of the widget library has no name for a screen reader. Each picture that arrives gives
# the sliders of its panel the text of the label that stands beside them.
_NAME_SLIDERS = (
    "for (const knob of this.closest('.acpower-panel').querySelectorAll('.acpower-knob'))"
    " knob.querySelector('[role=slider]').ariaLabel = knob.querySelector('label').textContent"
)


class Drawing(Protocol[Shown]):
    """The picture of a panel."""

    def png(self, numbers: Shown) -> bytes:
        """Draw the numbers; return the picture."""


class Panel(Generic[Numbers]):
    """A live panel: turn a control, and picture and words follow.

    Parameters
    ----------
    controls
        The controls; each name is an argument of `calculate`.
    calculate
        A pure function from the values of the controls to the numbers shown.
    drawing
        Draws the numbers.
    words
        Says the numbers in plain sentences: the result line.
    alt
        Says what the picture shows; the result line completes the text alternative.
    """

    def __init__(
        self,
        controls: Mapping[str, Control],
        calculate: Callable[..., Numbers],
        drawing: Drawing[Numbers],
        words: Callable[[Numbers], str],
        alt: Callable[[Numbers], str],
    ) -> None:
        self.controls = controls
        self._calculate = calculate
        self._drawing = drawing
        self._words = words
        self._alt = alt
        self.picture = widgets.HTML(layout={"width": f"{PICTURE_WIDTH}px", "height": f"{PICTURE_HEIGHT}px"})
        self.picture.add_class("acpower-picture")
        self.result = widgets.HTML(layout={"min_height": "56px"})
        self.result.add_class("acpower-result")
        column = widgets.VBox([control.row for control in controls.values()], layout={"min_width": "396px"})
        self.container = widgets.VBox(
            [widgets.HBox([column, self.picture]), self.result, widgets.HTML(STYLE)]
        )
        self.container.add_class("acpower-panel")
        for control in controls.values():
            control.widget.observe(self._refresh, names="value")
        self._refresh()

    def set(self, **values: Any) -> None:
        """Turn controls by name, as a hand would."""
        for name, value in values.items():
            self.controls[name].widget.value = value

    def _refresh(self, _change: object = None) -> None:
        numbers = self._calculate(**{name: control.widget.value for name, control in self.controls.items()})
        words = self._words(numbers)
        picture = self._drawing.png(numbers)
        self.picture.value = image(
            picture, f"{self._alt(numbers)} {words}", PICTURE_WIDTH, onload=_NAME_SLIDERS
        )
        self.result.value = html.escape(words)

    def _repr_mimebundle_(self, **options: Any) -> Any:
        return self.container._repr_mimebundle_(**options)
