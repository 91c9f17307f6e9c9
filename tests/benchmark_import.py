"""What ``import acpower`` costs beside ``import numpy``, and what all its formulas together cost.

Run ``python tests/benchmark_import.py``. Each import runs in fresh interpreters, in turn, and the median is
compared; the time of an interpreter that imports nothing is taken off. Nothing here is a timed test.
"""

import statistics
import subprocess
import sys
import time

ROUNDS = 21
IMPORTS = {
    "nothing": "",
    "numpy": "import numpy",
    "acpower": "import acpower",
    "acpower with all formulas": "import acpower; [getattr(acpower, name) for name in acpower.__all__]",
}


def main() -> None:
    """Print the ratios."""
    seconds: dict[str, list[float]] = {name: [] for name in IMPORTS}
    for _ in range(ROUNDS):
        for name, code in IMPORTS.items():
            begin = time.perf_counter()
            subprocess.run([sys.executable, "-c", code], check=True)
            seconds[name].append(time.perf_counter() - begin)
    cost = {name: statistics.median(times) for name, times in seconds.items()}
    base = cost["numpy"] - cost["nothing"]
    for name in ("acpower", "acpower with all formulas"):
        print(f"import of {name}: {(cost[name] - cost['nothing']) / base:.2f} times the import of numpy")


if __name__ == "__main__":
    main()
