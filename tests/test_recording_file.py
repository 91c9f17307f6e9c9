"""Recordings in files: every kind that is read, and what is said of bad ones. Every file is invented."""

import os
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from acpower.recording import Recording, read_recording

# ---- Files that are read


def written(folder: Path, content: str | bytes, name: str = "scope.csv") -> Path:
    path = folder / name
    path.write_bytes(content.encode() if isinstance(content, str) else content)
    return path


GOOD = {
    "comma and point": "t [s],u [V],i [A]\n0.0,1.5,-0.25\n0.002,-2,3e-1\n",
    "semicolon and comma": "t [s];u [V];i [A]\n0,0;1,5;-0,25\n0,002;-2;3e-1\n",
    "tab and comma": "t [s]\tu [V]\ti [A]\n0,0\t1,5\t-,25\n0,002\t-2,\t3E-1\n",
    "tab and point": "t [s]\tu [V]\ti [A]\n0.0\t1.5\t-.25\n0.002\t-2.\t+0.3\n",
    "semicolon and point": "t [s];u [V];i [A]\n0.0;1.5;-0.25\n0.002;-2;0.3\n",
    "comma, and decimal commas in quotation marks": 't [s],u [V],i [A]\n0,"1,5","-0,25"\n"0,002",-2,"0,3"\n',
    "other order": "i [A],u [V],t [s]\n-0.25,1.5,0\n0.3,-2,0.002\n",
    "milli": "t [ms];u [mV];i [mA]\n0;1500;-250\n2;-2000;300\n",
    "kilo and micro": "t [us];u [kV];i [kA]\n0;0.0015;-0.00025\n2000;-0.002;0.0003\n",
    "micro sign": "t [\N{MICRO SIGN}s];u [V];i [A]\n0;1.5;-0.25\n2000;-2;0.3\n",
    "greek mu": "t [\N{GREEK SMALL LETTER MU}s];u [V];i [A]\n0;1.5;-0.25\n2000;-2;0.3\n",
    "micro sign in Latin-1": "t [µs];u [V];i [A]\n0;1.5;-0.25\n2000;-2;0.3\n".encode("latin-1"),
    "byte order mark": b"\xef\xbb\xbft [s];u [V];i [A]\n0;1.5;-0.25\n0.002;-2;0.3\n",
    "Windows line ends": "t [s],u [V],i [A]\r\n0,1.5,-0.25\r\n0.002,-2,0.3\r\n",
    "old line ends": "t [s],u [V],i [A]\r0,1.5,-0.25\r0.002,-2,0.3",
    "round brackets": "time (s),Voltage (V),Current ( A )\n0,1.5,-0.25\n0.002,-2,0.3\n",
    "in": "time in ms;voltage in V;current in mA\n0;1,5;-250\n2;-2;300\n",
    "underscore": "time_ms,Voltage_V,L1_Current_mA\n0,1.5,-250\n2,-2,300\n",
    "stroke": "t/ms;U/V;I/mA\n0;1,5;-250\n2;-2;300\n",
    "quotation marks": '"t [s]","u, of the socket [V]","i [A]"\n"0","1.5","-0.25"\n"0.002","-2","0.3"\n',
    "lines above": (
        '# saved by the scope of bench 3, 5" probe\nModel;invented\n\nRange;5 V;10 A\nSamples;2\n'
        "t [s];u [V];i [A]\n0;1.5;-0.25\n0.002;-2;0.3\n"
    ),
    "names in a comment": "# t [s], u [V], i [A]\n0,1.5,-0.25\n0.002,-2,0.3\n",
    "empty lines and cells at the end": "t [s],u [V],i [A],,\n\n0,1.5,-0.25,,\n , ,\n0.002,-2,0.3,\n\n\n",
    "blanks": " t [s] ; u [V] ; i [A] \n 0 ; 1.5 ; -0.25 \n 0.002 ; -2 ; 0.3\n",
}


@pytest.mark.parametrize("content", GOOD.values(), ids=GOOD)
def test_files_of_every_kind_are_read(tmp_path: Path, content: str | bytes) -> None:
    recording = read_recording(written(tmp_path, content))
    assert recording.time_s == pytest.approx([0, 0.002], abs=1e-15)
    assert recording.voltage_v == pytest.approx([1.5, -2])
    assert recording.current_a == pytest.approx([-0.25, 0.3])


