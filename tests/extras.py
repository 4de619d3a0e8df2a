"""The distribution of `tests/plugins`, installed into a folder as an installer leaves it: its files and its metadata.

No installer runs and nothing is fetched. Source of the layout: Python Packaging Authority, "Recording installed
projects" (`METADATA`, `RECORD`, `INSTALLER`) and "Entry points specification".
"""

from __future__ import annotations

import shutil
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
SOURCE = ROOT / "tests" / "plugins" / "saltmarsh-extras"
BANK = ROOT / "tests" / "plugins" / "bank"


def install(site: Path, *, version: str = "", source: Path = SOURCE) -> Path:
    """Installs the distribution into a folder, in the version of its project file unless another is given."""
    told = tomllib.loads((source / "pyproject.toml").read_text("utf-8"))
    project = told["project"]
    version = version or project["version"]
    site.mkdir(parents=True, exist_ok=True)
    for old in site.glob("*.dist-info"):
        shutil.rmtree(old)
    modules = [f"{name}.py" for name in told["tool"]["setuptools"]["py-modules"]]
    for module in modules:
        shutil.copyfile(source / module, site / module)
    info = site / f"{project['name'].replace('-', '_')}-{version}.dist-info"
    info.mkdir()
    points = [
        line
        for group, entries in project["entry-points"].items()
        for line in (f"[{group}]", *(f"{name} = {value}" for name, value in entries.items()), "")
    ]
    files = {
        "METADATA": f"Metadata-Version: 2.1\nName: {project['name']}\nVersion: {version}\n",
        "INSTALLER": "tests\n",
        "entry_points.txt": "\n".join(points),
    }
    for name, text in files.items():
        (info / name).write_text(text, "utf-8")
    names = [*modules, *(f"{info.name}/{name}" for name in (*files, "RECORD"))]
    (info / "RECORD").write_text("".join(f"{name},,\n" for name in names), "utf-8")
    return site
