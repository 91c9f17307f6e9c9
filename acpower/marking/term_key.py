"""The term key: what the numbers of worksheets for marks are drawn with. It stays with the instructor."""

import hashlib
import hmac
import re
import secrets
from pathlib import Path

from acpower.marking.user_mistake import UserMistake

_FORM = re.compile(r"[0-9a-f]{64}")


def make_term_key(path: Path) -> str:
    """Write a new term key into a file that is not there yet, and return it."""
    term_key = secrets.token_hex(32)
    path.parent.mkdir(parents=True, exist_ok=True)
    with path.open("x", encoding="ascii") as file:
        file.write(term_key + "\n")
    path.chmod(0o600)
    return term_key


def read_term_key(path: Path) -> str:
    """Return the term key in a file.

    Only keys that `make_term_key` made are taken: 256 random bits cannot be guessed, whatever a
    hand-out shows that was drawn with them.

    Raises
    ------
    UserMistake
        The file is missing or holds something else.
    """
    try:
        text = path.read_text(encoding="ascii").strip()
    except (OSError, UnicodeDecodeError):
        text = ""
    if not _FORM.fullmatch(text):
        raise UserMistake(
            f"{path} holds no term key. Give the file that `acpower hand-out --term-key` made for this term; "
            "without it, worksheets for marks cannot be marked."
        )
    return text


def term_mark(term_key: str) -> str:
    """Return a few signs by which a worksheet shows under which term key it was handed out.

    HMAC-SHA-256 (RFC 2104): nothing can be worked out from it about the key. It begins with a
    letter that no number has: a spreadsheet would turn 506027e12 into another text.

    >>> term_mark("a") == term_mark("a"), len(term_mark("a")), term_mark("a")[0]
    (True, 12, 't')
    """
    return "t" + hmac.digest(term_key.encode(), b"term mark", hashlib.sha256).hex()[:11]
