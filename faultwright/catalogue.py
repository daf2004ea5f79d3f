"""Message catalogues: the texts that a person reads, by key, each in one place, so that they can be translated.

Placeholders are written ``{name}``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping


def reader(texts: Mapping[str, str]) -> Callable[..., str]:
    """Return what reads a catalogue: ``text(key, **values)`` with the placeholders of the key's text filled in.

    It raises KeyError for an unknown key.
    """

    def text(key: str, **values: object) -> str:
        return texts[key].format(**values)

    return text
