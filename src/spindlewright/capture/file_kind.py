"""What a file that should be a recording really is: checked before anything is decoded."""

from __future__ import annotations

import os
import stat
from dataclasses import dataclass

from spindlewright.capture.errors import CaptureError

ADVICE = "Give a recording in WAV, AIFF, FLAC or another common format."

_SOUND = {
    b"RIFF": "WAV", b"RIFX": "WAV", b"RF64": "RF64", b"riff": "W64", b"FORM": "AIFF", b".snd": "AU", b"dns.": "AU",
    b"caff": "CAF", b"fLaC": "FLAC", b"OggS": "OGG", b"ID3": "MP3",
}  # fmt: skip
"""First bytes of the common sound formats, each from its own published description (memory)."""

_OTHER = {
    b"\x89PNG": "a PNG picture", b"\xff\xd8\xff": "a JPEG picture", b"GIF8": "a GIF picture",
    b"PK\x03\x04": "a ZIP archive",
    b"%PDF": "a PDF document", b"\x1f\x8b": "a gzip archive", b"7z\xbc\xaf": "a 7z archive", b"Rar!": "a RAR archive",
    b"\x7fELF": "a program", b"MZ": "a program", b"SQLite format 3": "a database", b"\x1aE\xdf\xa3": "a Matroska film",
    b"BZh": "a bzip2 archive", b"\xfd7zXZ": "an xz archive",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class FileState:
    """Size and identity of a file at one moment; two equal states mean that nobody wrote to it in between."""

    size: int
    modified_ns: int
    inode: int
    device: int

    @classmethod
    def of(cls, path: str) -> FileState:
        found = os.stat(path)
        return cls(found.st_size, found.st_mtime_ns, found.st_ino, found.st_dev)


def check_regular(path: str, name: str) -> FileState:
    """State of the file at ``path``; CaptureError unless it is an ordinary, readable file that is not empty.

    Nothing is opened before its kind is known: opening a pipe would wait for its writer for ever.
    """
    try:
        found = os.stat(path)
    except FileNotFoundError:
        if os.path.islink(path):
            raise CaptureError(name, "this link points to a file that is not there. Check the link.") from None
        raise CaptureError(name, "there is no such file. Check the name and the folder.") from None
    except NotADirectoryError:
        raise CaptureError(name, "a part of this path is not a folder. Check the path.") from None
    except PermissionError:
        raise CaptureError(name, "its folder may not be read. Ask for permission, or copy the file.") from None
    except (OSError, ValueError) as problem:  # a name too long, a link loop, a name with a zero byte
        reason = getattr(problem, "strerror", None) or str(problem)
        raise CaptureError(name, f"this name cannot be used ({reason}). Check the name.") from None
    if not stat.S_ISREG(found.st_mode):
        raise CaptureError(name, f"this is {_kind_in_words(found.st_mode)}, not a file. {ADVICE}")
    if found.st_size == 0:
        raise CaptureError(name, "the file is empty (0 bytes). Record again, or copy it again.")
    return FileState(found.st_size, found.st_mtime_ns, found.st_ino, found.st_dev)


def _kind_in_words(mode: int) -> str:
    if stat.S_ISDIR(mode):
        return "a folder"
    if stat.S_ISFIFO(mode):
        return "a pipe"
    if stat.S_ISSOCK(mode):
        return "a socket"
    return "a device"


def read_first_bytes(path: str, name: str, count: int = 4096) -> bytes:
    """The first bytes of a regular file; CaptureError when it may not be read."""
    try:
        with open(path, "rb", buffering=0) as file:
            return file.read(count)
    except PermissionError:
        raise CaptureError(name, "no permission to read this file. Ask for permission, or copy it.") from None
    except OSError as problem:
        raise CaptureError(name, f"the file cannot be read ({problem.strerror}). Copy it to a sound disk.") from None


def sound_format(first: bytes) -> str | None:
    """Name of the sound format that these first bytes promise, None when they promise none."""
    for magic, kind in _SOUND.items():
        if first.startswith(magic):
            return kind
    return None


def refusal(first: bytes, reason: str) -> str:
    """Why the decoder could not open the file, and what to do, in words. ``reason`` is what the decoder said."""
    kind = sound_format(first)
    if kind is not None:
        return (
            f"this begins like {_article(kind)} {kind} file, but its header or its end is damaged ({reason}). "
            "Copy it again from the recorder, or record again."
        )
    if first[4:8] == b"ftyp":
        return "this is an MPEG-4 file, which cannot be read here. Convert it to WAV or FLAC."
    for magic, words in _OTHER.items():
        if first.startswith(magic):
            return f"this is {words}, not a recording. {ADVICE}"
    if not first.strip(b"\0"):
        return f"the file begins with nothing but zeros, so its header is lost or was never written. {ADVICE}"
    if _is_text(first):
        return f"this is a text file, not a recording. {ADVICE}"
    return f"this is not a sound file of a known format ({reason}). {ADVICE}"


def _is_text(first: bytes) -> bool:
    try:
        text = first.decode("utf-8")
    except UnicodeDecodeError as problem:
        if problem.start < len(first) - 3:  # not just a letter cut in two
            return False
        text = first[: problem.start].decode("utf-8")
    return all(letter.isprintable() or letter in "\t\r\n\f\ufeff" for letter in text)


def _article(word: str) -> str:
    return "an" if word[0] in "AEIORFM" and word not in ("FLAC", "RIFF") else "a"
