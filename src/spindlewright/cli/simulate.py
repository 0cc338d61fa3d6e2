"""``spindlewright simulate``: a recording of a simulated deck, with its truth beside it."""

from __future__ import annotations

import os
import shutil
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from spindlewright.cli.options import Json
from spindlewright.cli.progress import progress_bar
from spindlewright.cli.text_files import read_text, write_whole
from spindlewright.cli.trouble import WrongUseError

if TYPE_CHECKING:
    from spindlewright.simulate.spec import Spec


def simulate(
    spec: Annotated[
        str, Parameter(help="TOML file that describes deck, disc and recorder; or the name of a deck that is shipped.")
    ],
    out: Annotated[Path, Parameter(help="WAV file to write; its truth goes beside it as OUT.truth.json.")],
    /,
    *,
    json: Json = False,
    replace: Annotated[bool, Parameter(help="Overwrite a recording that is not a simulated one.")] = False,
) -> int:
    """Play an invented disc on an invented deck: writes the recording and what the deck really did."""
    description = _read_spec(spec)
    truth_file = _checked_target(out, replace)
    from spindlewright.contract import plain, to_json_line
    from spindlewright.simulate.truth import truth_of

    with progress_bar(out.name) as progress:
        seconds = _write_recording(description, out, progress)
        truth = plain(truth_of(description).to_dict())
    line = to_json_line(truth)
    write_whole(truth_file, line + "\n")
    if json:
        sys.stdout.write(line + "\n")
        return 0
    from spindlewright.wording import length_in_words

    print(f"Wrote {out} ({length_in_words(seconds)}) and {truth_file}.")
    return 0


def _read_spec(text: str) -> Spec:
    from spindlewright.simulate.decks import deck_names, deck_spec
    from spindlewright.simulate.spec import Spec

    file = Path(text)
    if text in deck_names() and not file.exists():
        return deck_spec(text)
    if len(file.parts) == 1 and not file.suffix and not file.exists():
        names = ", ".join(deck_names())
        raise WrongUseError(f"{text!r} is no file and no shipped deck; shipped are {names}. Give a TOML file.")
    toml = read_text(file, "a description of a simulated deck")
    try:
        return Spec.from_dict(tomllib.loads(toml))
    except tomllib.TOMLDecodeError as problem:
        raise WrongUseError(f"{file} is not readable as TOML ({problem}); mend that line.") from None
    except ValueError as problem:
        raise WrongUseError(f"{file}: {problem}.") from None


def _checked_target(out: Path, replace: bool) -> Path:
    """Where the truth goes. Refuses to write over what may be a real recording."""
    if out.suffix.casefold() != ".wav":
        raise WrongUseError(f"{out}: the recording is written as WAV; give it a name that ends with .wav.")
    if not out.parent.is_dir():
        raise WrongUseError(f"The folder {out.parent} does not exist; make it first.")
    truth_file = out.with_suffix(".truth.json")
    if out.exists() and not out.is_file():
        raise WrongUseError(f"{out} is no ordinary file; give another name.")
    if out.exists() and not truth_file.exists() and not replace:
        raise WrongUseError(f"{out} is there and is not a simulated recording; give another name or add --replace.")
    return truth_file


def _write_recording(spec: Spec, out: Path, progress: Callable[[float, str], None] | None) -> float:
    """Write it whole or not at all; gives the length in s."""
    import soundfile

    from spindlewright.demo.wave_file import size_bytes, write_wave_file

    size, free = size_bytes(spec), shutil.disk_usage(out.parent).free
    if size > free:
        raise WrongUseError(f"{out} would need {size / 1e6:.0f} MB, but only {free / 1e6:.0f} MB are free there.")
    unfinished = out.with_name(f".{out.name}.{os.getpid()}.part")
    try:
        seconds = write_wave_file(spec, unfinished, progress)
        os.replace(unfinished, out)
    except soundfile.LibsndfileError as problem:
        raise WrongUseError(f"{out} can't be written ({problem}); check the folder and its permissions.") from None
    finally:
        unfinished.unlink(missing_ok=True)
    return seconds
