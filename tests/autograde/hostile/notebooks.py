"""Notebooks that were handed in to gain marks, or to stop the marking of others: their code, cells and metadata."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tests.autograde.gate import Answer

Notebook = dict[str, Any]
RAN = "open('ran.txt', 'w').write('student code ran')\n"
"""What every cell of code below begins with: no run of anything must leave that file."""

PROGRAMS = {
    "scoring-replaced": "import faultwright_autograde.marking as m\nm.mark = lambda *_, **__: 100.0\n",
    "key-read-through-a-frame": "import sys\nkey = sys._getframe(1).f_locals\nprint(key)\n",
    "always-equal": "class Always:\n    def __eq__(self, other): return True\nanswer = Always()\nanswer\n",
    "input-transformer": "ip = get_ipython()\nip.input_transformers_post.append(lambda lines: ['50.0'])\n",
    "background-process": (
        "import subprocess, sys\n"
        "subprocess.Popen([sys.executable, '-c', 'import sqlite3; "
        'sqlite3.connect("../../../gradebook.db").execute("update grade set manual_score = 50")\'])\n'
    ),
    "library-overwritten": (
        "import pathlib, faultwright_autograde as f\n"
        "pathlib.Path(f.__file__).with_name('marking.py').write_text('mark = None')\n"
    ),
    "endless": "while True: pass\n",
    "leaves": "import os\nos._exit(1)\n",
}

OUTPUTS: dict[str, list[dict[str, Any]]] = {
    "ends-in-text": [{"output_type": "execute_result", "data": {"text/plain": "'full marks'"}}],
    "ends-in-nan": [{"output_type": "execute_result", "data": {"text/plain": "nan"}}],
    "ends-in-a-numpy-scalar": [{"output_type": "execute_result", "data": {"text/plain": "np.float64(50.0)"}}],
    "ends-in-a-number": [{"output_type": "execute_result", "data": {"text/plain": "50"}}],
    "ends-in-infinity": [{"output_type": "execute_result", "data": {"text/plain": "1e400"}}],
    "ends-in-nothing": [],
    "on-stderr": [{"output_type": "stream", "name": "stderr", "text": "a warning\n"}],
    "an-error": [{"output_type": "error", "ename": "Stop", "evalue": "", "traceback": []}],
    "outputs-of-no-kind": [{"output_type": ["execute_result"], "data": None}],
}


@dataclass(frozen=True)
class NotebookTrick:
    """One idea: what is done to a handed-in notebook, its answer beside it staying as it honestly is.

    ``says`` stands among the remarks on the student, if anything need be said of what cannot gain.
    """

    name: str
    change: Callable[[Path], None]
    says: str = ""


def edited(change: Callable[[Notebook], object]) -> Callable[[Path], None]:
    """Change the notebook's JSON."""

    def edit(path: Path) -> None:
        notebook = json.loads(path.read_text(encoding="utf-8"))
        change(notebook)
        path.write_text(json.dumps(notebook), encoding="utf-8")

    return edit


def replaced(content: str | bytes) -> Callable[[Path], None]:
    """Put something else in the notebook's place."""
    return lambda path: (path.write_bytes(content.encode() if isinstance(content, str) else content), None)[1]


def cells_of(notebook: Notebook, kind: str = "code") -> list[dict[str, Any]]:
    """Return the cells of a kind."""
    return [cell for cell in notebook["cells"] if cell["cell_type"] == kind]


def _program(source: str) -> Callable[[Path], None]:
    def change(notebook: Notebook) -> None:
        for cell in cells_of(notebook):
            cell["source"] = RAN + source

    return edited(change)


def _outputs(outputs: list[dict[str, Any]]) -> Callable[[Path], None]:
    def change(notebook: Notebook) -> None:
        for cell in cells_of(notebook):
            cell["source"] = RAN
            cell["outputs"] = [{"metadata": {}, "execution_count": 1} | output for output in outputs]

    return edited(change)


def _doubled(notebook: Notebook) -> None:
    notebook["cells"] += json.loads(json.dumps(notebook["cells"]))


def _deleted(notebook: Notebook) -> None:
    notebook["cells"] = [cell for cell in notebook["cells"] if "nbgrader" not in cell["metadata"]]


def _retyped(notebook: Notebook) -> None:
    for cell in cells_of(notebook):
        cell["cell_type"] = "markdown"
        del cell["outputs"], cell["execution_count"]


