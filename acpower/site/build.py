"""Build the site: a folder that any web server can hand out, and that asks no other computer for anything."""

import json
import shutil
import subprocess
import sys
from dataclasses import dataclass
from importlib.util import find_spec
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import jinja2

from acpower.marking.places import check_place
from acpower.marking.user_mistake import UserMistake
from acpower.notebooks import folder
from acpower.site.kernel import LOADED_AT_START, write_kernel
from acpower.worksheets.schemes import WORKSHEETS

_STUDY_SETTINGS = Path(__file__).parents[1] / "jupyter" / "labconfig" / "default_setting_overrides.json"
_KERNEL = "@jupyterlite/pyodide-kernel-extension"
_LEFT_OUT = shutil.ignore_patterns("instructor.ipynb", ".*")
"""The instructor's page marks classes, which needs an installation."""


@dataclass(frozen=True)
class Page:
    """A notebook of the site: where it lies, and its title."""

    path: str
    title: str


def build_site(directory: Path, pyodide: Path) -> int:
    """Build the site in a new folder and return its size in bytes.

    Parameters
    ----------
    directory
        The new folder.
    pyodide
        A folder that holds the files of Pyodide, at any depth.

    Raises
    ------
    UserMistake
        If the folder cannot be made, what builds sites is not installed, or files of Pyodide are missing.
    """
    check_place(directory)
    if directory.exists():
        raise UserMistake(f"{directory} is there already. Give the name of a new folder.")
    if not pyodide.is_dir():
        raise UserMistake(f"{pyodide} is no folder. Give the folder into which Pyodide was unpacked.")
    if find_spec("jupyterlite_pyodide_kernel") is None:
        raise UserMistake('What builds sites is not installed. Install it with: pip install "acpower[site]"')
    extension = Path(sys.prefix) / "share" / "jupyter" / "labextensions" / _KERNEL
    with TemporaryDirectory() as scratch:
        parts = Path(scratch)
        write_kernel(parts / "static" / "pyodide", pyodide, extension)
        for name in ("course", "exercises"):
            shutil.copytree(folder(name), parts / "files" / name, ignore=_LEFT_OUT)
        _write_json(parts / "jupyter-lite.json", _configuration())
        _write_json(parts / "overrides.json", _settings())
        _run_builder(parts, directory)
    _write_start_page(directory / "index.html")
    return sum(path.stat().st_size for path in directory.rglob("*") if path.is_file())


def _configuration() -> dict[str, Any]:
    return {
        "jupyter-lite-schema-version": 0,
        "jupyter-config-data": {
            "appName": "acpower",
            "disabledExtensions": ["@jupyterlab/application-extension:faviconbusy"],
            "litePluginSettings": {
                f"{_KERNEL}:kernel": {
                    "disablePyPIFallback": True,
                    "loadPyodideOptions": {"packages": LOADED_AT_START},
                }
            },
        },
    }


def _settings() -> dict[str, Any]:
    """Return the settings of `acpower study`, and that no page asks which kernel it shall use: there is one."""
    settings: dict[str, Any] = json.loads(_STUDY_SETTINGS.read_text(encoding="utf-8"))
    return settings | {
        "@jupyterlab/notebook-extension:tracker": {"autoStartDefaultKernel": True, "windowingMode": "defer"}
    }


def _run_builder(parts: Path, directory: Path) -> None:
    command = [
        *(sys.executable, "-m", "jupyterlite_core", "build"),
        *("--lite-dir", str(parts)),
        *("--contents", str(parts / "files")),
        *("--output-dir", str(directory.resolve())),
        *("--apps", "lab"),
        "--no-sourcemaps",
        "--no-unused-shared-packages",
        "--no-libarchive",
    ]
    done = subprocess.run(command, cwd=parts, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise UserMistake(f"The site could not be built. The builder says:\n{done.stdout}{done.stderr}")


def _write_start_page(path: Path) -> None:
    lessons = sorted(folder("course").glob("[0-9]*.ipynb"))
    others = [folder("course") / "practise.ipynb", folder("course") / "glossary.ipynb"]
    worksheets = [folder("exercises") / f"{name}.ipynb" for name in WORKSHEETS]
    templates = jinja2.Environment(
        loader=jinja2.PackageLoader("acpower.site"), autoescape=True, undefined=jinja2.StrictUndefined
    )
    page = templates.get_template("start.html").render(
        lessons=map(_page, lessons), others=map(_page, others), worksheets=map(_page, worksheets)
    )
    path.write_text(page, encoding="utf-8")


def _page(notebook: Path) -> Page:
    first_line = json.loads(notebook.read_text(encoding="utf-8"))["cells"][0]["source"][0]
    return Page(f"{notebook.parent.name}/{notebook.name}", first_line.removeprefix("# ").strip())


def _write_json(path: Path, content: dict[str, Any]) -> None:
    path.write_text(json.dumps(content), encoding="utf-8")
