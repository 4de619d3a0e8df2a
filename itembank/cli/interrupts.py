"""A request to end (SIGTERM, SIGHUP) is taken as the keyboard's interrupt is: nothing half-written stays behind."""

from __future__ import annotations

import signal
from types import FrameType
from typing import Final

__all__ = ["Interrupts"]

_NAMES: Final = ("SIGTERM", "SIGHUP", "SIGBREAK")
"""SIGHUP there is not on Windows, SIGBREAK only there."""


class Interrupts:
    """Requests to end that came since `listen`.

    >>> Interrupts().status
    130
    """

    def __init__(self) -> None:
        self._came: int = signal.SIGINT

    @property
    def status(self) -> int:
        """The exit status of an interrupted program, as shells count: 128 and the number of the signal."""
        return 128 + self._came

    @property
    def asked(self) -> bool:
        """Whether one came."""
        return self._came != signal.SIGINT

    def listen(self) -> None:
        """Take requests from now on; what is ignored, as by `nohup`, stays so."""
        for number in _numbers():
            if signal.getsignal(number) == signal.SIG_DFL:
                signal.signal(number, self._interrupt)

    def _interrupt(self, number: int, frame: FrameType | None) -> None:
        for each in _numbers():  # while things are tidied, no second one disturbs
            signal.signal(each, signal.SIG_IGN)
        self._came = number
        raise KeyboardInterrupt


def _numbers() -> list[signal.Signals]:
    return [getattr(signal, name) for name in _NAMES if hasattr(signal, name)]
