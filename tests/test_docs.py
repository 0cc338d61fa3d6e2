"""Whatever a user can type, and whatever the page can say, is documented. Documentation that is stale fails here."""

from __future__ import annotations

import ast
import importlib.util
import re
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest
from cyclopts import App

from spindlewright.capture import fitness_codes
from spindlewright.cli.app import build
from spindlewright.readings.method import Quantity
from spindlewright.readings.register import METHODS
from spindlewright.standards.limit_quantities import QUANTITY_UNITS
from spindlewright.standards.limits import named_limits
from spindlewright.wording import SUBJECTS

ROOT = Path(__file__).parent.parent
DOCS = ROOT / "docs"
GUIDE = (DOCS / "users-guide.md").read_text(encoding="utf-8")

# The list of the readings contract, copied by hand.
FITNESS_CODES = [
    "clipped",
    "too_quiet",
    "offset",
    "channel_dead",
    "mono",
    "inverted",
    "swapped",
    "gain_changes",
    "drop_out",
    "missing_samples",
    "wrong_sample_rate",
    "wrong_speed",
    "nominal_doubt",
    "hum_drowned",
    "too_short",
    "no_tone",
    "many_ticks",
    "not_finite",
    "truncated",
]

QUANTITIES: list[Quantity] = [quantity for method in METHODS for quantity in method.quantities]


def commands(app: App, path: tuple[str, ...] = ()) -> Iterator[tuple[str, App]]:
    for name in app:
        if name.startswith("-"):
            continue
        command = app[name]
        words = (*path, name)
        if command.default_command is not None:
            yield " ".join(words), command
        yield from commands(command, words)


COMMANDS = dict(commands(build()))


def test_the_commands_are_those_of_the_contract() -> None:
    jobs = {"job list", "job show", "job new", "job capture", "job close"}
    assert set(COMMANDS) == {
        "measure",
        "bands",
        "disc learn",
        "disc list",
        "disc show",
        "simulate",
        "serve",
        "demo",
        "sheet",
        *jobs,
    }


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_and_every_option_is_in_the_users_guide(name: str) -> None:
    assert f"spindlewright {name}" in GUIDE or f"`{name}`" in GUIDE
    for argument in COMMANDS[name].assemble_argument_collection():
        for option in argument.names:
            if option.startswith("--") and option not in argument.negatives:
                assert f"`{option}" in GUIDE, f"{name} {option}"


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_takes_json_and_explains_each_option(name: str) -> None:
    arguments = COMMANDS[name].assemble_argument_collection()
    assert any("--json" in argument.names for argument in arguments)
    for argument in arguments:
        assert argument.parameter.help, f"{name} {argument.names}"


def test_the_fitness_codes_are_those_of_the_contract_and_each_has_meaning_and_remedy() -> None:
    assert set(fitness_codes.FITNESS_CODES) == set(FITNESS_CODES)
    for entry in fitness_codes.FITNESS_CODES.values():
        assert len(entry.meaning.split()) > 3
        assert len(entry.remedy.split()) > 3
        assert f"## `{entry.code}`" in (DOCS / "fitness.md").read_text(encoding="utf-8")


def test_no_other_fitness_code_is_given_anywhere() -> None:
    for path in (ROOT / "src").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if not (isinstance(node, ast.Call) and getattr(node.func, "id", "") == "FitnessItem"):
                continue
            given = [node.args[0]] if node.args else [word.value for word in node.keywords if word.arg == "code"]
            for value in given:
                if isinstance(value, ast.Constant):
                    assert value.value in FITNESS_CODES, f"{path.name}: {value.value}"


@pytest.mark.parametrize("quantity", QUANTITIES, ids=lambda quantity: quantity.name)
def test_every_quantity_is_documented_titled_and_may_have_a_limit(quantity: Quantity) -> None:
    assert f"`{quantity.name}`" in GUIDE
    assert any(quantity.name in titles for titles in SUBJECTS.values())
    assert QUANTITY_UNITS[quantity.name] == quantity.unit
    assert quantity.definition
    assert quantity.source


def test_no_quantity_is_defined_twice() -> None:
    names = [quantity.name for quantity in QUANTITIES]
    assert len(names) == len(set(names))


def test_the_pages_written_from_the_code_are_fresh() -> None:
    assert script("make_pages").main(["--check"]) == 0


def script(name: str) -> ModuleType:
    specification = importlib.util.spec_from_file_location(name, DOCS / f"{name}.py")
    assert specification
    assert specification.loader
    module = importlib.util.module_from_spec(specification)
    specification.loader.exec_module(module)
    return module


@pytest.mark.parametrize("name", named_limits())
def test_every_named_set_of_limits_is_in_the_users_guide(name: str) -> None:
    assert f"`{name}`" in GUIDE


PAGES = [ROOT / "README.md", ROOT / "CHANGELOG.md", *sorted(DOCS.glob("*.md"))]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_leads_somewhere(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    for target in re.findall(r"\]\(([^)\s]+)\)", text):
        if target.startswith("http"):
            continue
        file, _, anchor = target.partition("#")
        linked = page.parent / file if file else page
        assert linked.exists(), target
        if anchor:
            titles = re.findall(r"^#+ (.+)$", linked.read_text(encoding="utf-8"), re.MULTILINE)
            anchors = {re.sub(r"[^\w\s-]", "", title).strip().lower().replace(" ", "-") for title in titles}
            assert anchor in anchors, target


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_file_that_is_named_exists(page: Path) -> None:
    """Names in code marks; files that a reader is to make (example_…, body_…, name.toml) are excepted."""
    to_be_made = re.compile(r"example_|body_number|\bname\.(?:toml|py|html)|NNNN|SPEC|OUT|side-a|\.truth")
    roots = (ROOT, ROOT / "src" / "spindlewright", page.parent)
    for name in re.findall(r"`([\w./-]+\.(?:py|md|toml)|[\w./-]+/)`", page.read_text(encoding="utf-8")):
        if not to_be_made.search(name):
            assert any((root / name).exists() for root in roots), name


def test_documented_toml_examples_are_accepted() -> None:
    import tomllib

    from spindlewright.bands.layout import layout_from_toml
    from spindlewright.simulate.spec import Spec
    from spindlewright.standards.limits import limits_from_toml

    layout, limits, deck = re.findall(r"```toml\n(.*?)```", GUIDE, re.DOTALL)
    assert len(layout_from_toml(layout, "guide").bands) == 2
    assert limits_from_toml(limits).limits["rumble_weighted"].high == -45.0
    assert Spec.from_dict(tomllib.loads(deck)).bands[0].hz == 3150