@pytest.mark.parametrize(
    ("header", "columns"),
    [
        ("t [s];u [V]", ("time_s", "voltage_v")),
        ("t [s];i [A]", ("time_s", "current_a")),
        ("u [V];i [A]", ("voltage_v", "current_a")),
        ("i [A];u [V]", ("current_a", "voltage_v")),
    ],
)
def test_two_columns_are_enough(tmp_path: Path, header: str, columns: tuple[str, str]) -> None:
    recording = read_recording(str(written(tmp_path, header + "\n1;4\n2;-5\n3;6\n")))
    found = {name: getattr(recording, name) for name in ("time_s", "voltage_v", "current_a")}
    assert found.pop(columns[0]) == pytest.approx([1, 2, 3])
    assert found.pop(columns[1]) == pytest.approx([4, -5, 6])
    assert list(found.values()) == [None]


def test_names_may_stand_in_the_hundredth_line_and_no_later(tmp_path: Path) -> None:
    rows = "t [s];u [V]\n0;1\n1;2\n"
    assert read_recording(written(tmp_path, "about\n" * 99 + rows)).voltage_v == pytest.approx([1, 2])
    with pytest.raises(
        ValueError, match=r"^scope\.csv: a file without such columns .* in the first 100 lines"
    ):
        read_recording(written(tmp_path, "about\n" * 100 + rows))


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(st.floats(1e-6, 10), st.floats(-1e4, 1e4), st.floats(-1e4, 1e4)), min_size=1, max_size=20
    ),
    st.sampled_from(["\t", ";", ","]),
    st.sampled_from([",", "."]),
    st.permutations([("s", 1.0), ("mV", 1e-3), ("kA", 1e3)]),
)
def test_what_is_written_is_read_again(
    tmp_path_factory: pytest.TempPathFactory,
    rows: list[tuple[float, float, float]],
    between: str,
    decimal: str,
    order: list[tuple[str, float]],
) -> None:
    values = np.array(rows)
    values[:, 0] = np.cumsum(values[:, 0])
    columns = dict(zip(("s", "mV", "kA"), values.T, strict=True))
    decimal = "." if between == "," else decimal
    lines = [between.join(f"x [{unit}]" for unit, _ in order)]
    for index in range(len(rows)):
        cells = [repr(float(columns[unit][index])).replace(".", decimal) for unit, _ in order]
        lines.append(between.join(cells))
    folder = tmp_path_factory.mktemp("written")
    if len(rows) == 1:
        with pytest.raises(ValueError, match=r"^time_s: one stamp was given"):
            read_recording(written(folder, "\n".join(lines)))
        return
    recording = read_recording(written(folder, "\n".join(lines)))
    assert recording.time_s == pytest.approx(columns["s"], rel=1e-12)
    assert recording.voltage_v == pytest.approx(columns["mV"] * 1e-3, rel=1e-12)
    assert recording.current_a == pytest.approx(columns["kA"] * 1e3, rel=1e-12)


# ---- Files that are refused

