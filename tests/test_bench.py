"""``bench.py``: what it does when something is missing, and what it passes on. Nothing is installed here."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).parent.parent


@pytest.fixture
def bench(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The script as a module, at home in an empty folder."""
    specification = importlib.util.spec_from_file_location("bench_script", ROOT / "bench.py")
    assert specification
    assert specification.loader
    module = importlib.util.module_from_spec(specification)
    specification.loader.exec_module(module)
    for name, value in {
        "HERE": tmp_path,
        "ENVIRONMENT": tmp_path / ".venv",
        "STAMP": tmp_path / ".venv" / module.STAMP.name,
        "DEMONSTRATION": tmp_path / "demonstration",
    }.items():
        monkeypatch.setattr(module, name, value)
    (tmp_path / "pyproject.toml").write_text("[project]\n", encoding="utf-8")
    return module


class Calls(list):
    """Stands for ``subprocess.call``: keeps the commands; ``failing`` words give status 1."""

    def __init__(self, *failing: str) -> None:
        super().__init__()
        self.failing = failing

    def __call__(self, command: list[object], **_: object) -> int:
        words = [str(word) for word in command]
        self.append(words)
        return 1 if any(word in words for word in self.failing) else 0


def test_it_needs_nothing_but_the_standard_library() -> None:
    code = "import sys; sys.path.insert(0, '.'); import bench; print(*{n.split('.')[0] for n in sys.modules})"
    loaded = subprocess.run(
        [sys.executable, "-I", "-S", "-c", code], cwd=ROOT, capture_output=True, text=True, check=True
    )
    assert set(loaded.stdout.split()) - {"bench", "__main__"} <= set(sys.stdlib_module_names)


def test_the_missing_system_package_is_installed_when_that_is_allowed(
    bench: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    answers = iter([False, True])
    calls = Calls()
    monkeypatch.setattr(bench, "has_venv_module", lambda: next(answers))
    monkeypatch.setattr(bench, "privileged_prefix", list)
    monkeypatch.setattr(subprocess, "call", calls)
    bench.ensure_venv_module()
    assert [call[:1] for call in calls] == [["apt-get"], ["apt-get"]]
    assert calls[-1][-2:] == ["--no-install-recommends", "python3-venv"]


@pytest.mark.parametrize("prefix", [None, [], ["sudo", "-n"]])
def test_else_it_says_the_one_line_to_type(
    bench: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], prefix: list[str] | None
) -> None:
    monkeypatch.setattr(bench, "has_venv_module", lambda: False)
    monkeypatch.setattr(bench, "privileged_prefix", lambda: prefix)
    monkeypatch.setattr(subprocess, "call", Calls())
    assert bench.main([]) == 2
    assert capsys.readouterr().err.splitlines()[-1].endswith("Type: sudo apt install python3-venv")


def test_an_old_python_is_told_what_to_do(
    bench: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 9, 2))
    assert bench.main([]) == 2
    assert "3.9" in capsys.readouterr().err


