"""nbgrader with our settings: its course folder, its gradebook and its own commands, started from Python.

nbgrader hands out, keeps the gradebook, lets a person mark by hand and makes the feedback pages. It never runs a
student's notebook here; see ``nbgrader_bridge.py``.
"""

from __future__ import annotations

import os
import sysconfig
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from nbgrader.apps.api import NbGraderAPI
from nbgrader.coursedir import CourseDirectory
from traitlets.config import Config

from faultwright.errors import Mistake, Refused
from faultwright.files import write_whole

COURSE_ID = "faultwright"

_NOT_RELEASED = [".ipynb_checkpoints", "*.pyc*", "__pycache__", "feedback", "*-answer.json"]
"""What may lie beside a source notebook and must not be handed out: an answer tried out there would be the solution."""


def configuration(root: Path) -> Config:
    """Return nbgrader's configuration for a course in ``root``.

    Exchange and cache lie in the course as well: left to itself nbgrader would, for an administrator, make folders
    for the whole system.
    """
    config = Config()
    config.CourseDirectory.root = str(root.resolve())
    config.CourseDirectory.course_id = COURSE_ID
    config.CourseDirectory.ignore = list(_NOT_RELEASED)
    config.Exchange.root = str(root.resolve() / "exchange")
    config.Exchange.cache = str(root.resolve() / "exchange-cache")
    config.NbGraderAPI.log_level = "ERROR"
    # Instead of running what was handed in: rebuilt on what was handed out, and marked from the answer file alone.
    config.Autograde.sanitize_preprocessors = ["faultwright_autograde.nbgrader_steps.RebuildAndMark"]
    config.Autograde.autograde_preprocessors = ["nbgrader.preprocessors.AssignLatePenalties"]
    return config


def write_configuration(root: Path, imports: str, papers: str) -> Path:
    """Write ``nbgrader_config.py`` into a course folder, so that nbgrader's own commands do the same; return it.

    ``papers`` is a Python expression for the folder of the blueprints that the grade cells are named after, and
    ``imports`` a line of Python that it needs, if any.
    """
    path = root / CONFIG_FILE
    write_whole(path, _CONFIG.format(papers=papers, imports=f"{imports}\n" if imports else ""))
    return path


CONFIG_FILE = "nbgrader_config.py"

_CONFIG = '''"""nbgrader's configuration here: nothing that was handed in is run; marks follow from the answer files."""

from pathlib import Path

from faultwright_autograde.nbgrader_course import configuration
{imports}
c = get_config()  # noqa: F821 - nbgrader's
c.merge(configuration(Path(__file__).parent))
c.RebuildAndMark.papers = str({papers})
'''


@contextmanager
def scripts_on_path() -> Iterator[None]:
    """Put this environment's scripts on PATH: nbgrader's gradebook starts ``alembic`` by name."""
    before = os.environ.get("PATH", "")
    os.environ["PATH"] = os.pathsep.join([sysconfig.get_path("scripts"), before])
    try:
        yield
    finally:
        os.environ["PATH"] = before


def open_course(root: Path) -> Any:  # noqa: ANN401 - nbgrader has no types
    """Return nbgrader's interface to the course in ``root``; made if there is none yet."""
    config = configuration(root)
    for folder in (root, root / "exchange", root / "exchange-cache"):
        folder.mkdir(parents=True, exist_ok=True)
    return NbGraderAPI(CourseDirectory(config=config), config=config)


def hand_out(root: Path, assignment: str) -> Path:
    """Make the student's version of an assignment from ``source/ASSIGNMENT``; return its folder.

    Raises Refused with what nbgrader says where it cannot.
    """
    with scripts_on_path():
        course = open_course(root)
        _succeed(course.generate_assignment(assignment), assignment)
        return Path(course.coursedir.format_path(course.coursedir.release_directory, ".", assignment))


def make_feedback(root: Path, assignment: str) -> None:
    """Make nbgrader's feedback pages from what was marked. Raises Refused with what nbgrader says where it cannot."""
    with scripts_on_path():
        _succeed(open_course(root).generate_feedback(assignment), assignment)


def _succeed(result: dict[str, Any], assignment: str) -> None:
    if not result.get("success"):
        lines = [line for line in str(result.get("log", "") or result.get("error", "")).splitlines() if line.strip()]
        raise Refused(Mistake(f"nbgrader stopped: {lines[-1].strip() if lines else 'no reason given'}", assignment))
