"""A live panel: controls, picture and result line, shown by one small module in the page.

The page sends what was typed or turned, as text. Everything else happens here: reading, refusing,
calculating, drawing. So a panel is tested without a browser.
"""

import os
from collections.abc import Callable, Collection, Mapping
from html import escape
from pathlib import Path
from typing import Any, Generic, TypeVar

import anywidget
import traitlets

from acpower._checks import choice
from acpower.figures.scene import PICTURE_WIDTH, Scene
from acpower.figures.svg import draw
from acpower.panels.controls import Control

Numbers = TypeVar("Numbers")
LARGE_PRINT = "ACPOWER_LARGE_PRINT"
"""`acpower print --large-print` sets this variable for a notebook: still pictures get large letters."""

_HERE = Path(__file__).parent


class _Face(anywidget.AnyWidget):
    """What is shared with the page: how the controls look, what is typed, what is shown."""

    _esm = "".join((_HERE / name).read_text(encoding="utf-8") for name in ("large_text.js", "panel.js"))
    _css = (_HERE / "panel.css").read_text(encoding="utf-8")
    title = traitlets.Unicode().tag(sync=True)
    plan = traitlets.Dict().tag(sync=True)
    typed = traitlets.Dict().tag(sync=True, echo_update=False)  # one message less on each move
    large = traitlets.Bool().tag(sync=True)
    shown = traitlets.Dict().tag(sync=True)


class Panel(Generic[Numbers]):
    """A live panel: turn a control, and picture and words follow.

    What cannot be used is refused with a sentence at the control, and a combination of values that
    `calculate` refuses with a ``ValueError`` with that sentence below the controls; the picture stays.

    Parameters
    ----------
    title
        What the picture shows: the name of the panel and of its picture.
    controls
        The controls; each name is an argument of `calculate`.
    calculate
        A pure function from the values of the controls to the numbers shown.
    scene
        The picture of the numbers.
    words
        Says the numbers in plain sentences: the result line, and the text alternative of the picture.
    idle
        Names the controls that have no effect on such numbers; they cannot be turned meanwhile.

    Examples
    --------
    >>> from acpower.figures.scene import Axis, Box, Chart, Fill
    >>> from acpower.panels.controls import Knob
    >>> panel = Panel(
    ...     "Power of one phase at 230 V",
    ...     {"current": Knob("Current", "A", value=16, low=6, high=63, step=1)},
    ...     calculate=lambda current: 230 * current / 1000,
    ...     scene=lambda kw: Scene([Chart(Axis(0, 15, "Power (kW)"), Axis(0, 1), [Box(Fill("#56B4E9"), 0, kw)])]),
    ...     words=lambda kw: f"{kw:.2f} kW",
    ... )
    >>> panel.set(current="32")
    >>> panel.numbers, panel.words
    (7.36, '7.36 kW')
    """

    def __init__(
        self,
        title: str,
        controls: Mapping[str, Control],
        calculate: Callable[..., Numbers],
        scene: Callable[[Numbers], Scene],
        words: Callable[[Numbers], str],
        idle: Callable[[Numbers], Collection[str]] = lambda _: (),
    ) -> None:
        self.title, self.controls = title, dict(controls)
        self._calculate, self._scene, self._words, self._idle = calculate, scene, words, idle
        self._values = {name: control.read(control.start) for name, control in self.controls.items()}
        self._drawn = self._values
        self._refused: dict[str, str] = {}
        self._problem = ""
        self.numbers = calculate(**self._values)
        self.face = _Face(
            title=title,
            plan={name: control.plan() for name, control in self.controls.items()},
            typed={name: control.start for name, control in self.controls.items()},
        )
        self._name = f"acpower-{self.face.model_id}"
        self._show()
        self.face.observe(self._turned, names="typed")
        self.face.observe(lambda _: self._show(), names="large")

    def set(self, **values: Any) -> None:
        """Turn controls by name, as a hand would; text is taken as typed.

        Raises
        ------
        ValueError
            With the sentences that the panel shows, if it refuses what was set.
        """
        typed = dict(self.face.typed)
        for name, value in values.items():
            control = self.controls[choice("control", name, self.controls)]
            typed[name] = value if isinstance(value, str) else control.write(value)
        self.face.typed = typed
        if self._refused or self._problem:
            raise ValueError(" ".join([*self._refused.values(), self._problem]).strip())

    def svg(self, *, large: bool = False, name: str = "picture") -> str:
        """Return the picture as it stands, with its text alternative: for a read-only page or a test."""
        return draw(self._scene(self.numbers), self.title, self.words, large=large, name=name)

    def _turned(self, _change: object) -> None:
        self._refused, self._problem = {}, ""
        values = dict(self._values)
        for name, control in self.controls.items():
            try:
                values[name] = control.read(self.face.typed[name])
            except ValueError as refusal:
                self._refused[name] = str(refusal)
        self._values = values
        try:
            self.numbers = self._calculate(**values)
            self._drawn = values
        except ValueError as problem:
            self._problem = str(problem)
        self._show()

    def _show(self) -> None:
        self.words = self._words(self.numbers)  # the result line
        self.face.shown = {
            "picture": self.svg(large=self.face.large, name=self._name),
            "words": self.words,
            "values": {name: control.write(self._values[name]) for name, control in self.controls.items()},
            "refused": {
                name: f"{why} The picture still shows {self._still(name)}."
                for name, why in self._refused.items()
            },
            "problem": self._problem and f"{self._problem} The picture still shows the values before.",
            "idle": list(self._idle(self.numbers)),
            "answered": self.face.typed,
        }

    def _still(self, name: str) -> str:
        """Say the value of a control that the picture was drawn with."""
        control = self.controls[name]
        return control.say(control.write(self._drawn[name]))

    def _repr_mimebundle_(self, **options: Any) -> Any:
        live = self.face._repr_mimebundle_(**options)
        if live is None:
            return None
        # A page without a kernel shows this still picture in place of the panel.
        picture = self.svg(large=LARGE_PRINT in os.environ, name=f"{self._name}-still")
        still = (
            f'<figure style="max-width: {PICTURE_WIDTH}px">{picture}'
            f"<figcaption>{escape(self.words)}</figcaption></figure>"
        )
        return ({**live[0], "text/html": still}, *live[1:])
