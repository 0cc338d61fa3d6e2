"""Survey and naming of a scene, as the measuring path does it."""

from __future__ import annotations

import numpy as np
from band_scenes import Scene

from spindlewright.bands.layout import Layout
from spindlewright.bands.naming import Named, name_bands
from spindlewright.signal.survey import Survey


def named(sound: np.ndarray, rate: float, layout: Layout | None = None, rpm: float | None = None) -> Named:
    survey = Survey(rate)
    for start in range(0, len(sound), 65536):
        survey.feed(sound[start : start + 65536])
    return name_bands(survey.result(), layout, rpm)


def named_scene(scene: Scene, layout: Layout | None = None) -> Named:
    return named(scene.sound(), scene.rate, layout)


def codes(result: Named) -> set[str]:
    return {item.code for item in result.fitness}
