"""The observation sheet: isolation and probe handling, ticked by a person who watches.

It is paper for human judgement: no software sees hands, and it adds nothing up.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from faultwright.cautions import EXTRA_LOW
from faultwright.circuit import Circuit
from faultwright.parts import sources

from .isolation import always_live, behind_plugs, guards, moving
from .observation_texts import SECTIONS
from .texts import text


@dataclass(frozen=True, slots=True)
class Criterion:
    """One thing to watch, with its level: critical, serious or minor."""

    number: int
    level: str
    words: str


@dataclass(frozen=True)
class ObservationSheet:
    """The criteria by section; those of one circuit, or of any where ``circuit`` is None."""

    circuit: Circuit | None
    sections: tuple[tuple[str, tuple[Criterion, ...]], ...]

    def as_json(self) -> dict[str, Any]:
        """The sheet as the command line's JSON gives it."""
        criteria = [
            {"number": one.number, "section": title, "level": one.level, "criterion": one.words}
            for title, some in self.sections
            for one in some
        ]
        return {"circuit": self.circuit.name if self.circuit else None, "criteria": criteria}


def observation_sheet(circuit: Circuit | None) -> ObservationSheet:
    """Return the sheet for a circuit, with its own points named; without one, for any."""
    words = _any_circuit() if circuit is None else _of_circuit(circuit)
    sections: list[tuple[str, tuple[Criterion, ...]]] = []
    number = 0
    for title, lines in SECTIONS.items():
        found: list[Criterion] = []
        for line in lines:
            if not line.needs or words.get(line.needs):
                number += 1
                found.append(Criterion(number, line.level, line.text.format(**words)))
        sections.append((title, tuple(found)))
    return ObservationSheet(circuit, tuple(sections))


def _any_circuit() -> dict[str, str]:
    """Return what a sheet says where no circuit is named."""
    names = ("moving", "sources", "known", "live", "connectors", "guards", "behind", "batteries")
    return {name: text(f"watch.any.{name}") for name in names} | {"extra_low": "yes", "above_extra_low": "yes"}


def _of_circuit(circuit: Circuit) -> dict[str, str]:
    """Return what a sheet says of a circuit; what it has not is empty."""
    joined = text("join").join
    known = [text("watch.known", source=name) for name in sources(circuit)]
    behind = [
        text("watch.behind", plug=plug, terminals=joined(terminals))
        for plug, terminals in behind_plugs(circuit).items()
    ]
    return {
        "moving": joined(moving(circuit)),
        "sources": joined(sources(circuit)) or text("watch.any.sources"),
        "batteries": joined(name for name in sources(circuit) if circuit.parts[name].kind == "battery"),
        "known": joined(known) or text("watch.any.known"),
        "live": joined(always_live(circuit)),
        "connectors": joined(part.name for part in circuit.parts.values() if part.kind == "connector"),
        "behind": text("instead.join").join(behind),
        "guards": joined(guards(circuit)),
        "extra_low": "yes" if circuit.nominal <= EXTRA_LOW else "",
        "above_extra_low": "" if circuit.nominal <= EXTRA_LOW else "yes",
    }
