"""Output folders that are whole: each is written beside its place, and moved there when nothing is missing.

This is a shell: it touches the disk and knows nothing of what is written. Beside a target NAME it uses

    .NAME.itembank-new-PID    what a process is writing, or is clearing away
    .NAME.itembank-old        what stood at the target, between two renames; at any time it is whole
    .NAME.itembank-lock       locked while a process writes to the target

and leaves none of them when it ends. A killed process may leave all three and, killed between the two
renames, no target; `restore` sets that right. Only a folder with our marker file, or an empty one, is ever
replaced.

Nothing is fsynced. What is guarded against is a process that ends anywhere: the kernel shows every later
process the renames in their order and the bytes written before them, whether they have reached the disk or
not. After a power cut a file may be empty; against that stands one flush of the disk for each file of each
build, and the same command makes the same bytes again. On Windows a folder is moved only while nobody has a file of
it open; else the build is refused and leaves all as it was.
"""

from __future__ import annotations

import errno
import os
import re
import shutil
import stat
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from itembank import folder_lock
from itembank.errors import Diagnostic, InputError

__all__ = ["LAYOUT_VERSION", "MARKER", "restore", "whole_folder"]

MARKER: Final = ".itembank-output"
LAYOUT_VERSION: Final = 1
_MARKER_BYTES = 100
_MARKER_LINE = re.compile(rb"itembank output folder, layout [1-9][0-9]*\n")


@contextmanager
def whole_folder(target: Path, what: str) -> Iterator[Path]:
    """Give a new folder to write into; when the `with` ends well it stands at `target`, with our marker.

    target: a folder to come, an empty one, or one with our marker, which is replaced with all it holds;
    missing parents are made. what: its subject in messages ("the build"). After an exception in the `with`,
    the target is as it was and nothing else is left.

    Raises InputError: `not-our-folder`, `not-a-folder`, `linked-folder`, `root-folder`, `home-folder`,
    `working-folder` or `mounted-folder` for a target that must not be replaced; `folder-in-use` while
    somebody else writes to it; `disk-full` and `not-writable` for what the disk refuses, in the `with` too.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as parent:
    ...     with whole_folder(Path(parent, "quiz"), "the build") as new:
    ...         _ = (new / "report.md").write_text("two items")
    ...     sorted(path.name for path in Path(parent, "quiz").iterdir())
    ['.itembank-output', 'report.md']
    """
    place = _Place.of(target, what)
    with _plainly(place):
        _refuse_unfit(place)
    with _parent_of(place), _lock_of(place):
        try:
            with _plainly(place):
                _tidy(place)
                place.new.mkdir()
            with _plainly(place, in_the_body=True):
                yield place.new
            with _plainly(place):
                line = f"itembank output folder, layout {LAYOUT_VERSION}\n"
                (place.new / MARKER).write_bytes(line.encode())
                # Again: somebody may have put a folder there while this one was written.
                _refuse_unfit(place)
                _move_into_place(place)
        finally:
            # One way out after success, failure and interrupt; it is also the way back of `restore`.
            with _plainly(place):
                _tidy(place)


def restore(target: Path) -> None:
    """Set right what killed processes left beside `target`; to be called before a target is read.

    Where the target is absent and its old content stands aside, that is moved back; what no living process
    is writing is removed. While a living one writes to the target, nothing is done, except that the moment
    between its two renames is waited for. Raises InputError `not-writable` where old content cannot be moved
    back.

    >>> restore(Path("no-such-folder"))
    """
    place = _Place.of(target, "what a killed run left aside")
    if not _left_beside(place):
        return
    try:
        lock = folder_lock.take(place.lock, wait=_is_free(place.target) and _bears_marker(place.old))
        if lock is not None:
            try:
                _tidy(place)
            finally:
                folder_lock.release(place.lock, lock)
    except OSError as error:
        # What stands whole can be read, even on a disk that takes no change.
        if _is_free(place.target) and _bears_marker(place.old):
            raise _not_writable(place, error) from error


@dataclass(frozen=True, slots=True)
class _Place:
    """A target and its siblings: as given, for messages, and as absolute paths without links on the way."""

    given: Path
    what: str
    target: Path
    old: Path
    lock: Path
    new_prefix: str

    @classmethod
    def of(cls, given: Path, what: str) -> _Place:
        # The last step is not followed: a target that is a link is to be refused, not what it leads to.
        if given.name in ("", ".."):
            target = Path(os.path.realpath(given))
        else:
            target = Path(os.path.realpath(given.parent), given.name)
        stem = f".{target.name}.itembank-"
        parent = target.parent
        return cls(given, what, target, parent / f"{stem}old", parent / f"{stem}lock", f"{stem}new-")

    @property
    def new(self) -> Path:
        return self.target.parent / f"{self.new_prefix}{os.getpid()}"


def _refuse_unfit(place: _Place) -> None:
    target = place.target
    try:
        status = target.lstat()
    except (FileNotFoundError, NotADirectoryError):
        return
    here = "give the name of a new folder inside it"
    if stat.S_ISLNK(status.st_mode):
        raise _error(place, "linked-folder", "it is a link", "give the folder itself that the link leads to")
    if not stat.S_ISDIR(status.st_mode):
        raise _error(place, "not-a-folder", "it is a file", "give the name of a folder")
    if target == target.parent:
        raise _error(place, "root-folder", "it is the root of all folders", here)
    if _is_or_holds(status, os.path.expanduser("~")):
        raise _error(place, "home-folder", "it is or holds your home folder", here)
    if _is_or_holds(status, os.curdir):
        raise _error(place, "working-folder", "it is or holds the folder you work in", here)
    if os.path.ismount(target):
        raise _error(place, "mounted-folder", "it is a disk of its own and cannot be moved", here)
    if not _is_free(target) and not _bears_marker(target):
        hint = f"give a new or an empty folder; only one with the file {MARKER} is replaced"
        raise _error(place, "not-our-folder", "it holds files that are not known to be itembank's", hint)


