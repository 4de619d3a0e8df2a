"""Papers of a class: what is made of them is let go of."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from pathlib import Path

import pytest
from docx.document import Document

from itembank.library import BuildRequest, build
from tests.cli.harness import DEMO


@pytest.fixture
def no_collector() -> Iterator[None]:
    """A build looks for garbage seldom, so that nothing is let go of by chance."""
    gc.collect()
    gc.disable()
    yield
    gc.enable()


@pytest.mark.usefixtures("no_collector")
def test_a_document_for_a_word_processor_does_not_outlive_its_file(tmp_path: Path) -> None:
    (tmp_path / "class.csv").write_text("name\nAda Marsh\nBo Reed\n", "utf-8")
    build(
        BuildRequest(
            DEMO, tmp_path / "out", count=2, formats=["docx"], class_list=tmp_path / "class.csv", versions=2
        )
    )

    assert (tmp_path / "out" / "pupils" / "quadratics-named-question-papers.docx").is_file()
    assert not [each for each in gc.get_objects() if isinstance(each, Document)]
