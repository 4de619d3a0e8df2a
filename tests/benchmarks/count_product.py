"""The product's exact count of a template's box, timed as `count_script.py` times its own: the count alone.

    python count_product.py TEMPLATE.yaml

Reads the template first, then counts. Prints JSON: assignments, count, seconds.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from pathlib import Path

from itembank.bank.sources import entries_of
from itembank.generator.bound import Bound
from itembank.generator.counting import Counter


def main() -> None:
    """Count and report it."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("template", type=Path)
    ((entry,), _, _) = entries_of(parser.parse_args().template)
    bound = Bound(entry.recipe)
    start = time.perf_counter()
    count = Counter(bound).count()
    seconds = time.perf_counter() - start
    report = {"assignments": count.size, "count": count.feasible, "exact": count.exact, "seconds": seconds}
    json.dump(report, sys.stdout)
    print()


if __name__ == "__main__":
    main()
