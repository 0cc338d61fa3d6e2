"""Keeps the MP3 decoder from writing its own notes to the standard error of this program.

The decoder inside libsndfile prints to the C library's ``stderr`` and cannot be told not to. While a sound file is
open, that C stream is a stream into nowhere; Python's own ``sys.stderr`` does not use it. Only with the GNU C library,
where the stream may be exchanged; elsewhere the notes stay.
"""

from __future__ import annotations

import ctypes
import os
import platform
import threading

_lock = threading.Lock()
_users = 0
_own_stream: int | None = None
_nowhere: int | None = None


def hush() -> None:
    """From now on nothing from C code reaches standard error; pair with ``unhush()``, calls may nest."""
    global _users, _own_stream, _nowhere
    with _lock:
        _users += 1
        if _users > 1 or platform.libc_ver()[0] != "glibc":
            return
        library, stream = _stream()
        if _nowhere is None:
            library.fopen.restype = ctypes.c_void_p
            _nowhere = library.fopen(os.devnull.encode(), b"we")
        if _nowhere:
            _own_stream, stream.value = stream.value, _nowhere


def unhush() -> None:
    """End one ``hush()``; the last one puts the stream back."""
    global _users, _own_stream
    with _lock:
        _users -= 1
        if _users == 0 and _own_stream is not None:
            _stream()[1].value = _own_stream
            _own_stream = None


def _stream() -> tuple[ctypes.CDLL, ctypes.c_void_p]:
    library = ctypes.CDLL(None)
    return library, ctypes.c_void_p.in_dll(library, "stderr")
