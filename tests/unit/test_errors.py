"""The family of errors as it travels between processes, and what becomes of a process that is lost."""

from __future__ import annotations

import os
import pickle

import pytest

from itembank.build import production
from itembank.cli.main import main
from itembank.errors import Contradiction, Diagnostic, InputError, ItembankError, NotEnoughItems, Span
from tests.cli.harness import DEMO

SPANS = Span("t.yaml", 3, 7), Span("t.yaml", 1, 1)
TOLD = tuple(Diagnostic(f"code-{span.line}", "what is wrong", span, hint="the remedy") for span in SPANS)


@pytest.mark.parametrize("error", [
    InputError(TOLD), NotEnoughItems(TOLD[0], 12),
    Contradiction(template="t", address="t@1/1/5", values={"a": "3"}, first="right", second="wrong"),
])  # fmt: skip
def test_an_error_of_ours_comes_back_whole_from_another_process(error: ItembankError) -> None:
    back = pickle.loads(pickle.dumps(error))

    assert (type(error), str(error), vars(error)) == (type(back), str(back), vars(back))


def test_a_worker_that_is_ended_from_outside_is_told(
    tmp_path: object, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(production, "CHUNK", 4)
    monkeypatch.setattr(production._MakerOf, "__call__", lambda self: os._exit(9))

    status = main(["build", str(DEMO), "--out", f"{tmp_path}/out", "--count", "24", "--workers", "2"])

    assert 1 == status
    assert "a worker process was ended from outside" in capsys.readouterr().err
    assert not os.path.exists(f"{tmp_path}/out")
