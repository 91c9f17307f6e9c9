"""Why the process in which a worksheet runs was ended, or ended by itself."""

STARTUP_SECONDS = 30.0
LARGEST_OUTPUT = 1024**2  # bytes of messages from one cell
WORKSHEET_TIME_UP = "the time for the whole worksheet is up"


class KernelEnded(RuntimeError):
    """A reason code and the words that go with it."""

    def __init__(self, code: str, says: str) -> None:
        super().__init__(says)
        self.code = code
