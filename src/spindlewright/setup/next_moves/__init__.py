"""Next moves: what to turn, fit, look at or measure again, from readings, findings, fitness and the deck."""

from spindlewright.setup.next_moves.move import Kind, Move
from spindlewright.setup.next_moves.register import REGISTER, next_moves

__all__ = ["REGISTER", "Kind", "Move", "next_moves"]
