"""Many decks through one ngspice: starting it takes far longer than a deck does."""

from __future__ import annotations

import shutil
import struct
import subprocess
from collections.abc import Sequence
from pathlib import Path

TIMEOUT = 600
"""s for all decks of one run."""


def run(decks: Sequence[str], folder: Path) -> list[dict[int, float]]:
    """Run decks as they stand in batch mode; return node number → voltage in V, every digit, for each.

    Raises AssertionError with ngspice's own words where a deck gives no result.
    """
    commands = ["* many decks", ".control", "set filetype=binary"]
    for number, text in enumerate(decks):
        (folder / f"{number}.cir").write_text(text, encoding="utf-8")
        (folder / f"{number}.raw").unlink(missing_ok=True)
        commands += [f"source {number}.cir", "run", f"write {number}.raw all", "destroy all", "remcirc"]
    (folder / "all.cir").write_text("\n".join([*commands, "quit", ".endc", ".end", ""]), encoding="utf-8")
    done = subprocess.run(
        [shutil.which("ngspice") or "ngspice", "-n", "-b", "all.cir"],
        check=False, cwd=folder, capture_output=True, timeout=TIMEOUT, text=True,
    )  # fmt: skip
    found = []
    for number, text in enumerate(decks):
        raw = folder / f"{number}.raw"
        assert raw.exists(), f"ngspice wrote no result:\n{done.stdout[-2000:]}\n{done.stderr[-2000:]}\n{text}"
        found.append(_voltages(raw.read_bytes()))
    return found


def _voltages(raw: bytes) -> dict[int, float]:
    """Return the voltages in a raw file; nodes that ngspice adds inside a part have no number and are left out."""
    head, _, data = raw.partition(b"Binary:\n")
    lines = head.decode("utf-8", "replace").splitlines()
    names = [line.split()[1] for line in lines[lines.index("Variables:") + 1 :] if line.startswith("\t")]
    values = struct.unpack(f"={len(names)}d", data[: 8 * len(names)])
    plain = [name.lower().removeprefix("v(").removesuffix(")") for name in names]
    return {int(name): value for name, value in zip(plain, values, strict=True) if name.isdigit()}


def tied_nodes(deck: str) -> list[int]:
    """Return the nodes that a deck ties to FRAME, one for each island of the circuit."""
    return [int(line.split()[1]) for line in deck.splitlines() if line.startswith("Rtie")]


def version() -> str:
    """Return the name and number that ngspice gives itself: ``ngspice-39``."""
    listed = subprocess.run(["ngspice", "--version"], check=True, capture_output=True, text=True).stdout  # noqa: S607
    return next(word for word in listed.split() if word.startswith("ngspice-"))
