"""The one way to say no: a sentence that tells what is wrong, where, and what to do."""

import errno

OF_THE_SYSTEM = (errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EACCES, errno.EIO, errno.EMFILE, errno.EFBIG)
"""Faults of disk, rights and limits, which only the engineer can mend."""


class Refusal(ValueError):
    """Raised when the job can't go on as asked; its text is shown to the engineer as it stands."""


def refusal_of_system(fault: Exception) -> str:
    """The sentence for a fault of disk, rights or limits that nobody caught nearer; empty for any other fault."""
    if not isinstance(fault, OSError) or fault.errno not in OF_THE_SYSTEM:
        return ""
    where = f" at '{fault.filename}'" if fault.filename else ""
    return f"The system gave no file{where}: {fault.strerror}. Free space or choose another folder."
