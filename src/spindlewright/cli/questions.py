"""Questions on the terminal: asked on standard error, so that standard output stays for results."""

from __future__ import annotations

import sys
from collections.abc import Callable
from typing import TypeVar

from spindlewright.cli.trouble import WrongUseError

Answer = TypeVar("Answer")


def can_ask() -> bool:
    """Whether a person is there to answer."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def ask(question: str, read: Callable[[str], Answer], default: str = "") -> Answer:
    """Ask until ``read`` understands the answer; an empty answer means ``default``."""
    offered = f" [{default}]" if default else ""
    while True:
        sys.stderr.write(f"{question}{offered}{'' if question.endswith('?') else ':'} ")
        sys.stderr.flush()
        line = sys.stdin.readline()
        if not line:
            raise WrongUseError("The answers ended before the questions; nothing was kept.")
        try:
            return read(line.strip() or default)
        except ValueError as problem:
            sys.stderr.write(f"  {problem}\n")
