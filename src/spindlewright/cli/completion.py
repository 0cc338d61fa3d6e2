"""``spindlewright --install-completion``: teaches the shell to complete commands and options."""

from __future__ import annotations

from typing import Annotated, Literal

from cyclopts import Parameter

from spindlewright.cli.trouble import WrongUseError


def install(
    *,
    shell: Annotated[
        Literal["bash", "zsh", "fish", "powershell"] | None, Parameter(help="The shell (left out: the one in use).")
    ] = None,
) -> int:
    """Write the completion script of your shell to where it looks for one, and a line into its start-up file."""
    from cyclopts.completion.detect import ShellDetectionError

    from spindlewright.cli.app import build

    try:
        script = build().install_completion(shell=shell)
    except ShellDetectionError:
        raise WrongUseError(
            "The shell in use is not known; name it, like: --install-completion --shell bash"
        ) from None
    print(f"Wrote {script}. Start a new shell to use it.")
    return 0
