"""What to do where the system refuses a file and no command knew better."""

from __future__ import annotations

import errno
from typing import Final

__all__ = ["remedy_for"]

_REMEDIES: Final = {
    errno.EACCES: "check who may read and write it, and who may enter the folders above it",
    errno.EPERM: "check who may read and write it, and who may enter the folders above it",
    errno.EROFS: "its disk cannot be written to: name a place on another",
    errno.ENOSPC: "make room on that disk, or in the folder for temporary files",
    errno.EDQUOT: "you have used up your share of that disk: make room there",
    errno.ENAMETOOLONG: "give a shorter name, or work in a folder with a shorter path",
    errno.ELOOP: "a link on the way leads back to itself: name the file itself",
    errno.ENOTDIR: "a part of this path is a file and no folder: check the path",
    errno.EISDIR: "name a file, this is a folder",
    errno.ENOENT: "check the name and the folder",
    errno.EMFILE: "close other programs, or let this one open more files (ulimit -n)",
    errno.ENFILE: "close other programs: no more files can be opened on this machine",
    errno.ENOMEM: "close other programs, or try fewer --workers",
    errno.EIO: "the disk or the network does not answer: copy the files to another disk",
    errno.ESTALE: "the network folder is gone: connect it again",
}


def remedy_for(failed: OSError) -> str:
    """A hint; "" where nothing sensible can be said.

    >>> remedy_for(IsADirectoryError(errno.EISDIR, "Is a directory"))
    'name a file, this is a folder'
    """
    return _REMEDIES.get(failed.errno or 0, "")
