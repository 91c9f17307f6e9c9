"""Mark a class from a notebook: choose, press, watch the progress, see the class picture.

It takes the same road as `acpower mark`, and refuses the same things with the same sentences.
"""

from collections.abc import Callable
from html import escape
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from acpower.marking import isolation
from acpower.marking.hand_back import CLASS_PICTURE, MARK_SHEET, REPORTS, hand_back
from acpower.marking.machines import ThisMachine
from acpower.marking.mark import mark_class, register_for
from acpower.marking.places import check_results_place, problem_in_words
from acpower.marking.result import NOBODYS
from acpower.marking.run import Limits
from acpower.marking.so_far import NAME as SO_FAR
from acpower.marking.term_key import read_term_key
from acpower.marking.user_mistake import UserMistake
from acpower.worksheets.scheme import counted

_WIDE = {"width": "42em", "max_width": "98%"}
_WORDS_FIRST = {"description_width": "13em"}
_START = "Choose the folder and the class list, then press the button."
_NOTHING = "(none here)"
_CHOOSE = ("(choose it)", None)
_FOR_PRACTICE = "(none: the worksheets are for practice)"


class MarkingPanel:
    """The panel: where to look, what to mark, where the results go.

    Parameters
    ----------
    place
        The folder that it looks into at first: the one above the notebook without it.

    Examples
    --------
    >>> panel = MarkingPanel(Path("no-such-folder"))
    >>> panel.mark.click()
    >>> panel.says.value
    '<p>There is no folder no-such-folder. Correct the place at the top.</p>'
    """

    def __init__(self, place: Path | None = None) -> None:
        start = Path.cwd().parent if place is None else place
        self.place = _line(widgets.Text, "Place", value=str(start), continuous_update=False)
        self.up = widgets.Button(description="One folder up")
        self.into = widgets.Button(description="Go into the chosen folder", layout={"width": "15em"})
        self.folder = _line(widgets.Dropdown, "Filled-in worksheets")
        self.register = _line(widgets.Dropdown, "Class list (CSV)")
        self.term_key = _line(widgets.Dropdown, "Term key, for marks")
        self.results = _line(widgets.Text, "New folder for the results")
        self.limits_only = _line(
            widgets.Checkbox,
            "Mark even where this machine gives no full isolation",
            value=False,
            indent=False,
        )
        self.mark = widgets.Button(description="Mark the class", button_style="primary")
        self.bar = _line(widgets.IntProgress, "Progress", min=0, max=1, value=0)
        self.says = widgets.HTML(f"<p>{_START}</p>")
        self.picture = widgets.HTML()
        self._box = widgets.VBox(
            [
                self.place,
                widgets.HBox([self.up, self.into]),
                self.folder,
                self.register,
                self.term_key,
                self.results,
                self.limits_only,
                self.mark,
                self.bar,
                self.says,
                self.picture,
            ]
        )
        self.place.observe(lambda _: self._look(), names="value")
        self.up.on_click(lambda _: self._go(self._place.resolve().parent))
        self.into.on_click(lambda _: self._go(self._place / (self.folder.value or ".")))
        self.mark.on_click(lambda _: self._pressed())
        self._look()

    @property
    def _place(self) -> Path:
        return Path(self.place.value.strip().strip('"'))

    def _go(self, place: Path) -> None:
        self.place.value = str(place)

    def _look(self) -> None:
        """Offer what the place holds."""
        try:
            there = sorted(path for path in self._place.iterdir() if not path.name.startswith("."))
        except OSError:
            there = []
        # Marking runs what it finds in a folder, so no folder is taken that nobody has chosen.
        _offer(self.folder, [path.name for path in there if path.is_dir()], _CHOOSE)
        _offer(self.register, [path.name for path in there if path.suffix.lower() == ".csv"])
        keys = [path.name for path in there if path.suffix.lower() == ".key"]
        self.term_key.options = [(_FOR_PRACTICE, None), *((name, name) for name in keys)]
        self.term_key.index = 0  # a choice whose value is None is not shown by itself
        self.results.value = _free_name(self._place)

    def _pressed(self) -> None:
        self.picture.value, self.bar.value = "", 0
        self.mark.disabled = True
        try:
            self._mark()
        except UserMistake as mistake:
            self._say(str(mistake))
        except OSError as problem:
            self._say(problem_in_words(problem))
        finally:
            self.mark.disabled = False

    def _mark(self) -> None:
        if not self._place.is_dir():
            raise UserMistake(f"There is no folder {self._place}. Correct the place at the top.")
        if self.folder.value is None and _CHOOSE in self.folder.options:
            raise UserMistake("Choose the folder that holds the filled-in worksheets.")
        if self.folder.value is None:
            raise UserMistake(
                f"{self._place} holds no folder. Go to the place that holds the folder of worksheets."
            )
        if self.register.value is None:
            raise UserMistake(
                f"{self._place} holds no CSV file. Put the class list there, or go to its place."
            )
        if not self.results.value.strip():
            raise UserMistake("The results need a folder. Write a name for a new one.")
        folder, register = self._place / self.folder.value, self._place / self.register.value
        to = self._place / self.results.value.strip()
        check_results_place(to, folder)
        register_for(folder, register)
        machines = ThisMachine(accept_limits_only=self.limits_only.value)
        self._say(f"Marking. Isolation: {isolation.in_words(machines.isolation)}")
        limits = Limits()
        term_key = self.term_key.value and read_term_key(self._place / self.term_key.value)
        result = mark_class(
            folder,
            register,
            term_key=term_key,
            leave_out=(to,),
            limits=limits,
            so_far=to / SO_FAR,
            machines=machines,
            progress=self._progress,
        )
        hand_back(result, to, limits)
        marked = sum(one.status == "marked" for one in result.results)
        look = " Something is left for you to settle: see below." if result.needs_attention else ""
        if not result.results:
            look = f" {NOBODYS}"
        self._say(
            f"Marked: {marked} of {counted(len(result.results), 'worksheet')}.{look} In {to.resolve()} you find "
            f"{MARK_SHEET}, the folder {REPORTS} with a page for each apprentice, and the picture below as "
            f"{CLASS_PICTURE}."
        )
        page = (to / CLASS_PICTURE).read_text(encoding="utf-8")
        self.picture.value = (
            '<iframe title="Class picture" sandbox="" style="width: 100%; height: 700px; border: 1px solid #767676" '
            f'srcdoc="{escape(page)}"></iframe>'
        )
        self.results.value = _free_name(self._place)

    def _progress(self, done: int, due: int, _result: object) -> None:
        self.bar.max, self.bar.value = due, done

    def _say(self, text: str) -> None:
        self.says.value = f"<p>{escape(text)}</p>"

    def _repr_mimebundle_(self, **options: Any) -> dict[str, Any]:
        still = "<p>In a running notebook, the panel for marking a class stands here.</p>"
        return {**self._box._repr_mimebundle_(**options), "text/html": still}


def _line(kind: Callable[..., Any], words: str, **more: Any) -> Any:
    return kind(description=words, layout=_WIDE, style=_WORDS_FIRST, **more)


def _offer(choice: Any, names: list[str], *first: tuple[str, None]) -> None:
    """Offer names in a dropdown, after what stands ``first``; an old choice stays if it is still there."""
    before = choice.value
    choice.options = [*first, *((name, name) for name in names)] if names else [(_NOTHING, None)]
    choice.index = len(first) + names.index(before) if before in names else 0


def _free_name(place: Path) -> str:
    """Return ``marked``, or with a number behind it if that is there already."""
    name, number = "marked", 1
    while (place / name).exists():
        number += 1
        name = f"marked-{number}"
    return name