def _is_or_holds(status: os.stat_result, folder: str) -> bool:
    """Whether the folder of `status` is `folder` or above it; by identity, for a name has many spellings."""
    with suppress(OSError):
        inner = Path(os.path.realpath(folder))
        return any(os.path.samestat(outer.stat(), status) for outer in (inner, *inner.parents))
    return False


def _is_folder(path: Path) -> bool:
    with suppress(OSError):
        return stat.S_ISDIR(path.lstat().st_mode)
    return False


def _is_free(path: Path) -> bool:
    """Whether nothing is lost when a folder is moved to `path`: nothing is there, or an empty folder."""
    if not _is_folder(path):
        return not os.path.lexists(path)
    with suppress(OSError), os.scandir(path) as entries:
        return next(entries, None) is None
    return False


def _bears_marker(folder: Path) -> bool:
    marker = folder / MARKER
    with suppress(OSError):
        status = marker.lstat()
        if _is_folder(folder) and stat.S_ISREG(status.st_mode) and status.st_size <= _MARKER_BYTES:
            return _MARKER_LINE.fullmatch(marker.read_bytes()) is not None
    return False


def _move_into_place(place: _Place) -> None:
    # An empty target needs no moving aside: the rename replaces it in one step.
    if not _is_free(place.target):
        place.target.rename(place.old)
    _rename_over_empty(place.new, place.target)


def _rename_over_empty(folder: Path, target: Path) -> None:
    if sys.platform == "win32" and _is_folder(target):  # nothing is ever replaced there
        target.rmdir()
    folder.rename(target)


def _tidy(place: _Place) -> None:
    """From whatever a process left, wherever it ended, to a whole target and nothing beside it."""
    for folder in _abandoned(place):
        shutil.rmtree(folder, ignore_errors=True)
    if not _bears_marker(place.old):
        return
    if _is_free(place.target):
        _rename_over_empty(place.old, place.target)
    elif _bears_marker(place.target):
        # First out of its name, which promises a whole folder, then out of the world.
        place.old.rename(place.new)
        shutil.rmtree(place.new, ignore_errors=True)


def _left_beside(place: _Place) -> bool:
    names = (place.old.name, place.lock.name)
    with suppress(OSError), os.scandir(place.target.parent) as entries:
        return any(entry.name in names or _writer_of(place, entry.name) is not None for entry in entries)
    return False


def _abandoned(place: _Place) -> list[Path]:
    """The new folders of ended processes; while we hold the lock, one of our own number is such too."""
    found = []
    for path in place.target.parent.iterdir():
        writer = _writer_of(place, path.name)
        if writer is not None and _is_folder(path) and (writer == os.getpid() or not _is_alive(writer)):
            found.append(path)
    return found


def _writer_of(place: _Place, name: str) -> int | None:
    number = name.removeprefix(place.new_prefix)
    return int(number) if number != name and re.fullmatch("[1-9][0-9]{0,9}", number) else None


def _is_alive(process: int) -> bool:
    if (
        sys.platform == "win32"
    ):  # whoever asks holds the lock, so nobody else is writing; os.kill would end it there
        return False
    try:
        os.kill(process, 0)
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True


@contextmanager
def _lock_of(place: _Place) -> Iterator[None]:
    with _plainly(place):
        lock = folder_lock.take(place.lock)
    if lock is None:
        raise _error(place, "folder-in-use", "another run is writing it", "wait until that one has ended")
    try:
        yield
    finally:
        folder_lock.release(place.lock, lock)


@contextmanager
def _parent_of(place: _Place) -> Iterator[None]:
    """Make the target's parent where it is missing; after an exception what was made is gone again."""
    with _plainly(place):
        missing = [folder for folder in place.target.parents if not folder.exists()]
    try:
        with _plainly(place):
            place.target.parent.mkdir(parents=True, exist_ok=True)
        yield
    except BaseException:
        for folder in missing:
            with suppress(OSError):
                folder.rmdir()
        raise


@contextmanager
def _plainly(place: _Place, *, in_the_body: bool = False) -> Iterator[None]:
    """Turn an OSError into an InputError; of those in the body, only what the disk refuses."""
    try:
        yield
    except OSError as error:
        if error.errno in (errno.ENOSPC, errno.EDQUOT):
            hint = "make room there, or in the folder for temporary files, or write to another disk"
            raise _error(place, "disk-full", "no space is left on the disk", hint) from error
        if in_the_body and not _is_forbidden_inside(place, error):
            raise
        raise _not_writable(place, error) from error


def _is_forbidden_inside(place: _Place, error: OSError) -> bool:
    if error.errno not in (errno.EACCES, errno.EPERM, errno.EROFS) or not isinstance(error.filename, str):
        return False
    return Path(error.filename).is_relative_to(place.new)


def _not_writable(place: _Place, error: OSError) -> InputError:
    reason = (error.strerror or str(error)).lower()
    if error.errno == errno.ENAMETOOLONG:  # the folder that is written beside it has a longer name
        return _error(place, "not-writable", reason, "give a shorter name")
    return _error(place, "not-writable", reason, "give the name of a folder where you may write")


def _error(place: _Place, code: str, reason: str, hint: str) -> InputError:
    message = f"{place.what} cannot go to {place.given}: {reason}"
    return InputError(Diagnostic(code, message, hint=hint))
