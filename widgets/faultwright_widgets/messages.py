"""What comes in from a bench's front end: tables such as ``{"do": "move", "move": "key=on"}``, and reading them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from faultwright.errors import Refused
from faultwright.record import LONGEST_TEXT

Message = Mapping[str, Any]
Doing = Mapping[str, Callable[[Message], None]]
"""What a section of the bench can be asked to do, by the name under ``do``."""


def text_in(message: Message, key: str) -> str:
    """Return a text of a message, which comes from outside: short, or refused; empty where there is none."""
    value = message.get(key) or ""
    if not isinstance(value, str) or len(value) > LONGEST_TEXT:
        raise Refused(f"{key!r} must be text of at most {LONGEST_TEXT} characters")
    return value


def is_on(message: Message) -> bool:
    """Say whether a message switches something on; anything else switches it off."""
    return message.get("on") is True
