"""Look for input that a reader of handed-in files does not stand, guided by coverage. Run by hand.

atheris is not among the packages of the tests, because it has no wheel for every machine::

    .venv/bin/pip install atheris
    .venv/bin/python tests/fuzz_reading.py notebook -max_total_time=120

The first word is one of the readers in ``readers.py``; what follows goes to libFuzzer. It begins with valid
content, mutates it, and stops at the first fault, whose bytes it keeps in a file ``crash-…``.
"""

import sys
import tempfile
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["acpower"]):
    from readers import READERS, examples


def main() -> None:
    """Run one reader."""
    if len(sys.argv) < 2 or sys.argv[1] not in READERS:
        sys.exit(f"Give one of: {', '.join(READERS)}.")
    name = sys.argv[1]
    place = Path(tempfile.mkdtemp(prefix="acpower-fuzz-"))
    corpus, scratch = place / "corpus", place / "scratch"
    corpus.mkdir()
    scratch.mkdir()
    for number, content in enumerate(examples(place / "examples")[name]):
        (corpus / str(number)).write_bytes(content)
    read = READERS[name]
    options = ["-timeout=10", "-max_len=65536", *sys.argv[2:]]
    atheris.Setup([sys.argv[0], *options, str(corpus)], lambda data: read(scratch, data))
    atheris.Fuzz()


if __name__ == "__main__":
    main()
