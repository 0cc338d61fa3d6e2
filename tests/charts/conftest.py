"""The stored measurement whose curves are known in closed form."""

from __future__ import annotations

from typing import Any

import pytest

from known_measurement import known_measurement


@pytest.fixture(scope="session")
def measurement() -> dict[str, Any]:
    return known_measurement()
