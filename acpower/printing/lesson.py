"""A lesson as a page for reading: run once, its panels standing still."""

import asyncio
import os
import threading
from collections.abc import Collection
from concurrent.futures import ThreadPoolExecutor, wait
from html import escape
from pathlib import Path, PurePosixPath
from typing import Any
from urllib.parse import urlsplit

import nbformat
from bs4 import BeautifulSoup, Tag
from nbclient import NotebookClient
from nbclient.exceptions import CellTimeoutError, DeadKernelError
from nbconvert import HTMLExporter
from traitlets.config import Config

from acpower.marking.user_mistake import UserMistake
from acpower.panels.panel import LARGE_PRINT
from acpower.printing.page import Look, whole_page

_FOR_THE_SCREEN = ("how-to-use",)
"""Ids of cells that only tell how to run a notebook."""

_COLUMNS_IN_LARGE_PRINT = 3

_RESULT_ONLY = "result-only"
"""Tag of cells whose code is left out."""

_NOTE = (
    '<p class="note">This page is for reading. Where it says “run the next cell”, look at what stands below. '
    "A panel stands still at its first setting; its values are in the words under it.</p>"
)


def lesson_page(
    notebook: Path, look: Look, *, region: str | None = None, beside: Collection[str] = ()
) -> str:
    """Run a notebook of the course offline and return it as a page for reading.

    Parameters
    ----------
    notebook
        The file; it is only read.
    look
        Paper and size of print.
    region
        Region that the lesson follows; without it, the one in use.
    beside
        Names of the pages that will stand beside this one: links to them are kept.

    Raises
    ------
    UserMistake
        If a cell stops with an error or takes longer than two minutes, or the kernel ends.
    """
    content = _run(notebook, region, large=look.large)
    title = notebook.stem
    for cell in content.cells:
        if cell.cell_type == "code":
            _keep_what_is_read(cell)
    content.cells = [cell for cell in content.cells if cell.id not in _FOR_THE_SCREEN]
    content.metadata.pop("widgets", None)  # a panel's state serves a running notebook only
    exporter = HTMLExporter(  # type: ignore[no-untyped-call]
        template_name="basic",
        exclude_anchor_links=True,
        exclude_input_prompt=True,
        exclude_output_prompt=True,
        config=Config(
            {"TagRemovePreprocessor": {"enabled": True, "remove_input_tags": {_RESULT_ONLY}}},
        ),
    )
    body, _ = exporter.from_notebook_node(content)
    soup = BeautifulSoup(body, "html.parser")
    _follow_links(soup, beside)
    _collect_answers(soup)
    if look.large:
        _say_pictures(soup)
        _turn_wide_tables(soup)
    heading = soup.find("h1")
    if isinstance(heading, Tag):
        title = heading.get_text()
        if any(cell.cell_type == "code" for cell in content.cells):
            heading.insert_after(BeautifulSoup(_NOTE, "html.parser"))
    return whole_page(title, notebook.stem, str(soup), look)


def _run(notebook: Path, region: str | None, *, large: bool) -> Any:
    content = nbformat.read(notebook, as_version=4)  # type: ignore[no-untyped-call]
    environment = {name: value for name, value in os.environ.items() if name != LARGE_PRINT}
    if region is not None:
        environment["ACPOWER_REGION"] = region
    if large:
        environment[LARGE_PRINT] = "1"
    client = NotebookClient(
        content,
        timeout=120,
        allow_errors=True,
        extra_arguments=["--log-level=ERROR"],
        resources={"metadata": {"path": str(notebook.parent)}},
    )
    try:
        _execute(client, environment)
    except (CellTimeoutError, DeadKernelError) as problem:
        raise UserMistake(
            f"{notebook.stem} could not be printed: it did not run to its end ({type(problem).__name__}). "
            "Open it with acpower study and run all cells to see where it stops."
        ) from None
    for cell in content.cells:
        for output in cell.get("outputs", ()):
            if output.output_type == "error":
                raise UserMistake(
                    f"{notebook.stem} could not be printed: its cell “{cell.id}” stops with {output.ename}: "
                    f"{output.evalue}. Open it with acpower study and put that cell right."
                )
    return content


def _execute(client: NotebookClient, environment: dict[str, str]) -> None:
    """Run the notebook beside this thread, since in it the library would take Ctrl-C for itself.

    Ctrl-C waits for the cell that is at work; then the kernel is ended in order.
    """
    stop = threading.Event()

    def go_on(**_: object) -> None:
        if stop.is_set():
            raise InterruptedError

    def run() -> None:
        # the loop that the kernel's sockets need on Windows, and the usual one elsewhere
        with asyncio.Runner(loop_factory=asyncio.SelectorEventLoop) as runner:
            runner.run(client.async_execute(env=environment))

    client.on_cell_start = go_on
    with ThreadPoolExecutor(max_workers=1) as pool:
        running = pool.submit(run)
        try:
            while not running.done():
                wait([running], timeout=0.5)
        except KeyboardInterrupt:
            stop.set()
            raise
        running.result()


def _keep_what_is_read(cell: Any) -> None:
    """Leave out what only a running notebook needs: live views, and the call above a picture."""
    cell.outputs = [one for one in cell.outputs if one.get("name") != "stderr"]
    for output in cell.outputs:
        if "text/html" in output.get("data", ()):
            output.data = {"text/html": output.data["text/html"]}
            cell.metadata["tags"] = [*cell.metadata.get("tags", ()), _RESULT_ONLY]


def _follow_links(soup: BeautifulSoup, beside: Collection[str]) -> None:
    """Lead links to notebooks to the pages made of them; where there is none, keep the words."""
    for link in soup.find_all("a", href=True):
        target = PurePosixPath(urlsplit(str(link["href"])).path)
        if target.suffix == ".ipynb" and target.stem in beside:
            link["href"] = f"{target.stem}.html"
        elif target.suffix == ".ipynb":
            link.unwrap()


def _collect_answers(soup: BeautifulSoup) -> None:
    """Give each quick question a number and move the answers to the end of the page."""
    answers = soup.new_tag("ol")
    for number, question in enumerate(soup.select(".acpower-question"), start=1):
        name = question.select_one("b")
        if name:
            name.string = f"Quick question {number}."
        for answer in question.select(".acpower-answer"):
            answer.extract()
            answer.name = "li"
            answers.append(answer)
    if answers.contents:
        heading = soup.new_tag("h2")
        heading.string = "Answers to the quick questions"
        soup.extend([heading, answers])


def _say_pictures(soup: BeautifulSoup) -> None:
    """Add the text alternative below each picture: its small letters do not grow with the print."""
    for picture in soup.select("figure img[alt]"):
        words = soup.new_tag("p")
        words.string = str(picture["alt"])
        figure = picture.find_parent("figure")
        if figure:
            figure.insert_after(words)


def _turn_wide_tables(soup: BeautifulSoup) -> None:
    """Write each row of a wide table as lines below each other: in large print it would leave the paper."""
    for table in soup.find_all("table"):
        names = [cell.get_text() for cell in table.select("thead th")]
        if len(names) <= _COLUMNS_IN_LARGE_PRINT:
            continue
        lines = [f"<p><b>{escape(caption.get_text())}</b></p>" for caption in table.select("caption")]
        for row in table.select("tbody tr"):
            cells = row.find_all(["th", "td"])
            lines.append('<ul class="row">')
            lines += [
                f"<li><b>{escape(name)}:</b> {cell.decode_contents()}</li>"
                for name, cell in zip(names, cells, strict=True)
            ]
            lines.append("</ul>")
        table.replace_with(BeautifulSoup("".join(lines), "html.parser"))
