"""The sections of the job sheet, one module each: what a person can do there, and what is to be seen there.

A section is made with the person's :class:`~faultwright_widgets.work.Work`. ``doing`` names what it can be asked to do;
``state()`` returns its own part of what the front end shows, as plain JSON under keys of its own.
"""

from __future__ import annotations

from typing import Any, Protocol

from faultwright_widgets.messages import Doing


class Section(Protocol):
    """A section of the job sheet."""

    doing: Doing

    def state(self) -> dict[str, Any]:
        """Return what is to be seen there."""
