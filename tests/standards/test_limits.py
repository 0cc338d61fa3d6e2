"""Named sets of limits and the way they are found."""

import pytest

from spindlewright.readings.reading import Limit as LimitOfReadings
from spindlewright.readings.register import METHODS
from spindlewright.standards.limit_quantities import LEVELS_BELOW_REFERENCE, QUANTITY_UNITS
from spindlewright.standards.limits import DEFAULT, Limit, LimitsError, find_limits, named_limits

NAMES = [
    "hi-fi-minimum",
    "hi-fi-minimum-1984",
    "bench-quartz-direct",
    "bench-servo",
    "bench-belt",
    "bench-idler",
    "bench-changer",
]


def test_names() -> None:
    assert list(named_limits()) == NAMES
    assert find_limits() is find_limits(DEFAULT)


@pytest.mark.parametrize("name", NAMES)
def test_every_set_is_complete(name: str) -> None:
    limits = find_limits(name)
    assert limits.name == name
    assert limits.title
    assert limits.source
    for quantity, limit in limits.limits.items():
        assert quantity in QUANTITY_UNITS
        assert limit.low is not None or limit.high is not None
        assert limit.source
        if quantity in LEVELS_BELOW_REFERENCE:
            assert limit.low is None
            assert limit.high is not None
            assert limit.high < 0.0


def test_sets_can_not_be_changed() -> None:
    with pytest.raises(TypeError):
        find_limits().limits["wow"] = Limit(None, 1.0, "x")  # type: ignore[index]


@pytest.mark.parametrize("name", ["", "hifi-minimum", "bench"])
def test_unknown_name_lists_the_names(name: str) -> None:
    with pytest.raises(LimitsError, match="hi-fi-minimum, hi-fi-minimum-1984, bench-quartz-direct"):
        find_limits(name)


def test_near_miss_is_named() -> None:
    with pytest.raises(LimitsError, match="did you mean hi-fi-minimum"):
        find_limits("hifi-minimum")


def test_quantities_and_units_are_those_of_the_readings() -> None:
    glossary = {quantity.name: quantity.unit for method in METHODS for quantity in method.quantities}
    assert glossary
    assert {name: QUANTITY_UNITS.get(name) for name in glossary} == glossary


def test_limit_is_one_class_in_both_rooms() -> None:
    assert LimitOfReadings is Limit
