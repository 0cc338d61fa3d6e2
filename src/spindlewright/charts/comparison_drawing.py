"""The drawing of the before-against-after chart: one strip a row, each with a scale of its own."""

from __future__ import annotations

from collections.abc import Sequence

from spindlewright.charts.comparison_row import Row
from spindlewright.charts.ink_and_paper import ACCENT, HAIR, INK, PAPER, QUIET, RULE, TEXT, TINT
from spindlewright.charts.own_svg import DrawingBoard, Point

_TOP = 30.0
_SECOND_LINE = 24.0
_BOTTOM = 8.0
_ROW = 54.0
_NARROW_ROW = 110.0
_HATCH = 7.0
_FAR = 6.0
"""A limit farther away than this many times the span of both intervals is not put on the scale."""

Line = tuple[Point, Point]
Strip = tuple[float, float]


def comparison_drawing(rows: Sequence[Row], width: float, narrow: bool, name: str, title: str, sentence: str) -> str:
    """The SVG. In the narrow drawing words stand over and under the strip, in the wide one beside it."""
    each = _NARROW_ROW if narrow else _ROW
    height = each * len(rows)
    top = _TOP + (_SECOND_LINE if narrow and _any_band(rows) else 0.0)
    board = DrawingBoard(width, top + height + _BOTTOM)
    strip = (14.0, width - 14.0) if narrow else (272.0, 520.0)
    _key(board, rows, narrow)
    uppers = [top + each * place for place in range(len(rows))]
    middles = [upper + (68.0 if narrow else 0.5 * each) for upper in uppers]
    board.lines([((0.0, y), (width, y)) for y in (*uppers, top + height)], RULE, HAIR)
    pairs = list(zip(rows, middles, strict=True))
    for row, y in pairs:
        _too_small_to_tell(board, row, y, strip)
    board.lines([line for row, y in pairs for line in _hatching(row, y, strip)], RULE, HAIR)
    board.lines([((strip[0], y), (strip[1], y)) for y in middles], RULE, HAIR)
    board.lines([line for row, y in pairs for line in _zero(row, y, strip)], QUIET, 1.0)
    board.lines([line for row, y in pairs for line in _limits(row, y, strip)], INK, 1.6)
    for row, y in pairs:
        _states(board, row, y, strip)
    for row, upper in zip(rows, uppers, strict=True):
        if narrow:
            _words_round(board, row, upper)
        else:
            _words_beside(board, row, upper + 0.5 * each)
    return board.svg(name, title, sentence, (0.0, top, width, height))


def _key(board: DrawingBoard, rows: Sequence[Row], narrow: bool) -> None:
    x, y = 8.0, 18.0
    for words, colour, filled in (("before", INK, False), ("after", ACCENT, True)):
        _mark(board, (x + 6.0, y - 4.0), colour, filled)
        board.words((x + 17.0, y), words, colour)
        x += 82.0
    board.lines([((x + 6.0, y - 11.0), (x + 6.0, y + 3.0))], INK, 1.6)
    board.words((x + 14.0, y), "limit" if narrow else "limit, hatched outside")
    if any(row.zero_is_best for row in rows):
        x += 56.0 if narrow else 176.0
        board.lines([((x + 6.0, y - 8.0), (x + 6.0, y))], QUIET, 1.0)
        board.words((x + 14.0, y), "zero")
    if _any_band(rows):
        x, y = (8.0, y + _SECOND_LINE) if narrow else (x + 64.0, y)
        _band(board, x, x + 22.0, y - 4.0, 6.0)
        board.words((x + 29.0, y), "change too small to tell")


def _mark(board: DrawingBoard, at: Point, colour: str, filled: bool) -> None:
    x, y = at
    if filled:
        board.circle(at, 4.6, colour, colour, 1.0)
    else:
        corners = [(x, y - 5.0), (x + 5.0, y), (x, y + 5.0), (x - 5.0, y)]
        board.shape(corners, PAPER, colour, 1.5)


def _any_band(rows: Sequence[Row]) -> bool:
    return any(row.change_uncertainty is not None and not row.before_bound for row in rows)


def _band(board: DrawingBoard, start: float, end: float, y: float, half_height: float) -> None:
    corners = [
        (start, y - half_height),
        (end, y - half_height),
        (end, y + half_height),
        (start, y + half_height),
    ]
    board.shape(corners, TINT, RULE, HAIR)


