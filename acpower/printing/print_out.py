"""Print lessons and personal worksheets into a folder."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from acpower import notebooks
from acpower.marking.paper import write_paper_form
from acpower.marking.register import Register
from acpower.marking.user_mistake import UserMistake
from acpower.printing.page import Look, find_browser, write_pdf
from acpower.worksheets.cards import PRACTICE_TERM_KEY
from acpower.worksheets.scheme import Worksheet
from acpower.worksheets.schemes import WORKSHEETS


@dataclass(frozen=True)
class Printed:
    """What was made, and a sentence for each thing that a person should look at."""

    pages: tuple[Path, ...]
    pdfs: tuple[Path, ...]
    problems: tuple[str, ...]


def lesson_names() -> tuple[str, ...]:
    """Return the names of the notebooks of the course, in their order.

    >>> "02-read-ac" in lesson_names()
    True
    """
    return tuple(sorted(path.stem for path in notebooks.folder("course").glob("*.ipynb")))


def chosen(names: Sequence[str], register: Register | None) -> tuple[list[str], list[Worksheet]]:
    """Return the lessons and worksheets that a person named.

    Without names it is the whole course, and with a register every worksheet as well.

    Raises
    ------
    UserMistake
        A name is unknown, worksheets lack a register, or a register serves nothing.
    """
    known = lesson_names()
    unknown = [name for name in names if name not in known and name not in WORKSHEETS]
    if unknown:
        raise UserMistake(
            f"There is no lesson and no worksheet {unknown[0]!r}. The lessons are: {', '.join(known)}. "
            f"The worksheets are: {', '.join(WORKSHEETS)}."
        )
    lessons = [name for name in known if name in names or not names]
    worksheets = [
        worksheet for name, worksheet in WORKSHEETS.items() if name in names or (register and not names)
    ]
    if worksheets and register is None:
        raise UserMistake(
            f"The worksheet {worksheets[0].name} has numbers for each apprentice. Give the class list as well, "
            "as in: acpower print charging-power --register class.csv"
        )
    if register is not None and not worksheets:
        raise UserMistake(
            f"A class list was given, but only lessons were named. Name a worksheet too: {', '.join(WORKSHEETS)}."
        )
    return lessons, worksheets


def print_out(
    lessons: Sequence[str],
    worksheets: Sequence[Worksheet],
    apprentices: Sequence[str],
    to: Path,
    look: Look,
    *,
    region: str | None = None,
    term_key: str | None = None,
    progress: Callable[[int, int], None] = lambda done, due: None,
) -> Printed:
    """Write each page as HTML and, if a browser is found that can, as PDF; older prints are replaced.

    Parameters
    ----------
    lessons, worksheets, apprentices
        What to print: notebooks of the course by name, and worksheets once for each apprentice.
    to
        The folder; made where it is missing.
    look
        Paper and size of print.
    region
        Region of the lessons; without it, the one in use.
    term_key
        The term key of worksheets for marks; without it they are for practice.
    progress
        Called after each page with how many are done and how many are due.
    """
    # running notebooks takes libraries that a worksheet does not need
    from acpower.printing.lesson import lesson_page
    from acpower.printing.worksheet import worksheet_page

    def lesson(name: str) -> Callable[[], str]:
        path = notebooks.folder("course") / f"{name}.ipynb"
        return lambda: lesson_page(path, look, region=region, beside=lessons)

    def sheet(worksheet: Worksheet, apprentice: str) -> Callable[[], str]:
        return lambda: worksheet_page(worksheet, apprentice, look, term_key or PRACTICE_TERM_KEY)

    due = {name: lesson(name) for name in lessons}
    due |= {f"{one.name}_{who}": sheet(one, who) for one in worksheets for who in apprentices}
    browser = find_browser()
    to.mkdir(parents=True, exist_ok=True)
    for worksheet in worksheets:
        write_paper_form(worksheet, apprentices, to, term_key)
    pages, pdfs, problems = [], [], []
    for done, (name, page) in enumerate(due.items(), start=1):
        html, pdf = to / f"{name}.html", to / f"{name}.pdf"
        try:
            html.write_text(page(), encoding="utf-8", newline="\n")
            pages.append(html)
        except UserMistake as problem:
            problems.append(str(problem))
        else:
            if browser is not None and write_pdf(browser, html, pdf):
                pdfs.append(pdf)
            elif browser is not None:
                problems.append(
                    f"{pdf.name} could not be made. Open {html.name} in a browser and print it from there."
                )
        progress(done, len(due))
    if browser is None:
        problems.append(
            "No browser was found that makes PDF files by itself. Open the HTML pages in any browser and choose Print."
        )
    return Printed(tuple(pages), tuple(pdfs), tuple(problems))
