"""Everything that reads what people hand in, each with the refusals that it documents.

For ``test_reading_properties.py`` and ``fuzz_reading.py``. A reader takes a scratch folder and any bytes. It ends
quietly where the bytes are read or refused as documented; any other exception is a fault, and so is a text that
is empty, endless or cannot be written into a file.
"""

import json
from collections.abc import Callable, Mapping
from pathlib import Path

from classroom import WORKSHEET, issued

from acpower import notebooks
from acpower.marking.changes import read_changes
from acpower.marking.hand_out import file_name
from acpower.marking.mark import mark_class
from acpower.marking.paper import take_in_paper, write_paper_form
from acpower.marking.record import differences, write_record
from acpower.marking.register import Register, read_register
from acpower.marking.run import Limits
from acpower.marking.submission import Submission
from acpower.marking.take_in import take_in
from acpower.marking.term_key import read_term_key
from acpower.marking.user_mistake import UserMistake
from acpower.recording import power_readings, read_recording
from acpower.worksheets.answers import NotReadable, answer_from_data, answer_from_value, read_number
from acpower.worksheets.practice_file import NAME, PracticeFile

LONGEST_MESSAGE = 1000
REGISTER = Register(("A01",), {}, ())
POWER_UNITS = {"kW": 1.0, "W": 0.001, "": 1.0}
ENERGY_UNITS = {"MJ": 1.0, "J": 0.000001}  # milli and mega may be taken for each other
HOUR_UNITS = {"h": 1.0, "min": 1 / 60}  # clocks write them in another way


def check_text(text: str) -> None:
    """Refuse a text that nobody could read or that no file could hold."""
    assert 0 < len(text) <= LONGEST_MESSAGE
    text.encode("utf-8")


def check_submission(one: Submission) -> None:
    """Refuse a submission that could not go on record, or that does not say why it is not marked."""
    assert one.status in ("accepted", "query", "refused", "missing")
    assert bool(one.says) == bool(one.code) == (one.status != "accepted")
    for text in (one.file, one.says or "-", *one.cells):
        text.encode("utf-8")
    assert len(one.file) <= LONGEST_MESSAGE
    assert len(one.says) <= LONGEST_MESSAGE


def _written(folder: Path, name: str, content: bytes) -> Path:
    path = folder / name
    path.write_bytes(content)
    return path


def notebook(folder: Path, content: bytes) -> None:
    """Take one notebook in."""
    _written(folder, file_name(WORKSHEET.name, "A01"), content)
    (one,) = take_in(folder, REGISTER)
    check_submission(one)


def _table(read: Callable[[Path], object]) -> Callable[[Path, bytes], None]:
    def reader(folder: Path, content: bytes) -> None:
        try:
            read(_written(folder, "file.txt", content))
        except UserMistake as mistake:
            check_text(str(mistake))

    return reader


def _register(path: Path) -> None:
    for problem in read_register(path).problems:
        check_text(problem)


def paper(folder: Path, content: bytes) -> None:
    """Take a file of answers from paper in."""
    path = _written(folder, f"{WORKSHEET.name}_paper.csv", content)
    for one in take_in_paper(path, path.name, REGISTER, None):
        check_submission(one)


def recording(folder: Path, content: bytes) -> None:
    """Read a recording and work it out."""
    try:
        found = read_recording(_written(folder, "recording.csv", content))
        power_readings(found)
    except ValueError as problem:
        check_text(str(problem))


def practice(folder: Path, content: bytes) -> None:
    """Read the practice file; one that is damaged is set aside, and the next panel begins anew."""
    _written(folder, NAME, content)
    for notice in PracticeFile(folder).notices:
        check_text(notice)
    for path in folder.iterdir():
        path.unlink()


def number(folder: Path, content: bytes) -> None:
    """Read a typed answer as a number, in units of every kind."""
    try:
        typed = answer_from_value(content.decode("utf-8", "surrogatepass"))
    except UnicodeDecodeError:
        return
    for units in (POWER_UNITS, ENERGY_UNITS, HOUR_UNITS):
        try:
            read_number(typed, units)
        except NotReadable as problem:
            check_text(str(problem))


def answer(folder: Path, content: bytes) -> None:
    """Read what a notebook claims to have recorded; whatever is taken can be taken again."""
    try:
        data = json.loads(content)
    except (ValueError, RecursionError):
        return
    try:
        found = answer_from_data(data)
    except ValueError as problem:
        check_text(str(problem))
    else:
        assert answer_from_data(json.loads(json.dumps(found.as_data()))) == found


READERS: Mapping[str, Callable[[Path, bytes], None]] = {
    "notebook": notebook,
    "register": _table(_register),
    "paper": paper,
    "changes": _table(read_changes),
    "term-key": _table(read_term_key),
    "record": _table(differences),
    "recording": recording,
    "practice": practice,
    "number": number,
    "answer": answer,
}


def examples(place: Path) -> Mapping[str, list[bytes]]:
    """Return valid content for each reader: what mutation begins with."""
    to = place / "taken-in"
    to.mkdir(parents=True)
    register = place / "register.csv"
    register.write_text("id,name\nA01,Invented One\n", encoding="utf-8")
    form = write_paper_form(WORKSHEET, ("A01",), to)
    header, line, *_ = form.read_text(encoding="utf-8").splitlines()
    typed = [*line.split(","), "230"][:-1]
    typed[3:6] = ["230", '"11,08 kW"', "about 7"]
    form.write_text(f"{header}\n{','.join(typed)}\n", encoding="utf-8")
    record = place / "record.json"
    write_record(mark_class(to, register), Limits(), record)
    return {
        "notebook": [notebooks.canonical(issued("A01")).encode()],
        "register": [register.read_bytes(), "\ufeffID;Name\r\nA1;Zoë\r\n".encode()],
        "paper": [form.read_bytes()],
        "changes": [
            b"when,who,id,worksheet,question,old,new,why\n2026-01-02,MK,A01,charging-power,x,1,2,it is\n"
        ],
        "term-key": [b"0123456789abcdef" * 4 + b"\n"],
        "record": [record.read_bytes()],
        "recording": [b"t [ms];u [V];i [mA]\n0,0;0;0\n2,5;325,3;1500\n"],
        "practice": [b'{"charging-power": {"phase_voltage_v": {"right": 2, "next_card": 4}}}'],
        "number": [b"22 080,5 W", b"-1.5e3 kW", b"1,234", b"22 mJ", b"5 h 20 min", b"5:20"],
        "answer": [
            b'{"kind": "function", "text": "", "code": "", "trials": [{"kind": "number", "text": "1.5"}]}'
        ],
    }