BAD: dict[str, tuple[str | bytes, str]] = {
    "empty": ("", r"^scope\.csv: an empty file was given; allowed is text"),
    "blank": (" \n\t\n", r"^scope\.csv: an empty file"),
    "only a byte order mark": (b"\xef\xbb\xbf", r"^scope\.csv: an empty file"),
    "picture": (b"\x89PNG\r\n\x1a\n\x00\x00", r"^scope\.csv: a file that is not text was given; .*picture"),
    "UTF-16": ("t [s];u [V]\n0;1\n".encode("utf-16"), r"^scope\.csv: a file that is not text .*UTF-16"),
    "control character": ("t [s];u [V]\n0;1\x1f\n", r"^scope\.csv: a file that is not text"),
    "early control character": ("t [s];u [V]\n0;1\x08\n", r"^scope\.csv: a file that is not text"),
    "prose": ("dear teacher\nthe scope was broken\n", r"^scope\.csv: a file without such columns was given; "
        r"allowed is two or three columns of time, voltage and current"),
    "one column": ("u [V]\n1\n2\n", r"^scope\.csv: a file without such columns"),
    "no names": ("0;1\n1;2\n", r"^scope\.csv, line 1: numbers without names above them was given"),
    "no unit": ("about\n\ntime;u [V]\n0;1\n1;2\n",
        r"^scope\.csv, line 3: 'time' without a unit was given; allowed is a unit in s, ms, us, µs, mV, V, kV, mA"),
    "no unit above an empty line": ("time;u [V]\n\n0;1\n", r"^scope\.csv, line 1: 'time' without a unit"),
    "no unit in the second": ("t [s];voltage\n0;1\n", r"^scope\.csv, line 1: 'voltage' without a unit"),
    "unknown unit": ("t [s];u [MV]\n0;1\n",
        r"^scope\.csv, line 1: 'u \[MV\]' with the unit 'MV' was given; .* mV is a thousandth, MV a million"),
    "unit of another quantity": ("t [s];p [W]\n0;1\n", r"^scope\.csv, line 1: 'p \[W\]' with the unit 'W'"),
    "empty brackets": ("t [s];u []\n0;1\n", r"^scope\.csv, line 1: 'u \[\]' without a unit"),
    "unit not at the end": ("t [s];u [V] of L1\n0;1\n", r"^scope\.csv, line 1: .* without a unit"),
    "two voltages": ("t [s];u [V];v [mV]\n0;1;1\n", r"^scope\.csv, line 1: .* was given; allowed is two or three "
        r"columns of time, voltage and current, one of each"),
    "four columns": ("t [s];u [V];i [A];j [A]\n0;1;1;1\n", r"^scope\.csv, line 1: .* one of each"),
    "two times": ("x\nt [s];u [ms]\n0;1\n", r"^scope\.csv, line 2: .* one of each"),
    "no rows": ("t [s];u [V]\n\n", r"^scope\.csv, line 1: no number below it was given"),
    "text in a number": ("t [s];u [V]\n0;1\n1;OL\n", r"^scope\.csv, line 3: 'OL' was given; allowed is a plain number"
        r".* the column 'u \[V\]'"),
    "text in the first row": ("t [s];u [V]\n0;?\n1;2\n", r"^scope\.csv, line 2: '\?' was given"),
    "unit behind a number": ("t [s];u [V]\n0;1 V\n", r"^scope\.csv, line 2: '1 V' was given"),
    "not a number": ("t [s];u [V]\n0;nan\n", r"^scope\.csv, line 2: 'nan' was given"),
    "infinite": ("t [s];u [V]\n0;-inf\n", r"^scope\.csv, line 2: '-inf' was given"),
    "beyond any voltage": ("t [s];u [V]\n0;1e101\n", r"line 2: '1e101' was given; allowed is up to 1e\+100"),
    "beyond any float": ("t [s];u [V]\n0;-1e999\n", r"^scope\.csv, line 2: '-1e999' was given"),
    "beyond any voltage in kV": ("t [s];u [kV]\n0;1e100\n1;0\n", r"^voltage_v\[0\]: 1e\+103 V was given"),
    "underscore in a number": ("t [s];u [V]\n0;1_000\n", r"^scope\.csv, line 2: '1_000' was given"),
    "digits of another script": ("t [s];u [V]\n0;\u0661\n", r"^scope\.csv, line 2: '\u0661' was given"),
    "thousands": ("t [s];u [V]\n0;1.000,5\n", r"^scope\.csv, line 2: '1\.000,5' was given; .* same decimal sign"),
    "point after a comma": ("t [s];u [V]\n0,5;1\n1;1.5\n", r"^scope\.csv, line 3: '1\.5' was given"),
    "comma after a point": ("t [s];u [V]\n0.5;1,5\n", r"^scope\.csv, line 2: '1,5' was given"),
    "empty cell": ("t [s];u [V];i [A]\n0;;1\n", r"^scope\.csv, line 2: '' was given"),
    "row too short": ("t [s];u [V];i [A]\n\n0;1;1\n1;2;\n", r"^scope\.csv, line 4: 2 columns was given; allowed is "
        r"3 columns parted by semicolon"),
    "row too long": ("t [s]\tu [V]\n0\t1\t2\n",
        r"^scope\.csv, line 2: 3 columns was given; allowed is 2 columns parted by tab"),
    "decimal comma between commas": ("t [s],u [V]\n0,0,1,5\n", r"^scope\.csv, line 2: 4 columns was given; allowed is "
        r"2 columns parted by comma\. .*a comma as decimal sign needs semicolon or tab between columns"),
    "time stands still": ("t [s];u [V]\n0;1\n\n1;1\n1;2\n", r"^scope\.csv, line 5: the time 1 s was given; "
        r"allowed is later than 1 s, the row above\. .*enough digits"),
    "time runs back": ("t [ms];u [V]\n0;1\n2;1\n1;2\n", r"^scope\.csv, line 4: the time 0\.001 s was given; "
        r"allowed is later than 0\.002 s"),
    "quotation mark not closed": ('t [s];u [V]\n0;"1\n1;2\n',
        r"^scope\.csv, line 4: unexpected end of data was given; allowed is rows of CSV\. .*quotation"),
    "text behind a quotation mark": ('t [s];u [V]\n0;"1"2\n', r"^scope\.csv, line 2: .*allowed is rows of CSV"),
    "endless cell": ("t [s];u [V]\n0;" + "1" * 140_000, r"^scope\.csv, line 2: .*allowed is rows of CSV"),
    "endless first line": ("1;" * 140_000 + "1" * 140_000, r"^scope\.csv: a file without such columns"),
}  # fmt: skip


