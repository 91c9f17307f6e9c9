"""Find the notebooks and keep them in one canonical form.

Canonical form: format 4.5, no outputs, no execution counts, the cell ids that the author
chose, pasted pictures, one fixed kernel entry, no other metadata than the tags and our own
``acpower`` entry.

Run ``python -m acpower.notebooks`` to rewrite every notebook of the repository into it.
"""

import argparse
import json
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

_PACKAGE = Path(__file__).parent
_METADATA = {
    "kernelspec": {"display_name": "Python 3", "language": "python", "name": "python3"},
    "language_info": {"name": "python"},
}
_CELL_KEYS = ("tags", "acpower")


def folder(name: str) -> Path:
    """Return the folder ``course``, ``exercises`` or ``solutions``.

    In a clone it stands beside the package; an installed wheel carries ``course`` and
    ``exercises`` inside the package.

    >>> folder("course").is_dir()
    True
    """
    installed = _PACKAGE / "_notebooks" / name
    return installed if installed.is_dir() else _PACKAGE.parent / name


def canonical(notebook: dict[str, Any]) -> str:
    """Return the canonical text of a notebook given as parsed JSON.

    >>> print(canonical({"cells": [], "metadata": {"widgets": {}}})[:27])
    {
     "cells": [],
     "metadata"
    """
    metadata: dict[str, Any] = dict(_METADATA)
    if "acpower" in notebook["metadata"]:
        metadata = {"acpower": notebook["metadata"]["acpower"], **metadata}
    clean = {
        "cells": [_canonical_cell(cell) for cell in notebook["cells"]],
        "metadata": metadata,
        "nbformat": 4,
        "nbformat_minor": 5,
    }
    return json.dumps(clean, ensure_ascii=False, indent=1, sort_keys=True) + "\n"


def _canonical_cell(cell: dict[str, Any]) -> dict[str, Any]:
    source = cell["source"] if isinstance(cell["source"], str) else "".join(cell["source"])
    clean: dict[str, Any] = {
        "cell_type": cell["cell_type"],
        "id": cell["id"],
        "metadata": {key: cell["metadata"][key] for key in _CELL_KEYS if key in cell["metadata"]},
        "source": source.splitlines(keepends=True),
    }
    if "attachments" in cell:  # pictures that were pasted into the text
        clean["attachments"] = cell["attachments"]
    if cell["cell_type"] == "code":
        clean |= {"execution_count": None, "outputs": []}
    return clean


def main(arguments: Sequence[str] | None = None) -> int:
    """Rewrite notebooks into canonical form; return the exit code, 1 where one cannot be read."""
    parser = argparse.ArgumentParser(prog="python -m acpower.notebooks", description=main.__doc__)
    parser.add_argument("notebooks", nargs="*", type=Path, help="default: every notebook of the repository")
    chosen = parser.parse_args(arguments).notebooks
    everything = [p for name in ("course", "exercises", "solutions") for p in folder(name).glob("*.ipynb")]
    code = 0
    for path in chosen or everything:
        try:
            before = path.read_text(encoding="utf-8")
            after = canonical(json.loads(before))
        except OSError as problem:
            print(f"{path} cannot be read ({problem.strerror}). Check the path.", file=sys.stderr)
            code = 1
        except (ValueError, KeyError, TypeError):
            says = f"{path} is no notebook whose cells have ids. Save it anew with JupyterLab."
            print(says, file=sys.stderr)
            code = 1
        else:
            if after != before:
                path.write_text(after, encoding="utf-8", newline="\n")
                print(f"rewritten: {path}")
    return code


if __name__ == "__main__":
    sys.exit(main())
