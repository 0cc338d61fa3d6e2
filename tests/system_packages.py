"""Marks for tests that need a system package: without it they are skipped, and the reason is the line to type.

    @needs("chromium", "poppler-utils")
    def test_…

``program("postgres")`` gives the path of one of their programs. ``python3 bench.py test`` installs them when it may.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import pytest


def _bench() -> ModuleType:
    place = Path(__file__).parent.parent / "bench.py"
    specification = importlib.util.spec_from_file_location("bench_for_packages", place)
    assert specification
    assert specification.loader
    module = importlib.util.module_from_spec(specification)
    specification.loader.exec_module(module)
    return module


BENCH = _bench()


def needs(*packages: str) -> pytest.MarkDecorator:
    """Skip without these packages, which stand in the list of ``bench.py``."""
    unknown = set(packages) - set(BENCH.TEST_PACKAGES)
    assert not unknown, f"{unknown}: not in TEST_PACKAGES of bench.py"
    missing = [name for name in packages if name in BENCH.missing_test_packages()]
    return pytest.mark.skipif(bool(missing), reason=f"Type: {BENCH.line_to_type(missing)}")


def program(name: str) -> str:
    """Path of a program that one of the packages brings."""
    found = BENCH.find_program(name)
    assert found, f"{name} is missing; mark the test with needs(...)"
    return str(found)