@pytest.mark.parametrize(("content", "message"), BAD.values(), ids=BAD)
def test_bad_file_is_refused_with_place_and_reason(
    tmp_path: Path, content: str | bytes, message: str
) -> None:
    with pytest.raises(ValueError, match=message) as refused:
        read_recording(written(tmp_path, content))
    assert "; allowed is " in str(refused.value)
    assert ". Check " in str(refused.value)
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 500


@settings(max_examples=60)
@given(st.text(st.sampled_from('0159,.;\t\n\r"eE+-[]()_/ stVAmkµinfab#\x00é'), max_size=60))
def test_whatever_stands_in_a_file_ends_in_a_recording_or_a_sentence(
    tmp_path_factory: pytest.TempPathFactory, text: str
) -> None:
    path = tmp_path_factory.getbasetemp() / "whatever.csv"
    endings = []
    for content in (text, "t [s];u [V]\n" + text, "u [V],i [A]\n0,1\n" + text):
        for encoding in ("utf-8", "latin-1"):
            path.write_bytes(content.encode(encoding))
            try:
                endings.append(read_recording(path))
            except ValueError as refused:
                endings.append(str(refused))
    assert all(
        isinstance(end, Recording) or (" was given; allowed is " in end and ". Check " in end)
        for end in endings
    )


def test_size_is_limited(tmp_path: Path) -> None:
    start = b"t [s];u [V]\n0;1\n1;2\n"
    blank_lines = 200 * (99_999 * b" " + b"\n")
    just_fits = written(tmp_path, (start + blank_lines)[:10_000_000])
    assert read_recording(just_fits).voltage_v == pytest.approx([1, 2])
    too_large = written(tmp_path, (start + blank_lines)[:10_000_001])
    message = r"^scope\.csv: a larger file was given; allowed is up to 10 000 000 bytes"
    with pytest.raises(ValueError, match=message):
        read_recording(too_large)


def test_folder_missing_file_and_long_name_end_in_a_sentence(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match=r": a folder was given; allowed is a CSV file"):
        read_recording(tmp_path)
    with pytest.raises(FileNotFoundError, match=r"nowhere\.csv: there is no such file\. Check the spelling"):
        read_recording(tmp_path / "nowhere.csv")
    with pytest.raises(FileNotFoundError, match=r"there is no such file"):
        read_recording("null\0byte.csv")
    # From Python 3.14 on, a path that is too long is one of a file that does not exist.
    with pytest.raises(OSError, match=r"(the file cannot be read \(.+\)|there is no such file)\. Check the"):
        read_recording(tmp_path / ("long" * 500))


def test_file_that_cannot_be_opened_ends_in_a_sentence(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    path = written(tmp_path, "t [s];u [V]\n0;1\n")
    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(OSError, match=r"scope\.csv: the file cannot be read \(Permission denied\)\. Check"):
        read_recording(path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes with names on this system")
def test_pipe_is_no_file_and_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    with pytest.raises(FileNotFoundError, match=r"there is no such file"):
        read_recording(tmp_path / "pipe.csv")


@pytest.mark.parametrize("bad", [None, 5, b"scope.csv", ["scope.csv"]])
def test_what_is_no_path_is_refused(bad: object) -> None:
    with pytest.raises(ValueError, match=r"^path: .+ was given; allowed is the path of a CSV file"):
        read_recording(bad)
