"""The rubric: what each criterion is worth, and the hurdles that no mark gets over."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from faultwright.errors import unknown
from faultwright.located_yaml import Reader

if TYPE_CHECKING:
    from ruamel.yaml.nodes import Node

CRITERIA = ("diagnosis", "evidence", "citing", "calculation", "continuity", "remedy", "proof", "safety")
"""In the order in which feedback speaks of them."""

DEFAULT_WEIGHTS: Mapping[str, float] = {
    "diagnosis": 25.0,
    "evidence": 25.0,
    "citing": 5.0,
    "calculation": 10.0,
    "continuity": 10.0,
    "remedy": 10.0,
    "proof": 10.0,
    "safety": 5.0,
}
"""Marks; a first proposal, not yet tried with students."""

MOST_MARKS = 1000.0
RUBRIC_VERSION = "1"


@dataclass(frozen=True)
class Rubric:
    """Weights in marks; shares of 1 of the maximum to pass, of the proof, and the calculation's tolerance."""

    weights: Mapping[str, float] = field(default_factory=lambda: dict(DEFAULT_WEIGHTS))
    pass_share: float = 0.6
    proof_share: float = 0.75
    tolerance: float = 0.05

    def as_json(self) -> dict[str, Any]:
        """Return the rubric as JSON writes it."""
        return {
            "version": RUBRIC_VERSION,
            "weights": {name: self.weights.get(name, 0.0) for name in CRITERIA},
            "pass": self.pass_share,
            "proof": self.proof_share,
            "calculation_tolerance": self.tolerance,
        }

    def sha256(self) -> str:
        """Return the hash that every mark carries."""
        text = json.dumps(self.as_json(), sort_keys=True, allow_nan=False)
        return hashlib.sha256(text.encode("utf-8")).hexdigest()


def read_rubric(reader: Reader, node: Node) -> Rubric:
    """Return the rubric at ``node``; mistakes go to the reader."""
    entries = reader.fields(node, "the rubric", ("pass", "weights", "proof", "calculation_tolerance"))
    shares = {
        key: _number(reader, entries[key], f"rubric: {key}", 100.0) / 100
        for key in ("pass", "proof", "calculation_tolerance")
        if key in entries
    }
    weights = dict(DEFAULT_WEIGHTS)
    if "weights" in entries:
        weights = {}
        for name, key, value in reader.table(entries["weights"], "the weights"):
            if name not in CRITERIA:
                reader.wrong(key, f"weights: {unknown('criterion', name, CRITERIA)}")
                continue
            weights[name] = _number(reader, value, f"weight of {name}", MOST_MARKS)
        if not sum(weights.values()) > 0:
            reader.wrong(entries["weights"], "the weights add up to nothing")
    usual = Rubric()
    return Rubric(
        weights,
        shares.get("pass", usual.pass_share),
        shares.get("proof", usual.proof_share),
        shares.get("calculation_tolerance", usual.tolerance),
    )


def _number(reader: Reader, node: Node, what: str, most: float) -> float:
    text = reader.text(node, what) or ""
    try:
        value = float(text)
    except ValueError:
        value = -1.0
    if not 0 <= value <= most:
        reader.wrong(node, f"{what} is {text!r}; write a number from 0 to {most:g}")
        return 0.0
    return value
