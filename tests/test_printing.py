"""Printed pages as people get them: whole without a network, fit for paper, readable by everybody.

Accessibility is checked with axe-core, which comes from the npm registry by npm into a scratch folder.
"""

import json
import re
import sys
import time
from pathlib import Path
from typing import Any

import psutil
import pytest
from bs4 import BeautifulSoup
from classroom import write_register
from command import acpower, check_that_ctrl_c_ends, start_acpower
from hostile_runs import runs

from acpower.marking.hand_out import file_name
from acpower.notebooks import folder
from acpower.printing import page as page_room
from acpower.printing import print_out as print_room
from acpower.printing.lesson import lesson_page
from acpower.printing.page import Look, find_browser, write_pdf
from acpower.printing.print_out import lesson_names, print_out
from acpower.printing.worksheet import worksheet_page
from acpower.region import REGIONS
from acpower.worksheets.scheme import Choice, Number
from acpower.worksheets.schemes import WORKSHEETS

ARTIFACTS = Path(__file__).parents[1] / ".artifacts"
NEEDS_ATTENTION = ("serious", "critical")
(READ_AC,) = (name for name in lesson_names() if "read-ac" in name)


def print_without_browser(to: Path, ids: tuple[str, ...], look: Look, region: str | None = None) -> Path:
    """Print the whole course and worksheets for some apprentices as HTML; no lesson may stop."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(print_room, "find_browser", lambda: None)
        done = print_out(lesson_names(), list(WORKSHEETS.values()), ids, to, look, region=region)
    assert len(done.problems) == 1, done.problems
    assert done.problems[0].startswith("No browser was found")
    return to


@pytest.fixture(scope="module")
def printed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the whole course and a class of two, printed as HTML."""
    return print_without_browser(tmp_path_factory.mktemp("printed"), ("A07", "B12"), Look())


