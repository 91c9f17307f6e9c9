"""The Python that runs in the browser: Pyodide's own files, and the packages of the course.

`pyodide.json` says which files of Pyodide are used, with their SHA-256: only these exact files get into
a site, wherever they were found. The packages of the course are taken from this installation.
"""

import json
from collections.abc import Iterable, Iterator
from hashlib import sha256
from importlib.metadata import PackagePath, distribution
from io import BytesIO
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile, ZipInfo

from acpower.marking.user_mistake import UserMistake
from acpower.notebooks import folder

_PACKAGE = Path(__file__).parents[1]
_PYODIDE: dict[str, Any] = json.loads((Path(__file__).parent / "pyodide.json").read_text(encoding="utf-8"))

PYODIDE_VERSION: str = _PYODIDE["version"]
LOADED_AT_START = (
    "ssl",
    "sqlite3",
    "ipykernel",
    "comm",
    "pyodide_kernel",
    "jedi",
    "ipython",
    "micropip",
    "piplite",
)
"""What the kernel would otherwise look for on the internet before it starts."""

_NEEDS = {
    "acpower": ["numpy", "matplotlib", "anywidget", "beautifulsoup4", "ipywidgets", "mistune"],
    "anywidget": ["ipywidgets", "psygnal", "typing-extensions"],
    "beautifulsoup4": ["soupsieve", "typing-extensions"],
    "comm": [],
    "ipywidgets": ["comm", "ipython", "traitlets"],
    "mistune": [],
    "psygnal": [],
    "soupsieve": [],
    "typing-extensions": [],
}
"""Packages of this installation that the lessons and worksheets use in the browser, and what each needs."""

_KERNEL_NEEDS = {
    "ipykernel": [],
    "piplite": ["micropip"],
    "pyodide-kernel": ["comm", "ipython", "ipykernel"],
}
"""Packages that the kernel's extension of JupyterLab brings along."""

_COMPILED = (".so", ".pyd", ".pyc")  # for this machine; each such module has its Python source beside it
_ONE_DATE = (2020, 1, 1, 0, 0, 0)  # the same site gives the same bytes


def write_kernel(place: Path, pyodide: Path, extension: Path) -> None:
    """Write everything that the kernel loads into a new folder.

    Parameters
    ----------
    place
        The folder; it is made.
    pyodide
        A folder that holds the files of Pyodide, at any depth.
    extension
        The folder of the kernel's extension of JupyterLab, with its wheels.

    Raises
    ------
    UserMistake
        If a file of Pyodide is missing, or is not the one of this version.
    """
    found = _found(pyodide)
    place.mkdir(parents=True)
    for name, path in found.items():
        (place / name).write_bytes(path.read_bytes())
    packages = dict(_PYODIDE["packages"])
    packages["matplotlib"] |= {"sha256": _mend_font_list(place / packages["matplotlib"]["file_name"])}
    for name, needs in _NEEDS.items():
        files = _acpower_files() if name == "acpower" else _installed_files(name)
        packages[name] = _entry(name, needs, _write_wheel(place, name, files))
    for name, needs in _KERNEL_NEEDS.items():
        [source] = extension.rglob(f"{name.replace('-', '_')}-*.whl")
        wheel = place / source.name
        wheel.write_bytes(source.read_bytes())
        packages[name] = _entry(name, needs, wheel)
    lock = {"info": _PYODIDE["info"], "packages": packages}
    (place / "pyodide-lock.json").write_text(json.dumps(lock), encoding="utf-8")


def _found(pyodide: Path) -> dict[str, Path]:
    """Return where each file of Pyodide lies, or say which ones are not to be had there."""
    wanted = _PYODIDE["core"] | {one["file_name"]: one["sha256"] for one in _PYODIDE["packages"].values()}
    found = {
        path.name: path
        for path in sorted(pyodide.rglob("*"))
        if path.name in wanted and path.is_file() and _sha256(path) == wanted[path.name]
    }
    missing = sorted(wanted.keys() - found.keys())
    if missing:
        raise UserMistake(
            f"{pyodide} lacks {len(missing)} of the {len(wanted)} files of Pyodide {PYODIDE_VERSION} that a site "
            f"needs, or holds others of the same name: {', '.join(missing)}. Give the folder into which the "
            f"whole of Pyodide {PYODIDE_VERSION} was unpacked."
        )
    return found


def _mend_font_list(wheel: Path) -> str:
    """Let matplotlib use the list of fonts in its wheel, and return the wheel's new SHA-256.

    The list bears the version of a later matplotlib. So each lesson would make its own list, and say
    so above its first picture.
    """
    with ZipFile(BytesIO(wheel.read_bytes())) as made, ZipFile(wheel, "w") as mended:
        for file in made.infolist():
            content = made.read(file)
            if file.filename == "matplotlib/fontlist.json":
                content = content.replace(b'"_version": 390', b'"_version": 330')
            mended.writestr(file, content)
    return _sha256(wheel)


def _acpower_files() -> Iterator[tuple[str, Path]]:
    """Return the package and the worksheets, which the page to practise reads; the worked sheets stay out."""
    for path in sorted(_PACKAGE.rglob("*")):
        inside = path.relative_to(_PACKAGE)
        if path.is_file() and inside.parts[0] != "_notebooks" and "__pycache__" not in inside.parts:
            yield f"acpower/{inside.as_posix()}", path
    for path in sorted(folder("exercises").glob("*.ipynb")):
        yield f"acpower/_notebooks/exercises/{path.name}", path


def _installed_files(name: str) -> Iterator[tuple[str, Path]]:
    """Return the Python source of an installed package, without what was compiled for this machine."""
    files: Iterable[PackagePath] = distribution(name).files or ()
    for file in files:
        inside = file.as_posix()
        if not inside.startswith("..") and ".dist-info/" not in inside and not inside.endswith(_COMPILED):
            yield inside, Path(str(file.locate()))


def _write_wheel(place: Path, name: str, files: Iterable[tuple[str, Path]]) -> Path:
    """Put files into a wheel, which is what the browser can unpack."""
    installed = distribution(name)
    full_name = f"{name.replace('-', '_')}-{installed.version}"
    wheel = place / f"{full_name}-py3-none-any.whl"
    with ZipFile(wheel, "w") as archive:
        for inside, path in files:
            archive.writestr(ZipInfo(inside, _ONE_DATE), path.read_bytes(), ZIP_DEFLATED)
        metadata = f"Metadata-Version: 2.1\nName: {name}\nVersion: {installed.version}\n"
        archive.writestr(ZipInfo(f"{full_name}.dist-info/METADATA", _ONE_DATE), metadata)
    return wheel


def _entry(name: str, needs: list[str], wheel: Path) -> dict[str, Any]:
    """Return what the lock file of Pyodide says of a wheel of ours."""
    with ZipFile(wheel) as archive:
        tops = {inside.split("/")[0].removesuffix(".py") for inside in archive.namelist()}
    return {
        "name": name,
        "version": wheel.name.split("-")[1],
        "file_name": wheel.name,
        "install_dir": "site",
        "sha256": _sha256(wheel),
        "package_type": "package",
        "imports": sorted(top for top in tops if "." not in top),
        "depends": needs,
        "unvendored_tests": False,
    }


def _sha256(path: Path) -> str:
    return sha256(path.read_bytes()).hexdigest()
