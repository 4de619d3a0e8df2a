"""The least that any writer of packages can take: zipping the finished members again, and nothing else.

    python floor_script.py PACKAGE.zip --out FILE.zip

Reads all members into memory, then times `zipfile` alone while it writes the same bytes under the same names
in the same order, deflate 6. Prints a line of JSON: members, bytes, seconds.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
import zipfile
from pathlib import Path

LEVEL = 6


def main() -> None:
    """Zip again and report it."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("package", type=Path, help="a finished package")
    parser.add_argument("--out", type=Path, required=True, help="the zip to write")
    options = parser.parse_args()
    with zipfile.ZipFile(options.package) as package:
        members = [(entry.filename, package.read(entry)) for entry in package.infolist()]
    start = time.perf_counter()
    with zipfile.ZipFile(options.out, "w", zipfile.ZIP_DEFLATED, compresslevel=LEVEL) as again:
        for name, content in members:
            again.writestr(name, content)
    seconds = time.perf_counter() - start
    size = sum(len(content) for _, content in members)
    json.dump({"members": len(members), "bytes": size, "seconds": seconds}, sys.stdout)
    print()


if __name__ == "__main__":
    main()
