"""One row of the before-against-after chart, and how it reads."""

from __future__ import annotations

from dataclasses import dataclass

from spindlewright.wording import limit_in_words, unit_in_words, upper_bound, value_with_uncertainty

_BOUNDS = {"upper": "under", "lower": "over"}


@dataclass(frozen=True, slots=True)
class Row:
    """One quantity before and after, in its unit, with the half-widths of the 95 % intervals and the outcome in words.

    A state known only as a bound has ``before_bound`` or ``after_bound``: "upper" (it lies below the value) or
    "lower". ``low`` and ``high`` are the limit, None where there is none on that side. ``zero_is_best`` puts zero on
    the scale. ``change_uncertainty`` is the half-width of the 95 % interval of the change: what is smaller can't be
    told; None where it is not known.
    """

    title: str
    unit: str
    before: float
    before_uncertainty: float
    after: float
    after_uncertainty: float
    outcome: str
    low: float | None = None
    high: float | None = None
    zero_is_best: bool = False
    signed: bool = False
    before_bound: str | None = None
    after_bound: str | None = None
    change_uncertainty: float | None = None

    @property
    def unit_after_a_number(self) -> str:
        """Degrees without a space, all others with one."""
        unit = unit_in_words(self.unit)
        return unit if unit == "°" else f" {unit}"

    @property
    def values_in_words(self) -> tuple[str, str]:
        """Both values as printed, without the unit; a bound with "under" or "over"."""
        return (
            self._value(self.before, self.before_uncertainty, self.before_bound),
            self._value(self.after, self.after_uncertainty, self.after_bound),
        )

    @property
    def intervals_in_words(self) -> tuple[str, str]:
        """Both values with their uncertainty and unit."""
        return (
            self._interval(self.before, self.before_uncertainty, self.before_bound),
            self._interval(self.after, self.after_uncertainty, self.after_bound),
        )

    @property
    def limit_in_words(self) -> str:
        """``up to 0.2 %``; empty without a limit."""
        words = limit_in_words(self.low, self.high)
        return f"{words}{self.unit_after_a_number}" if words else ""

    def _value(self, value: float, half: float, bound: str | None) -> str:
        if bound:
            return f"{_BOUNDS[bound]} {upper_bound(value, self.unit)}"
        return value_with_uncertainty(value, half, self.unit, self.signed)[0]

    def _interval(self, value: float, half: float, bound: str | None) -> str:
        if bound:
            return f"{self._value(value, half, bound)}{self.unit_after_a_number}"
        number, uncertainty = value_with_uncertainty(value, half, self.unit, self.signed)
        return f"{number} ± {uncertainty}{self.unit_after_a_number}"
