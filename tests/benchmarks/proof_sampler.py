"""Runs a Python program in this process and samples how much of its time is spent in proofs.

    python proof_sampler.py REPORT.json PROGRAM [ARGUMENT...]

A timer of processor time interrupts the program about every millisecond; the sample counts as proof when any
frame on the stack lies in the package's room `proof`. Samples taken while modules are imported are left out,
since the figure is a share of the time per item. REPORT.json receives `samples` and `in_proof`. Unlike a
tracing profiler this does not slow down small functions, so it does not shift the share.
"""

from __future__ import annotations

import json
import os
import runpy
import signal
import sys
from pathlib import Path
from types import FrameType

PROOF_ROOM = f"{os.sep}itembank{os.sep}proof{os.sep}"
IMPORTING = "<frozen importlib._bootstrap>"
INTERVAL_SECONDS = 0.001


class Sampler:
    """Counts samples by where the program was."""

    def __init__(self) -> None:
        self.samples = 0
        self.in_proof = 0

    def take(self, number: int, frame: FrameType | None) -> None:
        """The handler of the timer's signal."""
        in_proof = False
        while frame is not None:
            name = frame.f_code.co_filename
            if name == IMPORTING:
                return
            in_proof = in_proof or PROOF_ROOM in name
            frame = frame.f_back
        self.samples += 1
        self.in_proof += in_proof


def main() -> None:
    """Run the program; leave with its status."""
    report, program = Path(sys.argv[1]), sys.argv[2]
    sys.argv = sys.argv[2:]
    sampler = Sampler()
    signal.signal(signal.SIGPROF, sampler.take)
    signal.setitimer(signal.ITIMER_PROF, INTERVAL_SECONDS, INTERVAL_SECONDS)
    try:
        runpy.run_path(program, run_name="__main__")
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        report.write_text(json.dumps({"samples": sampler.samples, "in_proof": sampler.in_proof}))


if __name__ == "__main__":
    main()
