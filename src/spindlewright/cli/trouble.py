"""Errors in one line for the person at the bench: what it was and what to do."""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cyclopts import CycloptsError

TRACEBACK_SWITCH = "SPINDLEWRIGHT_TRACEBACK"
"""Set this environment variable to 1 to see where in the program a failure arose (for a fault report)."""


class WrongUseError(ValueError):
    """What was typed cannot be done; the text says what to type instead."""


def print_trouble(line: str) -> None:
    """One line on standard error."""
    one_line = " ".join(line.split())
    try:
        print(f"spindlewright: {one_line}", file=sys.stderr, flush=True)
    except BrokenPipeError:
        leave_closed_pipe()


def explain(problem: Exception, what: str | None = None) -> str:
    """One line for any failure, which names ``what`` it was about. Faults of the program ask for a report."""
    line = _in_words(problem)
    return line if what is None or what in line else f"{what}: {line}"


def _in_words(problem: Exception) -> str:
    if os.environ.get(TRACEBACK_SWITCH) == "1":
        raise problem
    if isinstance(problem, UnicodeDecodeError):
        return "The file is not text in UTF-8. Save it as UTF-8 and try again."
    if (isinstance(problem, ValueError) or _is_of_the_shop(problem)) and str(problem):
        return str(problem)
    if isinstance(problem, MemoryError):
        return "The memory of this computer does not suffice for this. Close other programs or take a shorter file."
    if isinstance(problem, OSError):
        where = f"{problem.filename}: " if problem.filename else ""
        return f"{where}{problem.strerror or problem}."
    return (
        f"Spindlewright itself failed ({type(problem).__name__}: {problem}). Please report this with the recording; "
        f"{TRACEBACK_SWITCH}=1 shows where."
    )


def _is_of_the_shop(problem: Exception) -> bool:
    """Whether it is one of the shop's own sentences; they are known only where the shop has been loaded."""
    errors = sys.modules.get("spindlewright.shop.errors")
    return errors is not None and isinstance(problem, errors.ShopError)


def wrong_use_in_one_line(problem: CycloptsError) -> str:
    """What cyclopts found wrong, with the page that helps."""
    text = " ".join(str(problem).split())
    chain = problem.command_chain or ()
    page = " ".join(["spindlewright", *chain, "--help"])
    return f"{text if text.endswith(('.', '?')) else text + '.'} See: {page}"


def leave_closed_pipe() -> None:
    """The reader of our output has left (``| head``): stop without a word, also at interpreter exit."""
    for stream in (sys.stdout, sys.stderr):
        try:
            stream.flush()
        except (BrokenPipeError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())
