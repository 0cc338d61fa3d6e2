"""The house keeps its plan: imports go one way, pure rooms stay pure, no file grows out of hand.

The order of the rooms is that of the contributor's guide. All imports count, also those for type checking only.
"""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "src" / "spindlewright"

ROOMS = [
    "typed_numbers",
    "wording",
    "reading_words",
    "standards",
    "signal",
    "simulate",
    "capture",
    "bands",
    "readings",
    "measurement",
    "first_pass",
    "second_pass",
    "measure",
    "contract",
    "setup",
    "charts",
    "shop",
    "sheets",
    "demo",
    "web",
    "cli",
]
PURE = {
    *("standards", "signal", "simulate", "bands", "readings", "measurement", "contract", "typed_numbers", "wording"),
    *("setup", "charts", "reading_words"),
}
ALLOWED_ALL_THE_SAME = {"charts": {"matplotlib", "io"}}
NOT_IN_PURE_ROOMS = {
    *(
        "os",
        "io",
        "pathlib",
        "sys",
        "time",
        "datetime",
        "logging",
        "subprocess",
        "socket",
        "tempfile",
        "shutil",
        "glob",
    ),
    *("urllib", "http", "sqlite3", "soundfile", "sounddevice", "rich", "cyclopts", "matplotlib", "platformdirs"),
}
NOT_CALLED_IN_PURE_ROOMS = {"open", "print", "input", "breakpoint"}
LONGEST_FILE = 500

MODULES = sorted(PACKAGE.rglob("*.py"))


def name_of(path: Path) -> str:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def room_of(module: str) -> str:
    parts = module.split(".")
    return parts[1] if len(parts) > 1 else ""


@cache
def tree_of(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def imports_of(path: Path) -> set[str]:
    """Full names of what a module imports; ``from a import b`` gives a.b where that is a module, else a."""
    known = {name_of(module) for module in MODULES}
    found: set[str] = set()
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}: relative import; write the full name"
            inner = {f"{node.module}.{alias.name}" for alias in node.names}
            found |= {name if name in known else str(node.module) for name in inner}
    return found


def own(names: set[str]) -> set[str]:
    return {name for name in names if name.split(".")[0] == "spindlewright"}


def ids(path: Path) -> str:
    return str(path.relative_to(PACKAGE))


def test_every_room_is_on_the_plan() -> None:
    found = {room_of(name_of(path)) for path in MODULES} - {""}
    assert found <= set(ROOMS)


@pytest.mark.parametrize("path", MODULES, ids=ids)
def test_a_room_imports_only_from_rooms_above_it(path: Path) -> None:
    here = room_of(name_of(path))
    if not here:
        return
    for imported in own(imports_of(path)):
        there = room_of(imported)
        assert there in ROOMS, f"{imported} is not on the plan"
        assert ROOMS.index(there) <= ROOMS.index(here), f"{name_of(path)} must not import {imported}"
        assert (here, there) != ("readings", "simulate"), f"{name_of(path)} must not see the truth"


@pytest.mark.parametrize("path", [p for p in MODULES if room_of(name_of(p)) in PURE], ids=ids)
def test_pure_rooms_do_no_input_or_output(path: Path) -> None:
    outside = {name.split(".")[0] for name in imports_of(path)} & NOT_IN_PURE_ROOMS
    outside -= ALLOWED_ALL_THE_SAME.get(room_of(name_of(path)), set())
    assert not outside, f"{name_of(path)} imports {sorted(outside)}"
    called = {
        node.func.id
        for node in ast.walk(tree_of(path))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)
    }
    assert not called & NOT_CALLED_IN_PURE_ROOMS, f"{name_of(path)} calls {sorted(called & NOT_CALLED_IN_PURE_ROOMS)}"


def test_no_modules_import_each_other_in_a_circle() -> None:
    graph = {name_of(path): own(imports_of(path)) for path in MODULES}
    finished: set[str] = set()

    def visit(module: str, trail: tuple[str, ...]) -> None:
        assert module not in trail, " imports ".join((*trail[trail.index(module) :], module))
        if module in finished:
            return
        for imported in sorted(graph.get(module, set()) - {module}):
            visit(imported, (*trail, module))
        finished.add(module)

    for module in sorted(graph):
        visit(module, ())


SOURCES = [
    *MODULES,
    *sorted((ROOT / "tests").rglob("*.py")),
    *sorted((ROOT / "benchmarks").rglob("*.py")),
    ROOT / "bench.py",
]


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_no_file_is_too_long_and_each_says_what_it_is(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= LONGEST_FILE
    assert ast.get_docstring(tree_of(path)) or not path.read_text(encoding="utf-8").strip()


def test_no_path_of_one_machine_is_written_down() -> None:
    places = "|".join(("work", "tmp", "root", "home", "Users", "mnt"))
    pattern = re.compile(rf"""(?:^|[\s"'`(=])/(?:{places})(?:/|["'`\s)])""", re.MULTILINE)
    kinds = {".py", ".md", ".toml", ".yml", ".yaml", ".cfg", ""}
    skipped = {".git", ".venv", "demonstration", "build", "dist", "node_modules"}
    for path in ROOT.rglob("*"):
        relative = path.relative_to(ROOT)
        hidden = any(part in skipped or part.endswith(("_cache", ".egg-info", "__")) for part in relative.parts)
        if hidden or ".hypothesis" in relative.parts or path.suffix not in kinds or not path.is_file():
            continue
        found = pattern.search(path.read_text(encoding="utf-8", errors="replace"))
        assert not found, f"{relative}: {found.group().strip() if found else ''}"


def test_importing_the_package_is_light() -> None:
    """``spindlewright --help`` must answer at once, so the package's front and the command tree load no numpy."""
    heavy = {"numpy", "scipy", "soundfile", "soxr"}
    for name in ("__init__.py", "cli/__init__.py", "cli/app.py", "cli/trouble.py"):
        path = PACKAGE / name
        if path.exists():
            at_top = [node for node in tree_of(path).body if isinstance(node, ast.Import | ast.ImportFrom)]
            names = {
                (node.module or "") if isinstance(node, ast.ImportFrom) else node.names[0].name for node in at_top
            }
            assert not {name.split(".")[0] for name in names} & heavy
