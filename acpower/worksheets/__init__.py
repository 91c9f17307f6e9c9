"""Job cards, mark schemes and recording: what an apprentice's worksheet uses."""

from acpower.worksheets.job import Job, NotYet, job_card

__all__ = ["Job", "NotYet", "job_card"]
