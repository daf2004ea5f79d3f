"""Marking a whole class: hostile answers beside good ones, and what is left on the disk."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import pytest

from faultwright.errors import Refused
from faultwright_autograde.class_folder import open_class
from faultwright_autograde.class_marking import mark_class, summary_line
from faultwright_autograde.draws import Draws, read_secret
from faultwright_autograde.handed_in import mark_handed_in
from faultwright_autograde.rubric import CRITERIA
from faultwright_autograde.setting import set_papers
from faultwright_autograde.simulated.habits import play
from faultwright_autograde.texts import TEXTS
from tests.autograde.gate import SECRET

Spoil = Callable[[Path, dict[str, object]], None]


def _text(content: str | bytes) -> Spoil:
    def spoil(path: Path, _answer: dict[str, object]) -> None:
        path.write_bytes(content.encode() if isinstance(content, str) else content)

    return spoil


def _entries(**entries: object) -> Spoil:
    def spoil(path: Path, answer: dict[str, object]) -> None:
        path.write_text(json.dumps(answer | entries), encoding="utf-8")

    return spoil


def _link(path: Path, answer: dict[str, object]) -> None:
    target = path.parent.parent / "elsewhere.json"
    target.write_text(json.dumps(answer), encoding="utf-8")
    path.symlink_to(target)


HOSTILE: dict[str, Spoil] = {
    "nan": _text('{"version": NaN}'),
    "infinite": _text('{"version": Infinity}'),
    "deep": _text("[" * 100_000),
    "huge": _text(b'"' + b"x" * 2_000_000),
    "no-utf-8": _text(b"\xff\xfe\xfa"),
    "empty": _text(""),
    "half": _text('{"version": 1, "circuit": "gate-lamp", "rec'),
    "link": _link,
    "folder": lambda path, _answer: path.mkdir(),
    "wrong-types": _entries(claim={"W4": 1}, cited="4", remedy=[1]),
    "other-circuit": _entries(circuit="orchard-sprayer"),
    "other-paper": _entries(paper="gate-00000000"),
    "surrogate": _text('{"version": 1, "circuit": "\\ud800"}'),
    "script": _entries(calculation="<script>alert(1)</script>", confidence=""),
    "unknown": _entries(score=100),
}


@pytest.fixture(scope="module")
def marked_class(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a class's folder with a good answer, one missing and every hostile one, marked."""
    here = tmp_path_factory.mktemp("marking")
    names = ["good", "missing", "twin", *HOSTILE]
    (here / "roster.csv").write_text("\n".join(names), encoding="utf-8")
    (here / "secret.key").write_bytes(SECRET)
    out = here / "class"
    blueprint = Path(__file__).parent / "gate_lamp" / "paper.yaml"
    set_papers(blueprint, here / "roster.csv", out, here / "secret.key")
    maker = open_class(out, SECRET).maker
    for name in ("good", *HOSTILE):
        case = maker.case(name)
        answer = play(case, "methodical" if name == "good" else "guesser", Draws(SECRET, name), {})
        path = out / "answers" / f"{name}.json"
        if name in HOSTILE:
            HOSTILE[name](path, answer)
        else:
            path.write_text(json.dumps(answer), encoding="utf-8")
    (out / "answers" / "twin.json").write_bytes((out / "answers" / "good.json").read_bytes())
    (out / "answers" / "stranger.json").write_text("{}", encoding="utf-8")
    mark_class(out, here / "secret.key")
    return out


def table(folder: Path) -> dict[str, dict[str, str]]:
    """Return the marks by candidate."""
    with (folder / "marks.csv").open(encoding="utf-8", newline="") as file:
        return {row["candidate"]: row for row in csv.DictReader(file)}


def test_the_table_begins_as_agreed(marked_class: Path) -> None:
    """Ids and results first, then the criteria; one row a candidate."""
    first = (marked_class / "marks.csv").read_text(encoding="utf-8").splitlines()[0]
    assert first == (
        "candidate,mark,maximum,passed,answer,diagnosis,evidence,citing,calculation,continuity,remedy,proof,safety,"
        "for_a_person"
    )
    assert set(table(marked_class)) == {"good", "missing", "twin", *HOSTILE}


