"""One page: its look on screen and paper, and its way into a PDF file."""

import os
import shutil
import subprocess
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import jinja2

PAPERS = {"a4": "A4", "letter": "letter"}
_ON_WINDOWS = ("Microsoft/Edge/Application/msedge.exe", "Google/Chrome/Application/chrome.exe")
_BROWSERS = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "microsoft-edge",
    *(
        os.path.join(os.environ[base], place)
        for base in ("ProgramFiles", "ProgramFiles(x86)")
        if base in os.environ  # else the place would be looked for in the folder at hand
        for place in _ON_WINDOWS
    ),
    "/Applications/Chromium.app/Contents/MacOS/Chromium",
    "/Applications/Google Chrome.app/Contents/MacOS/Google Chrome",
    "/Applications/Microsoft Edge.app/Contents/MacOS/Microsoft Edge",
)
"""Browsers that can print without a window: names on the path, then the usual places."""

_WITHOUT_A_WINDOW = (
    "--headless",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-pdf-header-footer",
)


@dataclass(frozen=True)
class Look:
    """How pages are laid out: the paper, a key of ``PAPERS``, and whether the print is large."""

    paper: str = "a4"
    large: bool = False


@cache
def templates() -> jinja2.Environment:
    """Return the page templates; everything put into them is escaped. Rules for paper are those of reports."""
    return jinja2.Environment(
        loader=jinja2.ChoiceLoader(
            [jinja2.PackageLoader("acpower.printing"), jinja2.PackageLoader("acpower.marking")]
        ),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        undefined=jinja2.StrictUndefined,
    )


def whole_page(title: str, foot: str, body: str, look: Look) -> str:
    """Return a page that holds all it shows and asks no other computer for anything.

    Parameters
    ----------
    title
        Title of the page.
    foot
        What stands at the foot of each printed page: plain words, letters, digits and hyphens.
    body
        HTML of the page.
    look
        Paper and size of print.
    """
    return (
        templates()
        .get_template("page.html")
        .render(title=title, foot=foot, body=body, paper=PAPERS[look.paper], large=look.large)
    )


def find_browser() -> str | None:
    """Return a browser of this computer that can make a PDF without a window, or None."""
    return next(filter(None, map(shutil.which, _BROWSERS)), None)


def write_pdf(browser: str, page: Path, pdf: Path, seconds: float = 120) -> bool:
    """Print a page into a PDF file, and say whether that worked.

    The browser gets a profile of its own, so one that is open on the screen is left alone.
    """
    as_root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    pdf.unlink(missing_ok=True)
    with TemporaryDirectory(prefix="acpower-print-", ignore_cleanup_errors=True) as profile:
        command = [browser, *_WITHOUT_A_WINDOW, *as_root, f"--user-data-dir={profile}"]
        try:
            subprocess.run(
                [*command, f"--print-to-pdf={pdf.resolve()}", page.resolve().as_uri()],
                stdin=subprocess.DEVNULL,
                capture_output=True,
                timeout=seconds,
                check=True,
            )
        except (OSError, subprocess.SubprocessError):
            return False
    return pdf.is_file()
