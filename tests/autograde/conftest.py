"""What the tests of papers and marking share; what is slow is worked out once."""

from __future__ import annotations

import copy
from collections.abc import Callable
from pathlib import Path

import pytest

from faultwright_autograde.blueprint import Blueprint
from faultwright_autograde.blueprint_file import read_blueprint
from faultwright_autograde.case import Case
from faultwright_autograde.mark import Mark
from faultwright_autograde.paper import PaperMaker, fixed_case
from tests.autograde.gate import FOLDER, SECRET, Answer, mark_json, right_answer


@pytest.fixture(scope="session")
def blueprint_path() -> Path:
    """Return the blueprint's file."""
    return FOLDER / "paper.yaml"


@pytest.fixture(scope="session")
def blueprint(blueprint_path: Path) -> Blueprint:
    """Return the blueprint as read."""
    return read_blueprint(blueprint_path)


@pytest.fixture(scope="session")
def maker(blueprint: Blueprint) -> PaperMaker:
    """Return the maker of the class's cases."""
    return PaperMaker(blueprint, SECRET)


@pytest.fixture(scope="session")
def case(blueprint: Blueprint) -> Case:
    """Return a case with a dirty joint of a known value."""
    return fixed_case(blueprint, "W4 resistance 9 Ω", "bench-1")


@pytest.fixture(scope="session")
def neighbour(blueprint: Blueprint) -> Case:
    """Return the case at the next bench: the same place and mode with another value."""
    return fixed_case(blueprint, "W4 resistance 15 Ω", "bench-2")


@pytest.fixture(scope="session")
def _right(case: Case) -> Answer:
    return right_answer(case)


@pytest.fixture
def right(_right: Answer) -> Answer:
    """Return an answer to the case that is right in everything; a copy that may be spoiled."""
    return copy.deepcopy(_right)


@pytest.fixture
def marked(case: Case) -> Callable[[Answer], Mark]:
    """Return a function that marks an answer to the case, read from JSON as marking reads it."""
    return lambda answer: mark_json(answer, case)
