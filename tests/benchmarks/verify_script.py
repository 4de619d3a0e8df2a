"""Reading a package back, against a bare parse of its documents.

    python verify_script.py PACKAGE.zip

Has all documents of the package in memory parsed by lxml, then has the package audited (which reads it from its file,
decompresses, parses, proves), then parses once more, and takes processor time of each. Prints JSON: items, parse (the
mean of both), verify, in seconds.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
import zipfile
from pathlib import Path

from lxml import etree

from itembank.audit.verify import verify


def parsed(documents: list[bytes]) -> float:
    """The time of parsing alone."""
    start = time.process_time()
    for each in documents:
        etree.fromstring(each)
    return time.process_time() - start


def main() -> None:
    """Parse, verify, parse, and report it."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n\n")[0])
    parser.add_argument("package", type=Path)
    path = parser.parse_args().package
    with zipfile.ZipFile(path) as package:
        documents = [package.read(name) for name in package.namelist() if name.endswith(".xml")]
    before = parsed(documents)
    start = time.process_time()
    report = verify(path)
    seconds = time.process_time() - start
    parse = (before + parsed(documents)) / 2
    json.dump({"items": report.items, "ok": report.ok, "parse": parse, "verify": seconds}, sys.stdout)
    print()


if __name__ == "__main__":
    main()
