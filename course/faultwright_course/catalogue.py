"""Where the course's files are, and how a work folder gets its own copy of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from faultwright.circuit import Circuit
from faultwright.circuit_file import read_circuit
from faultwright.errors import Mistake, Refused, unknown
from faultwright.files import write_whole

from .texts import text

HOME = Path(__file__).resolve().parent

_COPIED = (("lessons", ".ipynb"), ("lessons", ".md"), ("circuits", ".yaml"))
"""Folder and ending of what a work folder gets. Papers stay with whoever sets them."""


def _names(folder: str, ending: str) -> list[str]:
    return sorted(path.stem for path in (HOME / folder).glob(f"*{ending}"))


def _path(what: str, name: str, names: Sequence[str], folder: str, ending: str) -> Path:
    if name not in names:
        raise Refused(Mistake(unknown(what, name, names), "course"))
    return HOME / folder / f"{name}{ending}"


def circuit_names() -> list[str]:
    """Return the names of the course's circuits."""
    return _names("circuits", ".yaml")


def circuit_path(name: str) -> Path:
    """Return the file of a circuit. Raises Refused, with the nearest name, where there is none."""
    return _path("circuit", name, circuit_names(), "circuits", ".yaml")


@lru_cache(maxsize=32)
def course_circuit(name: str) -> Circuit:
    """Return a circuit of the course, read once. Raises Refused, with the nearest name, where there is none."""
    return read_circuit(circuit_path(name))


def lesson_names() -> list[str]:
    """Return the names of the lessons, which begin with their numbers, in the order in which they are taught."""
    return [name for name in _names("lessons", ".ipynb") if name[0].isdigit()]


def lesson_path(name: str) -> Path:
    """Return the notebook of a lesson. Raises Refused, with the nearest name, where there is none."""
    return _path("lesson", name, lesson_names(), "lessons", ".ipynb")


def paper_names() -> list[str]:
    """Return the names of the paper blueprints."""
    return _names("papers", ".yaml")


def paper_path(name: str) -> Path:
    """Return the blueprint of a paper. Raises Refused, with the nearest name, where there is none."""
    return _path("paper", name, paper_names(), "papers", ".yaml")


@dataclass(frozen=True, slots=True)
class Copied:
    """What :func:`copy_course` did, as paths in the work folder.

    ``new`` was put there; ``kept`` was there before and was left alone.
    """

    new: Sequence[Path]
    kept: Sequence[Path]


def copy_course(target: Path) -> Copied:
    """Copy lessons and circuits into a work folder; a file that is there already is never touched.

    Raises Refused where ``target`` is no folder or cannot be written.
    """
    if target.exists() and not target.is_dir():
        raise Refused(Mistake(text("copy.file"), target.name))
    new: list[Path] = []
    kept: list[Path] = []
    for folder, ending in _COPIED:
        for source in sorted((HOME / folder).glob(f"*{ending}")):
            path = target / folder / source.name
            if path.exists():
                kept.append(path)
            else:
                write_whole(path, source.read_bytes())
                new.append(path)
    return Copied(new, kept)
