"""The command ``acpower`` on a machine that has no bubblewrap."""

import sys

from acpower.cli import main
from acpower.marking import sandbox

sandbox.bubblewrap = lambda: None

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
