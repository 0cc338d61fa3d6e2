"""Two ways to work a page: with the mouse, and with the keyboard alone. Both do what a person does, nothing by script.

The keyboard reaches everything by Tab; it never clicks and never sets the focus from outside.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

MOST_TABS = 400


class MouseHand:
    """Clicks, and types into what was clicked."""

    def __init__(self, sheet: Any) -> None:
        self.sheet = sheet

    def go_to(self, place: Any) -> None:
        place.click()

    def press(self, button: Any) -> None:
        """A button or link that leads to another state of the page."""
        with self.sheet.expect_navigation():
            button.click()

    def fill(self, field: Any, words: str) -> None:
        field.click()
        field.press("Control+A")
        self.sheet.keyboard.type(words)

    def choose(self, field: Any, words: str) -> None:
        field.select_option(label=words)

    def tick(self, box: Any) -> None:
        box.click()

    def files(self, field: Any, paths: Sequence[Path]) -> None:
        with self.sheet.expect_file_chooser() as chooser:
            field.click()
        chooser.value.set_files([str(path) for path in paths])

    def answer(self, form: Any, key: str) -> None:
        """One question answered by its button."""
        self.press(form.locator(f"button[data-key='{key}']"))

    def unfold(self, details: Any) -> None:
        if details.get_attribute("open") is None:
            details.locator(":scope > summary").click()


class KeyboardHand(MouseHand):
    """Tab, letters, Enter and Space."""

    def go_to(self, place: Any) -> None:
        """Tab until the focus is there."""
        wanted = place.element_handle()
        for _ in range(MOST_TABS):
            if wanted.evaluate("one => one === document.activeElement"):
                return
            self.sheet.keyboard.press("Tab")
        raise AssertionError(f"not reached by {MOST_TABS} tabs: {place}")

    def press(self, button: Any) -> None:
        self.go_to(button)
        with self.sheet.expect_navigation():
            self.sheet.keyboard.press("Enter")

    def fill(self, field: Any, words: str) -> None:
        self.go_to(field)
        self.sheet.keyboard.press("Control+A")
        self.sheet.keyboard.type(words)

    def choose(self, field: Any, words: str) -> None:
        self.go_to(field)
        self.sheet.keyboard.press("Home")
        for _ in range(60):
            if field.evaluate("one => one.selectedOptions[0].label") == words:
                return
            self.sheet.keyboard.press("ArrowDown")
        raise AssertionError(f"no choice {words!r}")

    def tick(self, box: Any) -> None:
        self.go_to(box)
        self.sheet.keyboard.press("Space")

    def files(self, field: Any, paths: Sequence[Path]) -> None:
        # the wait begins before the way there: the browser must know of it when the key comes
        with self.sheet.expect_file_chooser(timeout=60_000) as chooser:
            self.go_to(field)
            self.sheet.keyboard.press("Space")
        chooser.value.set_files([str(path) for path in paths])

    def answer(self, form: Any, key: str) -> None:
        """One question answered by its letter; it must be the marked one, or the next without an answer."""
        with self.sheet.expect_navigation():
            self.sheet.keyboard.press(key)

    def unfold(self, details: Any) -> None:
        if details.get_attribute("open") is None:
            self.go_to(details.locator(":scope > summary"))
            self.sheet.keyboard.press("Enter")
