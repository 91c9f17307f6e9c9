"""The environment in which worksheets run: the same for all, and nothing of the person's own."""

import os
import sys
from pathlib import Path

# What Windows and the loader of shared libraries need; nothing else of the environment goes in.
_PASSED_ON = ("SYSTEMROOT", "SYSTEMDRIVE", "COMSPEC", "PATHEXT", "LD_LIBRARY_PATH", "OPENBLAS_CORETYPE")


def clean_environment(home: Path) -> dict[str, str]:
    """Return the variables for a process whose home folder is ``home``."""
    return {
        **{name: os.environ[name] for name in _PASSED_ON if name in os.environ},
        "PATH": os.pathsep.join((str(Path(sys.executable).parent), os.defpath)),
        "HOME": str(home),
        "USERPROFILE": str(home),
        "USER": "worksheet",
        "TMPDIR": str(home),
        "TEMP": str(home),
        "LANG": "C.UTF-8",
        "MPLBACKEND": "agg",
        "OMP_NUM_THREADS": "1",
        "OPENBLAS_NUM_THREADS": "1",
        "PIP_NO_INDEX": "1",  # an attempt to install something fails at once
        "PYTEST_DISABLE_PLUGIN_AUTOLOAD": "1",
        "PYTHONDONTWRITEBYTECODE": "1",
        "PYTHONUTF8": "1",
    }
