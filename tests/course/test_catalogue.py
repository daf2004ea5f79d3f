"""Where the course's files are, and that a work folder never loses work."""

from __future__ import annotations

from pathlib import Path

import pytest

from faultwright.errors import Refused
from faultwright_course.catalogue import (
    circuit_names,
    circuit_path,
    copy_course,
    lesson_names,
    lesson_path,
    paper_names,
    paper_path,
)


def test_everything_listed_is_there() -> None:
    """Every name that the catalogue lists has a file, and there is at least one of each sort."""
    for names, path in ((circuit_names(), circuit_path), (lesson_names(), lesson_path), (paper_names(), paper_path)):
        assert names
        assert all(path(name).is_file() for name in names)


def test_an_unknown_name_is_refused_with_the_nearest() -> None:
    """A slip in a name says what there is."""
    with pytest.raises(Refused) as refused:
        circuit_path("runabuot")
    assert str(refused.value).startswith("course: there is no circuit 'runabuot'; did you mean 'runabout'? (allowed: ")


def test_course_is_copied_whole(tmp_path: Path) -> None:
    """A new work folder gets all notebooks, the glossary and every circuit, byte for byte, and no paper."""
    target = tmp_path / "work" / "course"
    copied = copy_course(target)
    assert copied.kept == []
    assert {path.relative_to(target).as_posix() for path in copied.new} == {
        *(f"lessons/{name}.ipynb" for name in lesson_names()),
        "lessons/practice.ipynb",
        "lessons/glossary.md",
        *(f"circuits/{name}.yaml" for name in circuit_names()),
    }
    for name in lesson_names():
        assert (target / "lessons" / f"{name}.ipynb").read_bytes() == lesson_path(name).read_bytes()
    assert sorted(path for path in target.rglob("*") if path.is_file()) == sorted(copied.new)


def test_a_students_work_is_never_touched(tmp_path: Path) -> None:
    """Copying again leaves changed files as they are and puts back only what is missing."""
    first = copy_course(tmp_path)
    mine, gone, *_ = first.new
    mine.write_text("my work", encoding="utf-8")
    gone.unlink()
    (tmp_path / "lessons" / "notes.txt").write_text("notes", encoding="utf-8")
    again = copy_course(tmp_path)
    assert again.new == [gone]
    assert mine in again.kept
    assert mine.read_text(encoding="utf-8") == "my work"
    assert (tmp_path / "lessons" / "notes.txt").read_text(encoding="utf-8") == "notes"


def test_a_file_is_no_work_folder(tmp_path: Path) -> None:
    """A target that is a file is refused and left alone."""
    target = tmp_path / "course"
    target.write_text("mine", encoding="utf-8")
    with pytest.raises(Refused, match="this is a file; the course needs a folder"):
        copy_course(target)
    assert target.read_text(encoding="utf-8") == "mine"
