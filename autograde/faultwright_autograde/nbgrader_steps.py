"""The step that nbgrader's own ``autograde`` takes here instead of its own: rebuild, mark, enter; run nothing.

nbgrader reads the configuration that ``nbgrader_course.py`` makes, and calls this for each notebook that was handed in.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import nbformat
from nbgrader.api import Gradebook
from nbgrader.coursedir import CourseDirectory
from nbgrader.preprocessors import NbGraderPreprocessor
from traitlets import Unicode

from .nbgrader_bridge import Marking
from .nbgrader_lessons import exercises_in


class RebuildAndMark(NbGraderPreprocessor):  # type: ignore[misc]
    """Puts what was handed in on the notebook as it was handed out, and enters the marks of the answer files."""

    papers = Unicode("", help="The folder of the blueprints that the grade cells are named after.").tag(config=True)

    def preprocess(self, nb: Any, resources: Any) -> tuple[Any, Any]:  # noqa: ANN401, ARG002 - read anew, and strictly
        """Return the rebuilt notebook."""
        about = resources["nbgrader"]
        folders = CourseDirectory(config=self.config)
        marking = Marking(folders, about["assignment"], exercises_in(Path(self.papers)))
        found, rebuilt = marking.one(about["student"], about["notebook"])
        for remark in found.remarks:
            self.log.warning("%s: %s", about["student"], remark)
        marking.write_reasons(found)
        with Gradebook(folders.db_url, folders.course_id) as gradebook:
            marking.enter(gradebook, found)
        return nbformat.from_dict(rebuilt), resources
