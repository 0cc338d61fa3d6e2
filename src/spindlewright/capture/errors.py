"""What this room says when a file cannot be measured at all."""

from __future__ import annotations

import os


class CaptureError(ValueError):
    """A file that cannot be opened as a recording; ``str()`` is one line: which file, what was found, what to do.

    ``file`` is the name as given. Line ends and other control characters in it are shown escaped, so that the
    message stays one line.

    >>> str(CaptureError("side a.wav", "the file is empty. Record it again."))
    'side a.wav: the file is empty. Record it again.'
    """

    def __init__(self, file: str | os.PathLike[str], what: str) -> None:
        self.file = os.fspath(file)
        self.what = what
        super().__init__(f"{printable_name(self.file)}: {what}")


def printable_name(file: str | bytes | os.PathLike[str] | os.PathLike[bytes]) -> str:
    """The file's name on one line, whatever it holds (line ends, bytes that are not text).

    >>> printable_name("side\\na.wav")
    'side\\\\na.wav'
    """
    name = os.fsdecode(file)
    return "".join(letter if letter.isprintable() else _escaped(letter) for letter in name) or "''"


def _escaped(letter: str) -> str:
    return letter.encode("unicode_escape", "surrogatepass").decode("ascii")
