"""A simulated deck playing a test disc, for demonstration, training and tests (pure: no file, no clock, no print).

``Spec`` says what deck, disc and recorder are like; ``render`` gives the recording together with what was put in;
``render_blocks`` gives the same samples block by block in bounded memory.
"""

from spindlewright.simulate.render import Performance, frames, render, render_blocks
from spindlewright.simulate.spec import Spec
from spindlewright.simulate.truth import Truth, truth_of

__all__ = ["Performance", "Spec", "Truth", "frames", "render", "render_blocks", "truth_of"]
