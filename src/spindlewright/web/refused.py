"""What is not done, as it is raised."""

from __future__ import annotations


class Refused(Exception):  # noqa: N818 - read as a sentence
    """Not done, with the status, the one sentence to show, and the field it is about."""

    def __init__(self, status: int, sentence: str, field: str | None = None) -> None:
        super().__init__(sentence)
        self.status = status
        self.sentence = sentence
        self.field = field
