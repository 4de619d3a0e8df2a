"""What a package lists and holds; apart from the harness, which has to stay small: a child begins with its size.

    python package_script.py PACKAGE.zip

Prints a line of JSON: items that the manifest lists, bytes of all members, not compressed.
"""

from __future__ import annotations

import json
import sys
import zipfile

ITEM_TYPE = b'type="imsqti_item_xmlv3p0"'


def main() -> None:
    """Look and report."""
    with zipfile.ZipFile(sys.argv[1]) as package:
        items = package.read("imsmanifest.xml").count(ITEM_TYPE)
        size = sum(entry.file_size for entry in package.infolist())
    json.dump({"items": items, "bytes": size}, sys.stdout)
    print()


if __name__ == "__main__":
    main()
