"""The sample outputs in `exports/quadratics` are what the demo bank builds today, member by member."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import zipfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SAMPLE = ROOT / "exports" / "quadratics"


def contents(folder: Path) -> dict[str, bytes]:
    """Every file's bytes; of a package the bytes of its members, since archives depend on the zlib at hand.

    So do their digests; what changed since a build before is no part of a build.
    """
    found: dict[str, bytes] = {}
    for path in sorted(folder.rglob("*")):
        name = str(path.relative_to(folder))
        if path.suffix == ".zip":
            with zipfile.ZipFile(path) as package:
                found.update({f"{name}/{member}": package.read(member) for member in package.namelist()})
        elif path.name == "digests.txt":
            lines = path.read_text("utf-8").splitlines()
            found[name] = "\n".join(line for line in lines if not line.endswith(".zip")).encode()
        elif path.is_file() and path.name != "changes.md":
            found[name] = path.read_bytes()
    return found


def test_the_sample_exports_are_what_the_bank_builds(tmp_path: Path) -> None:
    shutil.copytree(ROOT / "banks" / "quadratics", tmp_path / "banks" / "quadratics")
    environment = {**os.environ, "PYTHONPATH": str(ROOT), "ITEMBANK_CACHE": str(tmp_path / "cache")}
    command = [sys.executable, "-m", "itembank", "build", "banks/quadratics", "--out", "out"]
    subprocess.run(command, cwd=tmp_path, env=environment, check=True, capture_output=True)

    expected, actual = contents(SAMPLE), contents(tmp_path / "out")

    assert len(expected) > 60
    assert expected.keys() == actual.keys()
    assert [] == [name for name, data in expected.items() if data != actual[name]]
