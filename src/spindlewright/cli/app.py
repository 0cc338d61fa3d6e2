"""The tree of commands, and what happens when one of them fails.

Exit status: 0 done, 1 done with readings outside their limits (only with ``--fail-outside``), 2 wrong use or
unreadable input, with one line on standard error that says what it was and what to do. 130 after Ctrl-C.
"""

from __future__ import annotations

import sys
import warnings
from collections.abc import Sequence

from cyclopts import App, CycloptsError, Parameter

from spindlewright.cli.trouble import explain, leave_closed_pipe, print_trouble, wrong_use_in_one_line

DONE, OUTSIDE, WRONG_USE, INTERRUPTED = 0, 1, 2, 130

HELP = """The service bench for record decks: from arrival to a sheet that proves what was done.

Start with: spindlewright serve, or for one recording: spindlewright measure RECORDING.wav"""


def build() -> App:
    """The whole tree; commands are named by import string and loaded when they are called."""
    app = App(
        name="spindlewright",
        help=HELP,
        help_format="plaintext",
        version=_version,
        default_parameter=Parameter(negative=(), show_default=False),
        result_action="return_value",
        exit_on_error=False,
        print_error=False,
        suppress_keyboard_interrupt=False,
    )
    _add(app, "measure", "measure:measure", "FILE... [OPTIONS]", "Readings from a recording.")
    _add(app, "bands", "bands:bands", "FILE [OPTIONS]", "What a recording holds.")
    disc = App(name="disc", help="The test discs this shop knows: learn, list, show.")
    learn = "Name the bands found in a recording and keep them as this shop's disc."
    _add(disc, "learn", "disc_learn:learn", "FILE [OPTIONS]", learn, "disc learn")
    _add(disc, "list", "disc:list_discs", "[OPTIONS]", "The discs that can be named.", "disc list")
    _add(disc, "show", "disc:show", "NAME [OPTIONS]", "What one disc holds.", "disc show")
    app.command(disc)
    job = App(name="job", help="The jobs of this shop: list, show, new, capture, close.")
    _add(job, "list", "job_list:list_jobs", "[WORDS] [OPTIONS]", "The jobs of this shop.", "job list")
    _add(job, "show", "job_show:show", "NUMBER [OPTIONS]", "Where one job stands.", "job show")
    _add(job, "new", "job_new:new", "--deck TEXT [OPTIONS]", "Begin a job.", "job new")
    capture = "Take recordings into a job, and measure them."
    _add(job, "capture", "job_capture:capture", "NUMBER FILE... --stage STAGE [OPTIONS]", capture, "job capture")
    close = "Write down that the deck is handed over."
    _add(job, "close", "job_close:close", "NUMBER --to WHO [OPTIONS]", close, "job close")
    app.command(job)
    _add(app, "sheet", "sheet:sheet", "NUMBER OUT.pdf [OPTIONS]", "The service sheet of a job as PDF.")
    _add(app, "serve", "serve:serve", "[OPTIONS]", "The bench in a browser, on this computer.")
    _add(app, "demo", "demo:demo", "[OPTIONS]", "Make the demonstration shop, with simulated decks.")
    simulate = "A recording of a simulated deck, with its truth beside it."
    _add(app, "simulate", "simulate:simulate", "SPEC.toml OUT.wav [OPTIONS]", simulate)
    complete = "Teach your shell to complete commands and options."
    _add(app, "--install-completion", "completion:install", "[--shell SHELL]", complete)
    return app


def _add(app: App, name: str, where: str, operands: str, summary: str, path: str | None = None) -> None:
    usage = f"Usage: spindlewright {path or name} {operands}"
    app.command(f"spindlewright.cli.{where}", name=name, help=summary, usage=usage)


def _version() -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("spindlewright")
    except PackageNotFoundError:
        return "not installed, run from its sources"


def run(arguments: Sequence[str] | None = None) -> int:
    """Run one command line and give its exit status. Never lets a traceback through to the user."""
    _never_fail_on_a_letter()
    if not sys.warnoptions:
        warnings.simplefilter("ignore")  # of libraries, for programmers; shown with python -W
    typed = list(sys.argv[1:] if arguments is None else arguments)
    try:
        status = build()(typed)
        sys.stdout.flush()
        return status if isinstance(status, int) else DONE
    except BrokenPipeError:
        leave_closed_pipe()
        return DONE
    except SystemExit as ended:  # rich leaves this way when its reader has gone
        if isinstance(ended.__context__, BrokenPipeError):
            return DONE
        raise
    except KeyboardInterrupt:
        print_trouble("Stopped.")
        return INTERRUPTED
    except CycloptsError as problem:
        print_trouble(wrong_use_in_one_line(problem))
        return WRONG_USE
    except Exception as problem:
        print_trouble(explain(problem))
        return WRONG_USE


def _never_fail_on_a_letter() -> None:
    """A terminal that lacks a sign (−, ±, °) gets a substitute instead of an error."""
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")