def _turned_round(notebook: Notebook) -> None:
    notebook["cells"].reverse()


def _points(notebook: Notebook) -> None:
    for cell in notebook["cells"]:
        if "nbgrader" in cell["metadata"]:
            cell["metadata"]["nbgrader"] |= {"points": 5000, "locked": False}


def _by_hand(notebook: Notebook) -> None:
    """Ask for a person's mark where the machine marks."""
    for cell in cells_of(notebook):
        if "nbgrader" in cell["metadata"]:
            cell["metadata"]["nbgrader"] |= {"solution": True, "task": True}


def _swapped_ids(notebook: Notebook) -> None:
    ours = [cell["metadata"]["nbgrader"] for cell in notebook["cells"] if "nbgrader" in cell["metadata"]]
    ids = [one["grade_id"] for one in ours]
    for one, name in zip(ours, reversed(ids), strict=True):
        one["grade_id"] = name


def _metadata(value: object) -> Callable[[Path], None]:
    """Put something else where the bench mirrors the answer; the file beside the notebook goes before it."""
    return edited(lambda notebook: notebook["metadata"].update(faultwright=value))


def _link(path: Path) -> None:
    target = path.with_name("elsewhere.txt")
    path.rename(target)
    path.symlink_to(target.name)


def _folder(path: Path) -> None:
    path.unlink()
    path.mkdir()


def _pipe(path: Path) -> None:
    path.unlink()
    os.mkfifo(path)


TRICKS = [
    *(NotebookTrick(name, _program(source)) for name, source in PROGRAMS.items()),
    *(NotebookTrick(name, _outputs(outputs)) for name, outputs in OUTPUTS.items()),
    NotebookTrick("cells-doubled", edited(_doubled)),
    NotebookTrick("cells-deleted", edited(_deleted)),
    NotebookTrick("cells-retyped", edited(_retyped)),
    NotebookTrick("cells-turned-round", edited(_turned_round)),
    NotebookTrick("points-raised", edited(_points)),
    NotebookTrick("marked-by-hand", edited(_by_hand)),
    NotebookTrick("ids-swapped", edited(_swapped_ids)),
    NotebookTrick("cells-of-no-kind", edited(lambda notebook: notebook.update(cells=[None, 7, "x", [], {}]))),
    NotebookTrick(
        "cell-metadata-of-no-kind", edited(lambda notebook: [cell.update(metadata=[1]) for cell in notebook["cells"]])
    ),
    NotebookTrick("metadata-of-no-kind", edited(lambda notebook: notebook.update(metadata="none"))),
    NotebookTrick("answers-of-no-kind", _metadata({"answers": ["gate"]})),
    NotebookTrick(
        "format-3",
        replaced('{"nbformat": 3, "worksheets": [{"cells": []}], "metadata": {}}'),
        "lesson.ipynb holds no list of cells",
    ),
    NotebookTrick("no-cells", replaced('{"nbformat": 4, "metadata": {}}'), "lesson.ipynb holds no list of cells"),
    NotebookTrick("a-list", replaced("[]"), "lesson.ipynb holds no list of cells"),
    NotebookTrick("no-notebook", lambda path: path.unlink(), "lesson.ipynb: there is no such file"),
    NotebookTrick("empty", replaced(""), "lesson.ipynb:1: this is not whole JSON"),
    NotebookTrick("nan", replaced('{"cells": [NaN]}'), "lesson.ipynb: NaN is not a number that can be used"),
    NotebookTrick("deep", replaced("[" * 100_000), "lesson.ipynb: this JSON is nested too deep"),
    NotebookTrick("no-utf-8", replaced(b'{"cells": ["\xff"]}'), "lesson.ipynb:1: the text is not UTF-8"),
    NotebookTrick(
        "over-the-cap", replaced(b" " * 20_000_001), "lesson.ipynb: the file is larger than 20,000,000 bytes"
    ),
    NotebookTrick("link", _link, "lesson.ipynb: this is a link, not a file"),
    NotebookTrick("folder", _folder, "lesson.ipynb: this is a folder, not a file"),
    *([NotebookTrick("pipe", _pipe, "lesson.ipynb: this is no plain file")] if hasattr(os, "mkfifo") else []),
]


def mirrored(notebook: Notebook, answer: Answer) -> None:
    """Keep an answer in the notebook's metadata, as the bench does."""
    notebook["metadata"]["faultwright"] = {"answers": {"gate": answer}}
