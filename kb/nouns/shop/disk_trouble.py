"""A full disk, and one that cannot be written: how both are told from other trouble, and said."""

from __future__ import annotations

import errno

from kb.errors import NotDone

FULL = (
    "The disk that holds the shop's data is full, so nothing was saved. Free some room on it, then save "
    "again; what was on file before is safe."
)
READ_ONLY = (
    "The shop's data can only be read here, so nothing was saved. Let Beforeflash write to its data folder "
    "(its owner, its rights, and whether the disk lets anybody write), then save again."
)
CANNOT_OPEN = (
    "The shop's database cannot be opened here. Beforeflash must be able to write to its folder, even to "
    "read: look at the folder's owner and rights, and whether the disk lets anybody write."
)
_FULL_ERRNO = {errno.ENOSPC, getattr(errno, "EDQUOT", errno.ENOSPC)}


def of_os_error(error: BaseException | None) -> NotDone | None:
    """What a system's error says of the disk, also where another error stands for it; else None."""
    while error is not None:
        if isinstance(error, OSError) and error.errno in _FULL_ERRNO:
            return NotDone(FULL)
        if isinstance(error, OSError) and error.errno == errno.EROFS:
            return NotDone(READ_ONLY)
        error = error.__cause__ or error.__context__
    return None
