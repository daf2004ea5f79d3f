"""Changing an answer's JSON at random: values replaced, entries taken out, doubled and renamed."""

from __future__ import annotations

import copy
from collections.abc import Callable, Iterator
from typing import Any

from hypothesis import strategies as st

Draw = Callable[[st.SearchStrategy[Any]], Any]
Place = tuple[str | int, ...]

WORDS = (
    *("rest", "key=on", "gate=open", "repair=W4 mend the wire", "W4 resistance", "W4 open", "lit", "ok", "overload"),
    *("volts", "P1:1", "FRAME", "bench", "fairly", "1.75 A", "key=on and gate=open", "\x00", "\ufeff", "<b>"),
)

VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-3, 30)
    | st.floats(-1e13, 1e13)
    | st.text(max_size=8)
    | st.sampled_from(WORDS),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=6), inner, max_size=3),
    max_leaves=5,
)


def places(data: Any, here: Place = ()) -> Iterator[Place]:  # noqa: ANN401 - JSON
    """Yield the place of everything inside some JSON."""
    steps = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for step, value in steps:
        yield (*here, step)
        yield from places(value, (*here, step))


def tampered(answer: Any, draw: Draw, most: int = 4) -> Any:  # noqa: ANN401 - JSON
    """Return a copy of an answer with one to ``most`` changes that ``draw`` chooses."""
    changed = copy.deepcopy(answer)
    for _ in range(draw(st.integers(1, most))):
        found = list(places(changed))
        if not found:
            break
        *way, last = draw(st.sampled_from(found))
        inside = changed
        for step in way:
            inside = inside[step]
        _change(inside, last, draw)
    return changed


def _change(inside: Any, last: Any, draw: Draw) -> None:  # noqa: ANN401 - JSON
    what = draw(st.sampled_from(["replace", "delete", "double", "move"]))
    if what == "replace":
        inside[last] = draw(VALUES)
    elif what == "delete":
        del inside[last]
    elif isinstance(inside, list):
        value = copy.deepcopy(inside[last]) if what == "double" else inside.pop(last)
        inside.insert(draw(st.integers(0, len(inside))), value)
    else:
        name = draw(st.sampled_from([*inside, "value", "expected", "see", "note"]))
        inside[name] = copy.deepcopy(inside[last]) if what == "double" else inside.pop(last)