def _too_small_to_tell(board: DrawingBoard, row: Row, y: float, strip: Strip) -> None:
    """A band round the value before: a value after that lies within it is no change shown."""
    half = row.change_uncertainty
    if half is not None and not row.before_bound:
        _band(board, _place(row, row.before - half, strip), _place(row, row.before + half, strip), y, 13.0)


def scale_of(row: Row) -> tuple[float, float]:
    """Ends of the strip: both intervals, zero where it is best, and the limits unless they are far away."""
    ends = [row.before - row.before_uncertainty, row.before + row.before_uncertainty]
    ends += [row.after - row.after_uncertainty, row.after + row.after_uncertainty]
    if row.change_uncertainty is not None:
        ends += [row.before - row.change_uncertainty, row.before + row.change_uncertainty]
    if row.zero_is_best:
        ends.append(0.0)
    low, high = min(ends), max(ends)
    for limit in (row.low, row.high):
        if limit is not None and max(low - limit, limit - high) <= _FAR * (high - low):
            ends.append(limit)
    room = 0.09 * (max(ends) - min(ends)) or max(1e-9, abs(ends[0]) * 0.1)
    return min(ends) - room, max(ends) + room


def _place(row: Row, value: float, strip: Strip) -> float:
    low, high = scale_of(row)
    share = (value - low) / (high - low)
    return strip[0] + (strip[1] - strip[0]) * min(1.0, max(0.0, share))


def _hatching(row: Row, y: float, strip: Strip) -> list[Line]:
    """Slanted strokes over what lies outside the limits."""
    lines: list[Line] = []
    if row.low is not None:
        x = _place(row, row.low, strip)
        starts = [x - _HATCH * n for n in range(int((x - strip[0]) // _HATCH))]
        lines += [((start, y + 15.0), (start - _HATCH, y - 15.0)) for start in starts]
    if row.high is not None:
        x = _place(row, row.high, strip)
        starts = [x + _HATCH * n for n in range(int((strip[1] - x) // _HATCH))]
        lines += [((start, y + 15.0), (start + _HATCH, y - 15.0)) for start in starts]
    return lines


def _limits(row: Row, y: float, strip: Strip) -> list[Line]:
    low, high = scale_of(row)
    shown = [limit for limit in (row.low, row.high) if limit is not None and low <= limit <= high]
    return [((x, y - 16.0), (x, y + 16.0)) for x in (_place(row, limit, strip) for limit in shown)]


def _zero(row: Row, y: float, strip: Strip) -> list[Line]:
    if not row.zero_is_best:
        return []
    x = _place(row, 0.0, strip)
    return [((x, y - 4.0), (x, y + 4.0))]


def _states(board: DrawingBoard, row: Row, y: float, strip: Strip) -> None:
    for value, half, bound, at, colour, filled in (
        (row.before, row.before_uncertainty, row.before_bound, y - 8.0, INK, False),
        (row.after, row.after_uncertainty, row.after_bound, y + 8.0, ACCENT, True),
    ):
        x = _place(row, value, strip)
        ends = [_place(row, value - half, strip), _place(row, value + half, strip)]
        if bound:
            ends = [strip[0], x] if bound == "upper" else [x, strip[1]]
        board.lines([((ends[0], at), (ends[1], at))], colour, 2.2)
        if bound:
            board.lines([((x, at - 5.0), (x, at + 5.0))], colour, 2.2)
        else:
            _mark(board, (x, at), colour, filled)


def _words_beside(board: DrawingBoard, row: Row, middle: float) -> None:
    limit = row.limit_in_words
    board.words((8.0, middle - 3.0), row.title, INK)
    board.words((8.0, middle + 13.0), f"limit {limit}" if limit else "no limit")
    board.words((538.0, middle - 3.0), row.outcome, INK, TEXT, bold=_is_news(row))
    board.words((538.0, middle + 13.0), _change(row), INK)


def _words_round(board: DrawingBoard, row: Row, upper: float) -> None:
    right = board.width - 8.0
    limit = row.limit_in_words
    board.words((8.0, upper + 19.0), row.title, INK)
    board.words((8.0, upper + 37.0), f"limit {limit}" if limit else "no limit")
    board.words((8.0, upper + 101.0), _change(row), INK)
    board.words((right, upper + 101.0), row.outcome, INK, anchor="end", bold=_is_news(row))


def _change(row: Row) -> str:
    before, after = row.values_in_words
    return f"{before} → {after}{row.unit_after_a_number}"


def _is_news(row: Row) -> bool:
    return row.outcome in {"better", "worse"}
