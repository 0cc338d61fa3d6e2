"""Every module of the room says what it holds, what it leaves out, and how well each number is known."""

import importlib
import pkgutil

import pytest

import spindlewright.standards as room
from spindlewright.standards.provenance import STATUS_IN_WORDS, Clause, Fact
from spindlewright.standards.requirement import Requirement

MODULES = [module.name for module in pkgutil.iter_modules(room.__path__)]
STANDARDS = [name for name in MODULES if any(part.isdigit() and len(part) == 4 for part in name.split("_"))]


def contents(name: str) -> list[object]:
    """Objects of a module, tables and dictionaries opened."""
    found: list[object] = []
    for value in vars(importlib.import_module(f"spindlewright.standards.{name}")).values():
        if isinstance(value, dict):
            found += value.values()
        elif isinstance(value, tuple):
            found += value
        else:
            found.append(value)
    return found


def test_there_are_standards_in_the_room() -> None:
    assert {"iec_60386_1972", "iec_60098_2020", "din_45500_3_1966", "jcgm_101_2008"} <= set(STANDARDS)


@pytest.mark.parametrize("name", STANDARDS)
def test_clauses_done_and_not_done_are_listed(name: str) -> None:
    module = importlib.import_module(f"spindlewright.standards.{name}")
    assert module.CLAUSES
    for clause in module.CLAUSES:
        assert isinstance(clause, Clause)
        assert clause.number
        assert clause.subject
        assert clause.where
    assert any(clause.done for clause in module.CLAUSES)
    assert any(not clause.done for clause in module.CLAUSES), "a standard done in full would be a surprise"


@pytest.mark.parametrize("name", STANDARDS)
def test_what_a_clause_points_to_exists(name: str) -> None:
    module = importlib.import_module(f"spindlewright.standards.{name}")
    for clause in module.CLAUSES:
        first = clause.where.split(",")[0].split(" ")[0].split(":")[0]
        if clause.done and first.isidentifier() and not hasattr(module, first):
            pytest.fail(f"{name} {clause.number}: {first} is not there")


@pytest.mark.parametrize("name", MODULES)
def test_facts_and_rows_have_source_and_status(name: str) -> None:
    for item in contents(name):
        if isinstance(item, Fact):
            assert item.name
            assert item.status in STATUS_IN_WORDS
            assert item.source or item.status == "practice"
        if isinstance(item, Requirement):
            assert item.source
            assert item.status in STATUS_IN_WORDS
            assert item.low is not None or item.high is not None


def test_a_fact_reads_as_a_sentence() -> None:
    fact = Fact("recording speed tolerance", 0.5, "%", "5.6", "IEC 60098:2020", "confirmed")
    assert str(fact) == "recording speed tolerance 0.5 % (IEC 60098:2020 5.6, confirmed by look-up)"
    assert "none stated" in str(Fact("eccentricity", None, "mm", "", "JIS", "memory"))
