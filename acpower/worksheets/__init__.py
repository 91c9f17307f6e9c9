"""Job cards, mark schemes and recording: what an apprentice's worksheet uses.

The names are fetched when they are first asked for: a worksheet for marks is run where there are no
mark schemes, and so must not load them.
"""

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from acpower.worksheets.answering import NotYet
    from acpower.worksheets.job import Job, job_card
    from acpower.worksheets.marked import MarkedJob, marked_card

_MODULES = {
    "Job": "job",
    "MarkedJob": "marked",
    "NotYet": "answering",
    "job_card": "job",
    "marked_card": "marked",
}
__all__ = ["Job", "MarkedJob", "NotYet", "job_card", "marked_card"]


def __getattr__(name: str) -> Any:
    if name not in _MODULES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_MODULES[name]}"), name)
