"""The command ``acpower`` on a machine that has no bubblewrap."""

import sys

from acpower.cli import main
from acpower.marking import sandbox

if __name__ == "__main__":
    sandbox.bubblewrap = lambda: None
    sys.exit(main(sys.argv[1:]))
