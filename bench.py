#!/usr/bin/env python3
"""Spindlewright sets itself up and runs. Needs nothing but Python 3.11 or newer.

python3 bench.py               set up, make the demonstration shop (once), open it in the browser
                               (--no-browser: only say its address; --port 8000: at that port)
python3 bench.py test          set up, run every check and every test (more words go to pytest)
python3 bench.py WORD ...      set up, run "spindlewright WORD ..." (for instance: measure side-a.wav)

Everything is put into the folders ".venv" and "demonstration" beside this file; delete them and nothing is left.
"""

from __future__ import annotations

import hashlib
import importlib.util
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
ENVIRONMENT = HERE / ".venv"
STAMP = ENVIRONMENT / "spindlewright-setup.json"
DEMONSTRATION = HERE / "demonstration"
OLDEST_PYTHON = (3, 11)
VENV_PACKAGE = "python3-venv"
TEST_PACKAGES = {
    "chromium": ("chromium",),
    "postgresql": ("postgres",),
    "poppler-utils": ("pdftotext", "pdftoppm", "pdffonts", "pdfinfo"),
}
"""Debian packages that some tests need, and the programs of each by which it is known."""

WHAT_TO_DO_FIRST = (
    "1. Open the finished job (unit 3, under Handed over) and its service sheet.",
    "2. Tap the turns of your own deck: a paper mark on the platter and one key give its speed and the next move.",
    "3. Print a job card, or begin a job of your own with New job.",
)


class SetUpError(Exception):
    """Something is missing that this script may not or cannot get by itself; the text says what to type."""


def main(arguments: list[str]) -> int:
    """Do what the command line asks; gives the exit status."""
    try:
        if sys.version_info < OLDEST_PYTHON:
            found = ".".join(str(part) for part in sys.version_info[:2])
            wanted = ".".join(str(part) for part in OLDEST_PYTHON)
            raise SetUpError(
                f"This is Python {found}; Spindlewright needs {wanted} or newer. "
                f"Start it with a newer one, for instance: python{wanted} bench.py"
            )
        if arguments[:1] == ["test"]:
            get_test_packages()
            return run_checks(set_up("test"), arguments[1:])
        python = set_up()
        if not arguments or arguments[0] in ("--no-browser", "--port"):
            return demonstrate(python, arguments)
        return run_spindlewright(python, arguments)
    except SetUpError as problem:
        say(str(problem))
        return 2
    except KeyboardInterrupt:
        say("Stopped.")
        return 130


def say(text: str) -> None:
    """One line of progress, on standard error so that results can be piped."""
    print(text, file=sys.stderr, flush=True)


# --- setting up ------------------------------------------------------------


def set_up(extra: str | None = None) -> Path:
    """Bring ``.venv`` up to date, with the optional dependencies ``extra``; gives its Python."""
    if not environment_runs():
        remake_environment()
    wanted = [extra] if extra else []
    done = read_stamp()
    if done.get("fingerprint") != fingerprint():
        done = {}
    have = done.get("extras")
    if not isinstance(have, list) or not set(wanted) <= set(have) or not spindlewright_is_installed():
        extras = sorted({*wanted, *(have if isinstance(have, list) else [])})
        install(extras)
        STAMP.write_text(json.dumps({"fingerprint": fingerprint(), "extras": extras}), encoding="utf-8")
    return environment_python()


def environment_python() -> Path:
    """The Python of ``.venv``."""
    return ENVIRONMENT / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def answer(code: str) -> str | None:
    """What the environment's Python prints for ``code``; None when it does not run."""
    try:
        # -P keeps the folder the user stands in off the search path: a json.py there must not get in the way.
        done = subprocess.run(
            [environment_python(), "-P", "-c", code], capture_output=True, text=True, timeout=60, check=False
        )
    except (OSError, subprocess.TimeoutExpired):
        return None
    return done.stdout.strip() if done.returncode == 0 else None


def environment_runs() -> bool:
    """Whether ``.venv`` belongs to this folder and its Python runs, is new enough and has pip."""
    code = (
        "import sys, importlib.util as u;"
        f"print(sys.prefix if sys.version_info >= {OLDEST_PYTHON!r} and u.find_spec('pip') else '')"
    )
    prefix = answer(code)
    return bool(prefix) and Path(str(prefix)).resolve() == ENVIRONMENT.resolve()


def spindlewright_is_installed() -> bool:
    """Whether the environment finds the package, and finds it in this folder."""
    code = (
        "import importlib.util as u; s = u.find_spec('spindlewright');"
        "print(*(s.submodule_search_locations if s else ()), sep='\\n')"
    )
    folders = (answer(code) or "").splitlines()
    return bool(folders) and HERE in Path(folders[0]).resolve().parents


def remake_environment() -> None:
    """Make ``.venv`` anew; whatever stands there does not work."""
    if ENVIRONMENT.is_symlink() or ENVIRONMENT.is_file():
        ENVIRONMENT.unlink()
    elif ENVIRONMENT.exists():
        say("The folder .venv does not work here (moved, half made, or of another Python); making it anew.")
        shutil.rmtree(ENVIRONMENT)
    ensure_venv_module()
    say("Setting up in .venv (once) ...")
    if subprocess.call([sys.executable, "-m", "venv", str(ENVIRONMENT)]) != 0:
        shutil.rmtree(ENVIRONMENT, ignore_errors=True)
        raise SetUpError(f"Python could not make .venv. On Debian type: {line_to_type([VENV_PACKAGE])}")