def test_a_good_answer_passes_among_hostile_ones(marked_class: Path) -> None:
    """Nothing that others hand in touches it."""
    assert table(marked_class)["good"]["passed"] == "yes"
    assert table(marked_class)["good"]["mark"] == "100"


def test_the_table_says_what_became_of_each_answer(marked_class: Path) -> None:
    """Missing, unreadable and another's paper are told apart from an answer that was marked."""
    states = {name: row["answer"] for name, row in table(marked_class).items()}
    unreadable = set(HOSTILE) - {"other-paper", "script"}
    assert {name for name, state in states.items() if state == "unreadable"} == unreadable
    assert {name for name, state in states.items() if state == "another's paper"} == {"other-paper", "twin"}
    assert states["missing"] == "missing"
    assert states["good"] == states["script"] == "marked"


def test_a_copy_goes_to_a_person_with_the_names_of_both(marked_class: Path) -> None:
    """The same bytes from two candidates, or another's paper: a person looks, and is told who else it concerns."""
    rows = table(marked_class)
    assert {name for name, row in rows.items() if row["for_a_person"] == "yes"} == {"good", "twin", "other-paper"}
    assert rows["good"]["passed"] == "yes"
    notes = {name: json.loads((marked_class / "marks" / f"{name}.json").read_bytes())["notes"] for name in rows}
    paper = json.loads((marked_class / "papers" / "good" / "paper.json").read_bytes())["paper"]
    same = "This answer is byte for byte the same as that of"
    assert notes["twin"] == [f"Paper {paper} belongs to good.", f"{same} good."]
    assert notes["good"] == [f"{same} twin."]
    assert notes["script"] == []
    report = (marked_class / "class.html").read_text(encoding="utf-8")
    assert f"good: {same} twin" in report
    assert same not in (marked_class / "feedback" / "good.html").read_text(encoding="utf-8")


def test_one_line_sums_up(marked_class: Path) -> None:
    """What is missing, unreadable or for a person is counted in one line, which the report shows too."""
    marks = mark_class(marked_class, marked_class.parent / "secret.key")
    line = f"1 missing, {len(HOSTILE) - 2} unreadable, 2 another's paper, 3 for a person"
    assert summary_line(marks) == line
    assert f"<strong>{line.replace(chr(39), '&#39;')}</strong>" in (marked_class / "class.html").read_text("utf-8")
    assert summary_line([one for one in marks if one.candidate == "script"]) == "all 1 marked, none for a person"


def test_marks_are_whole_or_half(marked_class: Path) -> None:
    """Nobody gets hundredths, and the criteria add up to the mark."""
    for row in table(marked_class).values():
        earned = [float(row[name]) for name in CRITERIA]
        assert all(2 * mark == int(2 * mark) for mark in earned)
        assert sum(earned) == float(row["mark"])


def test_the_sheet_has_what_the_job_needs(marked_class: Path) -> None:
    """Diagram, controls and complaint in the machine's words, cautions, and where the answer goes."""
    sheet = (marked_class / "papers" / "good" / "sheet.html").read_text(encoding="utf-8")
    for words in (
        "Operate: Key switch: on", "<td>off, on</td>", "Seen: lamp: off", "fan: ", "<svg ", "answers/good.json",
        "Isolate before ohms", "Prove dead", "No jumper round a safety switch", "Local codes",
    ):  # fmt: skip
        assert words in sheet


@pytest.mark.parametrize("name", [*HOSTILE, "missing"])
def test_no_hostile_answer_gains_a_mark_or_stops_the_others(marked_class: Path, name: str) -> None:
    """Each is marked, with its reason, and earns nothing (where it can be read at all: no more than its guess)."""
    row = table(marked_class)[name]
    feedback = (marked_class / "feedback" / f"{name}.html").read_text(encoding="utf-8")
    assert row["passed"] == "no"
    assert float(row["mark"]) == 0 or name == "script"
    assert TEXTS["feedback.hurdles"] in feedback
    assert ("The answer cannot be used: " in feedback) == (name != "script")


def test_what_a_candidate_writes_is_escaped(marked_class: Path) -> None:
    """Markup in an answer shows as text."""
    feedback = (marked_class / "feedback" / "script.html").read_text(encoding="utf-8")
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in feedback
    assert "<script" not in feedback


