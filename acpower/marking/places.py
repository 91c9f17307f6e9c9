"""Folders that people name: whether they will do, said before the work is done and not after."""

import os
from pathlib import Path

from acpower.marking.take_in import RECORD_NAME
from acpower.marking.user_mistake import UserMistake


def check_place(to: Path) -> None:
    """Refuse a folder that cannot be written to."""
    there = next(place for place in (to, *to.absolute().parents) if place.exists())
    if not there.is_dir():
        raise UserMistake(f"{there} is a file where a folder is needed. Choose another folder.")
    if not os.access(there, os.W_OK | os.X_OK):
        raise UserMistake(f"You may not write in {there}. Choose another folder.")


def check_results_place(to: Path, folder: Path) -> None:
    """Refuse a folder for results that is the worksheets' own or holds the record of another marking."""
    check_place(to)
    if to.resolve() == folder.resolve():
        raise UserMistake(
            "The results need a folder of their own, not the one with the worksheets. Choose another folder."
        )
    if (to / RECORD_NAME).exists():
        raise UserMistake(
            f"{to} holds the record of an earlier marking, and that is not overwritten. Choose a new folder, or delete "
            "this one, if nothing in it counts."
        )


def problem_in_words(problem: OSError) -> str:
    """Return what a person can do about a file or folder that the system refuses."""
    return (
        f"{problem.filename or 'a file'} cannot be used ({problem.strerror}). If it is open in another program, close "
        "it there and give the command again. Check also the path, the space on the disk and whether you may write "
        "there."
    )
