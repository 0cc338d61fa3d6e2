"""Small text files named on the command line: read with one clear line when they can't be, written whole or not."""

from __future__ import annotations

import os
from pathlib import Path

from spindlewright.cli.trouble import WrongUseError

LARGEST_BYTES = 1_000_000


def read_text(path: Path, what: str) -> str:
    """The text of ``path``; ``what`` says in words what it should hold, for the message when it can't be read."""
    try:
        if not path.is_file():
            kind = "is a folder" if path.is_dir() else "is no ordinary file" if path.exists() else "does not exist"
            raise WrongUseError(f"{path} {kind}; give the name of {what} (TOML).")
        with path.open("rb") as file:
            content = file.read(LARGEST_BYTES + 1)
    except OSError as problem:
        raise WrongUseError(f"{path} can't be read ({problem.strerror}); check its permissions.") from None
    if len(content) > LARGEST_BYTES:
        raise WrongUseError(f"{path} is larger than {LARGEST_BYTES // 1000} kB, too large for {what} (TOML).")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise WrongUseError(f"{path} is not text in UTF-8; give {what} (TOML).") from None


def write_whole(path: Path, text: str) -> None:
    """Write ``text``; whoever looks sees the old file or the new one, never half of it."""
    path.parent.mkdir(parents=True, exist_ok=True)
    unfinished = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        unfinished.write_text(text, encoding="utf-8")
        os.replace(unfinished, path)
    finally:
        unfinished.unlink(missing_ok=True)
