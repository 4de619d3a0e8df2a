"""A page of ours as a browser prints it, read back."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import pytest

__all__ = ["printed"]


def printed(page: str, folder: Path, form: str) -> str:
    """What pdftotext reads of the printed page. form: `-layout` or `-bbox`. Skips where either is missing."""
    browser = shutil.which("chromium")
    if browser is None or shutil.which("pdftotext") is None:
        pytest.skip("chromium or pdftotext is not installed: the pages were not printed")
    (folder / "page.html").write_text(page, "utf-8")
    command = [
        browser, "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder}/profile",
        "--no-pdf-header-footer", f"--print-to-pdf={folder}/page.pdf", f"file://{folder}/page.html",
    ]  # fmt: skip
    subprocess.run(command, capture_output=True, check=True, timeout=300)
    read = subprocess.run(["pdftotext", form, folder / "page.pdf", "-"], capture_output=True, check=True)
    return read.stdout.decode()