def test_files_of_nobody_are_told(marked_class: Path) -> None:
    """An answer that belongs to no candidate is named in the class's report, not marked."""
    assert "stranger.json" in (marked_class / "class.html").read_text(encoding="utf-8")
    assert not (marked_class / "feedback" / "stranger.html").exists()


def test_a_second_run_writes_the_same(marked_class: Path) -> None:
    """Marks, feedback, report and picture reproduce byte for byte."""
    written = [path for path in sorted(marked_class.rglob("*")) if path.is_file() and not path.is_symlink()]
    before = {path: path.read_bytes() for path in written}
    mark_class(marked_class, marked_class.parent / "secret.key")
    assert before == {path: path.read_bytes() for path in written}


def test_the_picture_is_a_picture(marked_class: Path) -> None:
    """The file begins as PNG does (the first eight bytes of every PNG file; from memory of its specification)."""
    assert (marked_class / "class.png").read_bytes().startswith(b"\x89PNG\r\n\x1a\n")


class _Page(HTMLParser):
    """Gathers what an accessible page must have, and what it must not."""

    def __init__(self) -> None:
        super().__init__()
        self.outside: list[str] = []
        self.headings: list[str] = []
        self.languages: list[str | None] = []
        self.alts: list[str | None] = []
        self.header_cells = 0
        self.scopes = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = dict(attrs)
        self.outside += [
            value
            for key, value in attrs
            if key in ("src", "href", "action") and value and not value.startswith("data:")
        ]
        if tag in ("h1", "h2", "h3"):
            self.headings.append(tag)
        if tag == "html":
            self.languages.append(given.get("lang"))
        if tag == "img":
            self.alts.append(given.get("alt"))
        if tag == "th":
            self.header_cells += 1
            self.scopes += given.get("scope") in ("col", "row")


@pytest.mark.parametrize("name", ["feedback/good.html", "class.html", "guide.html", "papers/good/sheet.html"])
def test_pages_are_accessible_and_need_nothing_from_outside(marked_class: Path, name: str) -> None:
    """A language, one first heading, headed tables, pictures with words for them; no outside part."""
    content = (marked_class / name).read_text(encoding="utf-8")
    page = _Page()
    page.feed(content)
    assert page.outside == []
    assert page.languages == ["en"]
    assert page.headings.count("h1") == 1
    assert page.headings[0] == "h1"
    assert page.header_cells == page.scopes
    assert all(page.alts)
    assert "http://" not in content
    assert "https://" not in content


def test_every_mark_carries_the_disclaimer(marked_class: Path) -> None:
    """Feedback and report say what a mark is evidence of, and what not."""
    words = "Evidence of diagnostic reasoning on a simulated circuit; not of hand skill or authority to work."
    for page in [*sorted((marked_class / "feedback").iterdir()), marked_class / "class.html"]:
        assert words in page.read_text(encoding="utf-8")


def test_another_secret_marks_nothing(marked_class: Path, tmp_path: Path) -> None:
    """With the wrong secret the cases would be wrong: refused."""
    wrong = tmp_path / "secret.key"
    wrong.write_bytes(SECRET[::-1])
    with pytest.raises(Refused, match="sealed with another secret"):
        mark_class(marked_class, wrong)
    with pytest.raises(Refused, match="no such secret file"):
        mark_class(marked_class, tmp_path / "none.key")
    with pytest.raises(Refused, match="no such folder"):
        mark_class(tmp_path / "nowhere", wrong)


def test_a_bug_in_marking_does_not_stop_the_class(marked_class: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """If marking itself breaks on one answer, that answer waits for a person and the others are marked."""
    from faultwright_autograde import marking  # noqa: PLC0415

    case = open_class(marked_class, read_secret(marked_class.parent / "secret.key")).maker.case("good")
    written = (marked_class / "answers" / "good.json").read_text(encoding="utf-8")

    def broken(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(marking, "trace", broken)
    mark = mark_handed_in(case, "good.json", lambda: written)
    assert mark.mark == 0
    assert mark.for_a_person
    assert mark.hurdles == (
        "The answer cannot be used: marking stopped with ZeroDivisionError; a person must look at this answer",
    )
