"""Opening the course: what is copied, what is never overwritten, how JupyterLab is started and ended."""

import json
import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import nbformat
import pytest
from nbclient import NotebookClient

from acpower import study
from acpower.notebooks import folder


def text_files(root: Path) -> set[str]:
    return {path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file()}


def test_copy_brings_every_lesson_and_worksheet(tmp_path: Path) -> None:
    assert study.copy_course(tmp_path / "new" / "my course") == []
    copied = text_files(tmp_path / "new" / "my course")
    assert {f"course/{path.name}" for path in folder("course").glob("*.ipynb")} <= copied
    assert {f"exercises/{path.name}" for path in folder("exercises").glob("*.ipynb")} <= copied
    assert not [name for name in copied if name.startswith("solutions") or "/." in name]


def test_copy_never_overwrites_an_answer(tmp_path: Path) -> None:
    study.copy_course(tmp_path)
    answered = min((tmp_path / "exercises").glob("*.ipynb"))
    lost = min((tmp_path / "course").glob("*.ipynb"))
    answered.write_text("my answers", encoding="utf-8")
    lost.unlink()
    assert study.copy_course(tmp_path) == [answered.relative_to(tmp_path)]
    assert answered.read_text(encoding="utf-8") == "my answers"
    assert lost.is_file()


def test_copy_of_a_read_only_package_can_be_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    package = tmp_path / "package"
    for name in ("course", "exercises"):
        (package / name).mkdir(parents=True)
        (package / name / "01-sheet.ipynb").write_text("{}", encoding="utf-8")
        (package / name / "01-sheet.ipynb").chmod(0o444)
    monkeypatch.setattr(study, "folder", lambda name: package / name)
    study.copy_course(tmp_path / "mine")
    assert (tmp_path / "mine" / "course" / "01-sheet.ipynb").stat().st_mode & 0o200


@pytest.mark.parametrize("place", ["notes.txt", "notes.txt/course"])
def test_a_file_in_the_place_of_the_folder_is_refused(tmp_path: Path, place: str) -> None:
    (tmp_path / "notes.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(ValueError, match=r"course folder: .*notes\.txt.* cannot be written.*Give a folder"):
        study.copy_course(tmp_path / place)
    assert (tmp_path / "notes.txt").read_text(encoding="utf-8") == "mine"


@pytest.fixture
def started(monkeypatch: pytest.MonkeyPatch) -> list[list[str]]:
    """Take the commands that would start JupyterLab; each ends at once with exit code 0."""
    commands: list[list[str]] = []
    popen = subprocess.Popen

    def start(command: list[str], **options: object) -> "subprocess.Popen[bytes]":
        commands.append(command)
        return popen([sys.executable, "-c", ""])

    monkeypatch.setattr(study.subprocess, "Popen", start)
    return commands


def test_a_copy_is_opened_and_never_the_course_itself(
    started: list[list[str]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert study.study() == 0
    assert f"--ServerApp.root_dir={(tmp_path / 'acpower-course').resolve()}" in started[0]
    assert any((tmp_path / "acpower-course" / "exercises").iterdir())


def test_region_reaches_the_kernels(
    started: list[list[str]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("ACPOWER_REGION", "europe")
    study.study(tmp_path, "north-america")
    assert study.study_environment()["ACPOWER_REGION"] == "north-america"
    study.study(tmp_path)
    assert study.study_environment()["ACPOWER_REGION"] == "north-america"
    with pytest.raises(ValueError, match=r"^region: 'mars' was given; allowed is one of 'europe'"):
        study.study(tmp_path, "mars")


def test_a_lesson_that_was_only_run_is_not_told_as_kept(tmp_path: Path) -> None:
    study.copy_course(tmp_path)
    lesson = next((tmp_path / "course").glob("*.ipynb"))
    notebook = json.loads(lesson.read_text("utf-8"))
    code = next(cell for cell in notebook["cells"] if cell["cell_type"] == "code")
    code |= {"execution_count": 3, "outputs": [{"output_type": "stream", "name": "stdout", "text": "230 V"}]}
    notebook["metadata"]["language_info"] = {"name": "python", "version": "3.11"}
    lesson.write_text(json.dumps(notebook), "utf-8")
    assert study.copy_course(tmp_path) == []
    code["source"] = "my_own = 1"
    lesson.write_text(json.dumps(notebook), "utf-8")
    assert study.copy_course(tmp_path) == [Path("course", lesson.name)]


def test_kept_files_are_named(
    started: list[list[str]], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    study.copy_course(tmp_path)
    answered = next((tmp_path / "exercises").glob("*.ipynb"))
    answered.write_text("my answers", encoding="utf-8")
    study.study(tmp_path)
    assert f"  {Path('exercises', answered.name)}\n" in capsys.readouterr().out


def test_settings_of_this_machine_stay_in_force(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("JUPYTER_CONFIG_PATH", "school")
    own, school = study.study_environment()["JUPYTER_CONFIG_PATH"].split(os.pathsep)
    assert school == "school"
    defaults = json.loads(Path(own, "labconfig", "default_setting_overrides.json").read_text("utf-8"))
    assert defaults["@jupyterlab/apputils-extension:notification"]["fetchNews"] == "false"


def test_ctrl_c_ends_cleanly(tmp_path: Path, open_course: Callable[[Path], Any]) -> None:
    course = open_course(tmp_path / "mine")
    assert "/lab/tree/course/0" in course.address
    os.killpg(course.process.pid, signal.SIGINT)  # as a terminal does: both processes get the Ctrl-C
    assert course.process.wait(timeout=30) == 0
    assert "Traceback" not in course.log.read_text("utf-8")


@pytest.mark.parametrize(
    ("cell", "says"),
    [
        ('job.record("phase_voltage_v", 230)', "Run the first code cell of this page, then this one again."),
        ("curent * 230", "The name “curent” is not known here."),
    ],
)
def test_a_cell_that_stops_says_so_in_plain_words_before_any_other_has_run(
    cell: str, says: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("JUPYTER_PATH", study.study_environment()["JUPYTER_PATH"])
    notebook = nbformat.v4.new_notebook(cells=[nbformat.v4.new_code_cell(cell)])  # type: ignore[no-untyped-call]
    NotebookClient(notebook, kernel_name="python3", allow_errors=True).execute()
    (output,) = notebook.cells[0].outputs
    assert "This cell stopped" in output.data["text/html"]
    assert says in output.data["text/html"]
