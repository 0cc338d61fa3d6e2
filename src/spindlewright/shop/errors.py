"""What the shop says when it does not do something: one clear sentence each, for a technician to read."""

from __future__ import annotations


class ShopError(Exception):
    """Base of all; ``str()`` is one sentence or two: what was found, and what to do."""


class NotFound(ShopError):  # noqa: N818 - read as a sentence
    """There is no such job, recording, photo or task."""


class NotOpenYet(ShopError):  # noqa: N818
    """A gate is closed; the message says why and what opens it."""


class ChangedMeanwhile(ShopError):  # noqa: N818
    """Somebody else changed the same record since it was read."""

    def __init__(self, what: str) -> None:
        super().__init__(f"{what} was changed meanwhile. Look at it again, then repeat your change.")


class NotAccepted(ShopError):  # noqa: N818
    """A value that cannot be taken: ``field`` says which one.

    >>> str(NotAccepted("speed", "'fast'", "33, 45, 78 or a number of rpm", "type it again"))
    "speed: found 'fast', allowed is 33, 45, 78 or a number of rpm; type it again."
    """

    def __init__(self, field: str, found: str, allowed: str, remedy: str = "") -> None:
        self.field = field
        tail = f"; {remedy}" if remedy else ""
        super().__init__(f"{field}: found {found}, allowed is {allowed}{tail}.")

    @classmethod
    def whole(cls, field: str, sentence: str) -> NotAccepted:
        """The same with a sentence that says it all already."""
        problem = cls.__new__(cls)
        Exception.__init__(problem, sentence if sentence.endswith((".", "!", "?")) else f"{sentence}.")
        problem.field = field
        return problem
