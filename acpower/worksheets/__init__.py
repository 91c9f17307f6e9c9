"""Job cards, mark schemes and recording: what an apprentice's worksheet uses."""

from acpower.worksheets.answering import NotYet
from acpower.worksheets.job import Job, job_card
from acpower.worksheets.marked import MarkedJob, marked_card

__all__ = ["Job", "MarkedJob", "NotYet", "job_card", "marked_card"]