def test_a_failing_installation_is_one_clear_line(
    bench: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(bench, "environment_runs", lambda: True)
    monkeypatch.setattr(subprocess, "call", Calls("install"))
    assert bench.main(["measure", "a.wav"]) == 2
    assert "on line" in capsys.readouterr().err.splitlines()[-1]


@pytest.mark.parametrize("rubbish", ["file", "folder", "link", "nothing"])
def test_an_environment_that_does_not_work_is_made_anew(
    bench: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, rubbish: str
) -> None:
    place = tmp_path / ".venv"
    if rubbish == "file":
        place.write_text("x", encoding="utf-8")
    elif rubbish == "folder":
        (place / "bin").mkdir(parents=True)
        (place / "bin" / "python").symlink_to(tmp_path / "gone")
    elif rubbish == "link":
        (tmp_path / "elsewhere").mkdir()
        place.symlink_to(tmp_path / "elsewhere")
    calls = Calls()
    monkeypatch.setattr(subprocess, "call", calls)
    assert not bench.environment_runs()
    bench.remake_environment()
    assert calls == [[sys.executable, "-m", "venv", str(place)]]
    assert not place.exists()
    assert not place.is_symlink()


def test_pytest_comes_last_and_gets_the_other_words(bench: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    calls = Calls()
    monkeypatch.setattr(bench, "set_up", lambda extra=None: Path("python"))
    monkeypatch.setattr(bench, "missing_test_packages", list)
    monkeypatch.setattr(subprocess, "call", calls)
    assert bench.main(["test", "-k", "crosstalk"]) == 0
    assert [call[2] for call in calls] == ["ruff", "ruff", "mypy", "pytest"]
    assert calls[-1][-2:] == ["-k", "crosstalk"]


@pytest.mark.parametrize("failing", ["ruff", "mypy", "pytest"])
def test_any_check_that_fails_makes_the_whole_fail_but_all_are_run(
    bench: ModuleType, monkeypatch: pytest.MonkeyPatch, failing: str
) -> None:
    calls = Calls(failing)
    monkeypatch.setattr(bench, "set_up", lambda extra=None: Path("python"))
    monkeypatch.setattr(bench, "missing_test_packages", list)
    monkeypatch.setattr(subprocess, "call", calls)
    assert bench.main(["test"]) == 1
    assert calls[-1][2] == "pytest"


def test_other_words_go_to_spindlewright_with_its_exit_status(
    bench: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls = Calls("--fail-outside")
    monkeypatch.setattr(bench, "set_up", lambda extra=None: Path("python"))
    monkeypatch.setattr(subprocess, "call", calls)
    assert bench.main(["measure", "x.wav", "--fail-outside"]) == 1
    assert calls == [["python", "-P", "-m", "spindlewright.cli", "measure", "x.wav", "--fail-outside"]]


@pytest.mark.parametrize("options", [[], ["--no-browser"], ["--port", "8123", "--no-browser"]])
def test_alone_it_makes_the_demonstration_shop_and_serves_it(
    bench: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], options: list[str]
) -> None:
    calls = Calls()
    monkeypatch.setattr(bench, "set_up", lambda extra=None: Path("python"))
    monkeypatch.setattr(subprocess, "call", calls)
    monkeypatch.setattr(subprocess, "Popen", lambda command: Server(calls(command)))
    assert bench.main(options) == 0
    start = ["python", "-P", "-m", "spindlewright.cli"]
    place = ["--data", os.path.relpath(bench.DEMONSTRATION / "shop")]
    assert calls == [[*start, "demo", *place], [*start, "serve", *place, *options]]
    told = capsys.readouterr().err.splitlines()
    assert len(told) == 3
    for line, word in zip(told, ("sheet", "Tap the turns", "job card"), strict=True):
        assert word in line


class Server:
    """Stands for a server that is stopped with Ctrl-C and then closes down with ``status``."""

    def __init__(self, status: int) -> None:
        self.status, self.asked = status, 0

    def wait(self) -> int:
        self.asked += 1
        if self.asked == 1:
            raise KeyboardInterrupt
        return self.status


def test_it_serves_nothing_when_the_demonstration_shop_cannot_be_made(
    bench: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls = Calls("demo")
    monkeypatch.setattr(bench, "set_up", lambda extra=None: Path("python"))
    monkeypatch.setattr(subprocess, "call", calls)
    assert bench.main([]) == 1
    assert len(calls) == 1


def test_the_missing_packages_of_the_tests_are_installed_when_that_is_allowed(
    bench: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    answers = iter([["chromium", "poppler-utils"], []])
    calls = Calls()
    monkeypatch.setattr(bench, "missing_test_packages", lambda: next(answers))
    monkeypatch.setattr(bench, "privileged_prefix", list)
    monkeypatch.setattr(subprocess, "call", calls)
    bench.get_test_packages()
    assert [call[3] for call in calls] == ["update", "install"]
    assert calls[-1][-3:] == ["--no-install-recommends", "chromium", "poppler-utils"]
    assert "Type:" not in capsys.readouterr().err


@pytest.mark.parametrize("prefix", [None, []])
def test_else_the_tests_go_on_and_the_line_to_type_is_said(
    bench: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], prefix: list[str] | None
) -> None:
    calls = Calls("install")
    monkeypatch.setattr(bench, "set_up", lambda extra=None: Path("python"))
    monkeypatch.setattr(bench, "missing_test_packages", lambda: ["postgresql", "poppler-utils"])
    monkeypatch.setattr(bench, "privileged_prefix", lambda: prefix)
    monkeypatch.setattr(subprocess, "call", calls)
    assert bench.main(["test"]) == 0
    assert "Type: sudo apt install postgresql poppler-utils" in capsys.readouterr().err
    assert calls[-1][2] == "pytest"


def test_a_package_counts_as_missing_when_one_of_its_programs_is(
    bench: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    there = {"chromium", "postgres", "pdftotext", "pdftoppm", "pdfinfo"}
    monkeypatch.setattr(bench, "find_program", lambda name: f"bin/{name}" if name in there else None)
    assert bench.missing_test_packages() == ["poppler-utils"]


def test_the_build_machine_runs_the_same_command() -> None:
    run = ROOT / ".ci" / "run"
    assert run.stat().st_mode & 0o111
    assert run.read_text(encoding="utf-8").rstrip().endswith("python3 bench.py test")
