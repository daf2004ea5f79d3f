"""Practice without end as a lesson shows it: the next case by what was missed, its bench, its mark, the progress.

Kinds of fault are mixed: the one that was missed most comes most often, and none stays away. Whoever wants one circuit
only says so.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from html import escape
from pathlib import Path

from ipywidgets import HTML, Button, HBox, Layout, VBox

from faultwright.errors import Refused
from faultwright.files import read_text
from faultwright_autograde.answer import LARGEST
from faultwright_autograde.draws import Draws
from faultwright_autograde.handed_in import mark_handed_in
from faultwright_autograde.mark import MARKED, Mark
from faultwright_autograde.words import mark_words

from .endless_cases import FAMILIES, case_of, circuits, family_of
from .opening import Opened, open_on_bench
from .progress import Progress, read_progress
from .texts import text

_NOT_SECRET = b"which practice case comes next is no secret"
MOST_TRIED = 60


def next_case(progress: Progress, only: Sequence[str] = ()) -> str:
    """Return the name of the next case: a kind of fault by what was missed, on some circuit.

    ``only`` keeps to these circuits. The same progress always gives the same case.
    """
    known = list(only) or circuits()
    luck = Draws(_NOT_SECRET, str(progress.cases))
    family = _family(progress, luck.share())
    case = ""
    for number in range(progress.cases * MOST_TRIED, (progress.cases + 1) * MOST_TRIED):
        case = f"practice-{luck.one_of(known)}-{number % 1_000_000}"
        if family_of(case) == family:
            break
    return case


def _family(progress: Progress, share: float) -> str:
    """Return a kind of fault: each weighs as much as is missed of it."""
    weights = {family: 1 - progress.share(family) for family in FAMILIES}
    left = share * sum(weights.values())
    for family, weight in weights.items():
        left -= weight
        if left < 0:
            return family
    return next(reversed(weights))


def note_mark(progress: Progress, case: str, mark: Mark) -> None:
    """Note what a marked case says of its kind of fault and of each criterion."""
    by_criterion = ((one.name, one.mark >= one.maximum) for one in mark.criteria)
    progress.note_all([(family_of(case), mark.passed), *by_criterion])


class Practice:
    """A folder's practice: the case that is open, its bench, and the progress."""

    def __init__(self, folder: Path | str = ".", only: Sequence[str] = ()) -> None:
        """Take up the case that was open in this folder."""
        self.folder, self.only = Path(folder), tuple(only)
        self.opened: Opened | None = None
        self._said, self._verdict, self._bench, self._table = HTML(), HTML(), VBox(), HTML()
        following = Button(description=text("endless.next"), layout=Layout(width="max-content"))
        following.on_click(lambda _button: self._guarded(self.go_on))
        marking = Button(description=text("endless.mark"), layout=Layout(width="max-content"))
        marking.on_click(lambda _button: self._guarded(self.mark))
        buttons = HBox([following, marking])
        self.view = VBox([buttons, self._said, self._bench, self._verdict, self._table])
        self._guarded(self._open)

    def _guarded(self, work: Callable[[], None]) -> None:
        try:
            work()
        except Refused as refused:
            self._said.value = f"<p>{escape(str(refused))}</p>"

    def answer_file(self, case: str) -> Path:
        """Return where the answer to a case is kept."""
        return self.folder / f"{case}-answer.json"

    def go_on(self) -> None:
        """Open the next case."""
        progress = read_progress(self.folder)
        progress.case = next_case(progress, self.only)
        progress.cases += 1
        progress.write()
        self._verdict.value = ""
        self._open()

    def _open(self) -> None:
        progress = read_progress(self.folder)
        self._show(progress)
        if not progress.case:
            self._said.value = f"<p>{escape(text('endless.none'))}</p>"
            return
        case = case_of(progress.case)
        self.opened = open_on_bench(case, answer_file=self.answer_file(progress.case))
        self._said.value = f"<p>{escape(text('endless.open', number=progress.cases, title=case.blueprint.title))}</p>"
        self._bench.children = (self.opened.view,)

    def mark(self) -> None:
        """Mark the case that is open, as a practice answer is marked, and note it once."""
        progress = read_progress(self.folder)
        path = self.answer_file(progress.case)
        if not progress.case or not path.exists():
            self._tell(text("endless.nothing"))
            return
        one = mark_handed_in(case_of(progress.case), path.name, lambda: read_text(path, largest=LARGEST))
        if one.answer != MARKED:
            head = text("endless.unusable")
        elif progress.case in progress.marked:
            head = text("endless.before")
        else:
            head = text("endless.marked", mark=one.mark, maximum=one.maximum)
            progress.marked.append(progress.case)
            note_mark(progress, progress.case, one)
        self._tell(head, mark_words(one))
        self._show(progress)

    def _tell(self, head: str, reasons: str = "") -> None:
        """Say what came out, at the button that was pressed and with its reasons beneath the bench."""
        self._said.value = f"<p>{escape(head)}</p>"
        self._verdict.value = self._said.value + (f"<pre>{escape(reasons)}</pre>" if reasons else "")

    def _show(self, progress: Progress) -> None:
        """Show the progress as a table."""
        rows = "".join(
            f"<tr><td>{escape(skill)}</td><td>{sum(results)} / {len(results)}</td></tr>"
            for skill, results in sorted(progress.skills.items(), key=lambda entry: progress.share(entry[0]))
        )
        head = f"<tr><th scope='col'>{text('endless.skill')}</th><th scope='col'>{text('endless.results')}</th></tr>"
        table = f"<table><thead>{head}</thead><tbody>{rows}</tbody></table>" if rows else ""
        title, kept = text("endless.progress"), text("endless.kept")
        self._table.value = f"<h3>{title}</h3>{table}<p>{escape(kept)}</p>"


def practise(folder: Path | str = ".", only: Sequence[str] = ()) -> VBox:
    """Return practice without end in a folder, on all circuits of the course or on some."""
    return Practice(folder, only).view