@pytest.fixture(scope="module")
def printed_large(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder with the whole course and one apprentice, in large print, where the mains have 60 Hz.

    So every lesson runs with another region from a fresh kernel; the ordinary test run has it with the default.
    """
    assert REGIONS["north-america"].frequency_hz == 60
    return print_without_browser(
        tmp_path_factory.mktemp("large"), ("A07",), Look(large=True), region="north-america"
    )


@pytest.fixture(scope="module")
def read_ac_at_60_hz() -> str:
    """Return one lesson as the page for normal print that goes with the one in large print."""
    return lesson_page(folder("course") / f"{READ_AC}.ipynb", Look(), region="north-america")


def test_pages_open_whole_quiet_and_accessible(printed: Path, browser: Any, axe: Any) -> None:
    """No request leaves the page, no error is logged, nothing runs off the screen, axe finds nothing serious."""
    ARTIFACTS.mkdir(exist_ok=True)
    findings = []
    pages = sorted(printed.glob("*.html"))
    assert len(pages) == len(lesson_names()) + 2 * len(WORKSHEETS)
    for path in pages:
        requests: list[str] = []
        errors: list[str] = []
        page = browser.new_page(viewport={"width": 1366, "height": 768})
        page.on("request", lambda request, seen=requests: seen.append(request.url))
        page.on("console", lambda message, seen=errors: message.type == "error" and seen.append(message.text))
        page.on("pageerror", lambda error, seen=errors: seen.append(str(error)))
        page.goto(path.as_uri())
        asked_for = [url for url in requests if url != path.as_uri() and not url.startswith("data:")]
        assert (path.name, asked_for, errors) == (path.name, [], [])
        width = page.evaluate("document.documentElement.scrollWidth")
        assert (path.name, width) == (path.name, 1366)
        if path.stem in lesson_names() or path.stem.endswith("A07"):
            page.screenshot(path=ARTIFACTS / f"printed-{path.stem}.png")
        findings += [(path.name, found) for found in axe(page) if found.impact in NEEDS_ATTENTION]
        page.close()
    assert findings == []


def test_axe_finds_what_is_wrong(browser: Any, axe: Any) -> None:
    """A page that is known to be wrong, so that a silent axe is noticed."""
    page = browser.new_page()
    page.set_content(
        '<html><body><main><img src="data:,"><p style="color: #ddd">faint</p></main></body></html>'
    )
    assert {"image-alt", "html-has-lang", "color-contrast"} <= {found.rule for found in axe(page)}
    page.close()


def test_no_address_is_loaded_by_any_page(printed: Path) -> None:
    for path in printed.glob("*.html"):
        soup = BeautifulSoup(path.read_text(encoding="utf-8"), "html.parser")
        loaded = [str(tag.get("src") or tag.get("data")) for tag in soup.select("[src], object[data]")]
        assert (path.name, [address for address in loaded if not address.startswith("data:")]) == (
            path.name,
            [],
        )
        assert soup.select("script, link, iframe, [onclick]") == []
        styles = [str(style.string) for style in soup.find_all("style")]
        styles += [str(tag["style"]) for tag in soup.select("[style]")]
        assert [
            style for style in styles if re.search(r"""@import|url\(["']?(?!["']?(data:|#))""", style)
        ] == []


@pytest.mark.parametrize("name", lesson_names())
def test_every_lesson_is_whole_on_its_page(printed: Path, name: str) -> None:
    notebook = json.loads((folder("course") / f"{name}.ipynb").read_text(encoding="utf-8"))
    sources = ["".join(cell["source"]) for cell in notebook["cells"]]
    soup = BeautifulSoup((printed / f"{name}.html").read_text(encoding="utf-8"), "html.parser")
    text = soup.get_text()
    headings = [
        line.lstrip("# ")
        for cell, source in zip(notebook["cells"], sources, strict=True)
        if cell["cell_type"] == "markdown" and cell["id"] != "how-to-use"
        for line in source.splitlines()
        if re.match("#+ ", line)
    ]
    shown = [heading.get_text() for heading in soup.find_all(re.compile("^h[1-6]$"))]
    assert [heading for heading in headings if re.sub("[*_`]", "", heading) not in shown] == []
    for image in soup.find_all("img"):
        assert str(image["alt"]).strip()
    code = "\n".join(
        source for cell, source in zip(notebook["cells"], sources, strict=True) if cell["cell_type"] == "code"
    )
    asked = len(re.findall(r"^quick_question\(", code, re.M))
    assert len(soup.select(".acpower-question")) == asked
    if asked:
        assert len(soup.select(".acpower-question ~ .acpower-answer, li.acpower-answer")) == asked
    panels = len(re.findall(r"^(?!practise)\w+_panel\(\)$", code, re.M))  # that one has no picture
    assert len(soup.select("figure svg[role=img]")) >= panels
    assert "Traceback" not in text
    assert "VBox(" not in text


@pytest.mark.parametrize("worksheet", WORKSHEETS.values(), ids=list(WORKSHEETS))
def test_worksheet_has_personal_numbers_questions_boxes_and_no_answer(worksheet: Any) -> None:
    soup = BeautifulSoup(worksheet_page(worksheet, "A07", Look()), "html.parser")
    card = worksheet.card("A07")
    job_card = soup.find("table")  # a question may have one of its own
    assert job_card is not None
    rows = [[cell.get_text() for cell in row.find_all(["th", "td"])] for row in job_card.select("tbody tr")]
    assert rows == [[entry.label, str(card.values[entry.name]), entry.unit] for entry in worksheet.entries]
    sections = soup.select("section.question")
    assert len(sections) == len(worksheet.questions)
    for number, (section, question) in enumerate(zip(sections, worksheet.questions, strict=True), start=1):
        heading = section.select_one("h2")
        assert heading is not None
        marks = f"({question.marks} mark{'s' if question.marks > 1 else ''})"
        assert heading.get_text() == f"{number}. {question.title} {marks}"
        assert len(section.find_all("p")) >= 3  # the question itself and what stands in its box
        (box,) = section.select(".answer")
        words = box.get_text(" ", strip=True)
        if isinstance(question, Choice):
            assert words == " ".join(["Working:", *(f"☐ {option}" for option in question.options)])
        elif isinstance(question, Number):
            assert words == f"Working: Answer: {question.unit}".strip()
        else:
            assert words == "Working: Answer:"
    text = soup.get_text(" ")
    assert not re.search(r"three dots|Shift|\bcell\b|\breturn\b|job\.card|record\(|import ", text)
    assert soup.find_all(["code", "pre", "a"]) == []


def test_two_apprentices_get_different_numbers(printed: Path) -> None:
    for name in WORKSHEETS:
        mine, yours = (
            (printed / f"{name}_{who}.html").read_text(encoding="utf-8").replace(who, "")
            for who in ("A07", "B12")
        )
        assert mine != yours
        assert Path(file_name(name, "A07")).stem + ".html" in {path.name for path in printed.iterdir()}


@pytest.mark.parametrize(
    ("look", "width_mm", "height_mm"), [(Look("a4"), 210, 297), (Look("letter", large=True), 215.9, 279.4)]
)
def test_pdf_has_the_chosen_paper(tmp_path: Path, look: Look, width_mm: float, height_mm: float) -> None:
    """Sizes of paper: ISO 216 (A4), ASME Y14.1 (letter)."""
    browser = find_browser()
    if browser is None:
        pytest.skip("needs Debian's package chromium: apt-get install chromium")
    page = tmp_path / "sheet.html"
    page.write_text(worksheet_page(WORKSHEETS["charging-power"], "A07", look), encoding="utf-8")
    assert write_pdf(browser, page, tmp_path / "sheet.pdf")
    raw = (tmp_path / "sheet.pdf").read_bytes()
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", raw)
    assert len(boxes) >= 3
    for width, height in boxes:
        assert float(width) == pytest.approx(width_mm / 25.4 * 72, abs=1)
        assert float(height) == pytest.approx(height_mm / 25.4 * 72, abs=1)


def test_large_print_is_large_on_paper_and_in_pictures(printed_large: Path, read_ac_at_60_hz: str) -> None:
    """18 point for large print is common practice, no source."""
    normal, large = read_ac_at_60_hz, (printed_large / f"{READ_AC}.html").read_text(encoding="utf-8")
    assert "font-size: 11pt" in normal
    assert "font-size: 18pt" in large
    sizes = [set(re.findall(r"<svg[^>]* font-size=[\"'](\d+)", page)) for page in (normal, large)]
    assert sizes[1] == {"18"}
    assert max(map(int, sizes[0])) < 18


PAPER_WIDTH = 680  # CSS pixels between the margins: 180 mm of A4; letter is wider
BEYOND_THE_PAPER = """(edge) => [...document.querySelectorAll("main *")].filter((part) =>
  !part.closest("svg") && part.getBoundingClientRect().right > edge + 1
).map((part) => part.tagName + ": " + part.textContent.slice(0, 40))"""


@pytest.mark.parametrize("large", [False, True], ids=["normal", "large"])
def test_nothing_leaves_the_paper(printed: Path, printed_large: Path, browser: Any, large: bool) -> None:
    page = browser.new_page(viewport={"width": PAPER_WIDTH, "height": 960})
    page.emulate_media(media="print")
    beyond = {}
    for path in sorted((printed_large if large else printed).glob("*.html")):
        page.goto(path.as_uri())
        beyond[path.name] = page.evaluate(BEYOND_THE_PAPER, PAPER_WIDTH)
    page.close()
    assert len(beyond) > 10
    assert {name: found for name, found in beyond.items() if found} == {}


def test_wide_tables_keep_every_value_in_large_print(printed_large: Path, read_ac_at_60_hz: str) -> None:
    page = (printed_large / f"{READ_AC}.html").read_text(encoding="utf-8")
    normal, large = (BeautifulSoup(text, "html.parser") for text in (read_ac_at_60_hz, page))
    values = [cell.get_text() for cell in normal.select("table tbody tr > *")]
    assert len(values) > 40
    told = [item.get_text().split(": ", 1)[1] for item in large.select("ul.row > li")]
    kept = [cell.get_text() for cell in large.select("table tbody tr > *")]
    assert sorted(told + kept) == sorted(values)


def test_region_of_the_lessons_is_the_one_asked_for(printed_large: Path) -> None:
    assert "60 Hz" in (printed_large / f"{READ_AC}.html").read_text(encoding="utf-8")


def test_a_lesson_that_stops_is_told_and_the_others_are_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    course = tmp_path / "course"
    course.mkdir()

    def write(name: str, code: str) -> None:
        cells = [
            {"cell_type": "markdown", "id": "title", "metadata": {}, "source": f"# {name}"},
            {
                "cell_type": "code",
                "id": "numbers",
                "metadata": {},
                "source": code,
                "execution_count": None,
                "outputs": [],
            },
        ]
        content = {"cells": cells, "metadata": {}, "nbformat": 4, "nbformat_minor": 5}
        (course / f"{name}.ipynb").write_text(json.dumps(content), encoding="utf-8")

    write("01-broken", "1 / 0")
    write("02-whole", "print(6 * 7)")
    monkeypatch.setattr(print_room.notebooks, "folder", lambda name: course)
    monkeypatch.setattr(print_room, "find_browser", lambda: "browser")
    monkeypatch.setattr(print_room, "write_pdf", lambda *_: False)
    seen: list[tuple[int, int]] = []
    done = print_out(
        lesson_names(), [], (), tmp_path / "out", Look(), progress=lambda *so_far: seen.append(so_far)
    )
    assert [path.name for path in done.pages] == ["02-whole.html"]
    assert done.pdfs == ()
    assert "its cell “numbers” stops with ZeroDivisionError" in done.problems[0]
    assert done.problems[1].startswith("02-whole.pdf could not be made. Open 02-whole.html in a browser")
    assert seen == [(1, 2), (2, 2)]
    assert "42" in (tmp_path / "out" / "02-whole.html").read_text(encoding="utf-8")


def test_a_browser_that_fails_leaves_no_old_pdf(tmp_path: Path) -> None:
    (tmp_path / "page.pdf").write_bytes(b"an older print")
    assert not write_pdf(sys.executable, tmp_path / "page.html", tmp_path / "page.pdf")
    assert not (tmp_path / "page.pdf").exists()
    assert not write_pdf(str(tmp_path / "no-such-program"), tmp_path / "page.html", tmp_path / "page.pdf")


def test_no_browser_is_looked_for_in_the_folder_at_hand():
    assert [one for one in page_room._BROWSERS if "/" in one and not Path(one).root] == []


def test_no_browser_is_found_where_there_is_none(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(page_room.shutil, "which", lambda name: None)
    assert find_browser() is None


def test_print_from_the_command_line(tmp_path: Path) -> None:
    if find_browser() is None:
        pytest.skip("needs Debian's package chromium: apt-get install chromium")
    write_register(tmp_path / "class.csv", "A01", "A02")
    done = acpower("print", "read-ac", "--register", "class.csv", "--to", "out", cwd=tmp_path)
    assert done.returncode == 0, done.stdout + done.stderr
    assert ": 2 HTML pages and 2 PDF files." in done.stdout
    assert "2/2 pages" in done.stderr  # the progress bar
    names = [
        "read-ac_A01.html",
        "read-ac_A01.pdf",
        "read-ac_A02.html",
        "read-ac_A02.pdf",
        "read-ac_paper.csv",
    ]
    assert sorted(path.name for path in (tmp_path / "out").iterdir()) == names
    write_register(tmp_path / "class.csv", "A01", "A02", "A02")
    again = acpower("print", "read-ac", "--register", "class.csv", "--to", "out", cwd=tmp_path)
    assert again.returncode == 1
    assert "lists the id “A02” 2 times" in again.stdout


def test_ctrl_c_ends_the_kernel_too_and_without_a_traceback(tmp_path: Path) -> None:
    process = start_acpower("print", "02-read-ac", "09-predict-the-charge-time", "--to", "out", cwd=tmp_path)
    deadline = time.monotonic() + 60
    while not (kernels := psutil.Process(process.pid).children(recursive=True)):
        assert time.monotonic() < deadline
        assert process.poll() is None
        time.sleep(0.1)
    check_that_ctrl_c_ends(process)
    deadline = time.monotonic() + 10  # a busy machine lets it end a moment after the command
    while any(runs(kernel) for kernel in kernels):
        assert time.monotonic() < deadline
        time.sleep(0.1)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["print", "welding"], "no lesson and no worksheet 'welding'"),
        (["print", "read-ac"], "Give the class list as well"),
        (["print", "02-read-ac", "--register", "class.csv"], "only lessons were named"),
        (["print", "read-ac", "--register", "none.csv"], "The register none.csv cannot be read"),
        (["print", "02-read-ac", "--region", "atlantis"], "atlantis"),
        (["print", "02-read-ac", "--paper", "a3"], "invalid choice: 'a3'"),
        (["print", "02-read-ac", "--to", "class.csv"], "is a file where a folder is needed"),
        (["print", "02-read-ac", "--to", ""], "a path is needed"),
    ],
)
def test_a_wrong_call_ends_with_2_and_nothing_written(tmp_path: Path, words: list[str], says: str) -> None:
    write_register(tmp_path / "class.csv", "A01")
    done = acpower(*words, cwd=tmp_path)
    assert done.returncode == 2
    assert says in done.stderr
    assert "Traceback" not in done.stderr
    assert [path.name for path in tmp_path.iterdir()] == ["class.csv"]