def ensure_venv_module() -> None:
    """Install Debian's separate package for virtual environments when it is missing and we may."""
    if has_venv_module():
        return
    if apt_install([VENV_PACKAGE]):
        importlib.invalidate_caches()
        if has_venv_module():
            return
    raise SetUpError(f"The system package {VENV_PACKAGE} is missing. Type: {line_to_type([VENV_PACKAGE])}")


def get_test_packages() -> None:
    """Install the system packages that some tests need, when we may; else say what to type, and go on without."""
    missing = missing_test_packages()
    if missing and apt_install(missing):
        missing = missing_test_packages()
    if missing:
        say(f"Tests that need {', '.join(missing)} will be skipped. Type: {line_to_type(missing)}")


def missing_test_packages() -> list[str]:
    """The packages of which a program is not found."""
    return [name for name, programs in TEST_PACKAGES.items() if not all(find_program(word) for word in programs)]


def find_program(name: str) -> str | None:
    """Where a program is: on the search path, or where Debian keeps the servers of its database."""
    kept_apart = sorted(Path("/usr/lib/postgresql").glob(f"*/bin/{name}"), reverse=True)
    return shutil.which(name) or next((str(path) for path in kept_apart), None)


def apt_install(packages: list[str]) -> bool:
    """Install Debian packages if this script may do so without asking; says whether it tried."""
    prefix = privileged_prefix()
    if prefix is None:
        return False
    say(f"Installing the system package{'s' if len(packages) > 1 else ''} {', '.join(packages)} ...")
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    get = [*prefix, "apt-get", "-q", "-y"]
    for command in ([*get, "update"], [*get, "install", "--no-install-recommends", *packages]):
        subprocess.call(command, env=quiet, stdout=subprocess.DEVNULL, stdin=subprocess.DEVNULL)
    return True


def line_to_type(packages: list[str]) -> str:
    """What a person types to install Debian packages."""
    return f"sudo apt install {' '.join(packages)}"


def has_venv_module() -> bool:
    """Whether this Python can make environments with pip in them."""
    found = [importlib.util.find_spec(name) for name in ("venv", "ensurepip")]
    return all(module is not None and module.origin for module in found)


def privileged_prefix() -> list[str] | None:
    """Words to put before apt-get, None when this script may not install packages without asking."""
    if not shutil.which("apt-get"):
        return None
    if os.geteuid() == 0:
        return []
    if shutil.which("sudo") and subprocess.call(["sudo", "-n", "true"], stderr=subprocess.DEVNULL) == 0:
        return ["sudo", "-n"]
    return None


def install(extras: list[str]) -> None:
    """Install this folder (editable: a changed source needs no new installation) and what it depends on."""
    what = "." + (f"[{','.join(extras)}]" if extras else "")
    say("Installing what Spindlewright needs ..." if not extras else f"Installing what {extras[-1]} needs ...")
    pip = [str(environment_python()), "-m", "pip", "--disable-pip-version-check", "--no-input", "-qq"]
    if subprocess.call([*pip, "install", "-e", what], cwd=HERE) != 0:
        raise SetUpError("Installing failed (see above). Is this computer on line? Then type the same again.")


def fingerprint() -> str:
    """Changes when the list of dependencies does, or when the folder has been moved."""
    digest = hashlib.sha256((HERE / "pyproject.toml").read_bytes())
    digest.update(str(HERE).encode())
    return digest.hexdigest()


def read_stamp() -> dict[str, object]:
    """What was installed the last time; empty when unknown."""
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}


# --- running ---------------------------------------------------------------


def run_spindlewright(python: Path, words: list[str]) -> int:
    """The command line of the package; gives its exit status."""
    return subprocess.call(spindlewright_command(python, words))


def spindlewright_command(python: Path, words: list[str]) -> list[str]:
    """The words that start it."""
    return [str(python), "-P", "-m", "spindlewright.cli", *words]


def demonstrate(python: Path, options: list[str]) -> int:
    """Make the demonstration shop (once), then open it in the browser until Ctrl-C."""
    place = ["--data", os.path.relpath(DEMONSTRATION / "shop")]
    DEMONSTRATION.mkdir(exist_ok=True)
    # Its progress and its errors come on standard error; where to find it need not be said, it is opened next.
    status = subprocess.call(spindlewright_command(python, ["demo", *place]), stdout=subprocess.DEVNULL)
    if status != 0:
        return status
    for line in WHAT_TO_DO_FIRST:
        say(line)
    return serve_until_ended(python, ["serve", *place, *options])


def serve_until_ended(python: Path, words: list[str]) -> int:
    """The same, waiting through Ctrl-C: the server gets it too, closes down and says so."""
    server = subprocess.Popen(spindlewright_command(python, words))
    while True:
        try:
            return server.wait()
        except KeyboardInterrupt:
            continue


def run_checks(python: Path, words: list[str]) -> int:
    """Lint, format, types, tests; pytest comes last so that its closing line is the last one."""
    checks = {
        "ruff check": ["ruff", "check", "."],
        "ruff format": ["ruff", "format", "--check", "."],
        "mypy": ["mypy", "--strict"],
    }
    failed = []
    for name, command in checks.items():
        say(f"== {name}")
        if subprocess.call([str(python), "-m", *command], cwd=HERE) != 0:
            failed.append(name)
    say("== pytest")
    if failed:
        say(f"(not clean before this: {', '.join(failed)})")
    parallel = [] if {"-n", "--pdb", "-s"} & set(words) else ["-n", "auto"]
    status = subprocess.call([str(python), "-m", "pytest", "-rs", *parallel, *words], cwd=HERE)
    return status or (1 if failed else 0)


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
