"""Files: only plain, whole, readable text is taken, and nothing is ever half-written."""

from __future__ import annotations

import errno
import os
from pathlib import Path

import pytest

from faultwright.errors import Refused
from faultwright.files import LARGEST_TEXT, parse_json, read_text, write_whole


def refusal(path: Path) -> str:
    """Return the message with which a file is refused."""
    with pytest.raises(Refused) as refused:
        read_text(path)
    return str(refused.value)


def test_what_is_no_plain_file(tmp_path: Path) -> None:
    """A folder, a link, nothing at all and something too large are each refused by name."""
    (tmp_path / "folder").mkdir()
    (tmp_path / "large").write_bytes(b" " * (LARGEST_TEXT + 1))
    (tmp_path / "pump.yaml").write_text("circuit: pump\n", encoding="utf-8")
    (tmp_path / "link").symlink_to(tmp_path / "pump.yaml")
    assert refusal(tmp_path / "folder") == "folder: this is a folder, not a file"
    assert refusal(tmp_path / "link") == "link: this is a link, not a file"
    assert refusal(tmp_path / "large") == "large: the file is larger than 1,000,000 bytes"
    assert refusal(tmp_path / "pmp.yaml") == "pmp.yaml: there is no such file; did you mean 'pump.yaml'?"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes that could be waited for")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    """Reading a pipe that nobody writes to would never end."""
    os.mkfifo(tmp_path / "pipe")
    assert refusal(tmp_path / "pipe") == "pipe: this is no plain file"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes that could be waited for")
def test_a_pipe_put_in_place_of_a_file_is_not_waited_for(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was a plain file when it was looked at may be a pipe when it is opened."""
    os.mkfifo(tmp_path / "pipe")
    monkeypatch.setattr(Path, "is_file", lambda _path: True)
    assert refusal(tmp_path / "pipe") == "pipe: this is no plain file"


@pytest.mark.skipif(not hasattr(os, "O_NOFOLLOW"), reason="this system cannot be asked to open no link")
def test_a_link_put_in_place_of_a_file_is_not_followed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was a plain file when it was looked at may be a link when it is opened."""
    (tmp_path / "pump.yaml").write_text("circuit: pump\n", encoding="utf-8")
    (tmp_path / "link").symlink_to(tmp_path / "pump.yaml")
    monkeypatch.setattr(Path, "is_symlink", lambda _path: False)
    assert refusal(tmp_path / "link") == f"link: the file cannot be read: {os.strerror(errno.ELOOP)}"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("9" * 401, "a number of 401 digits cannot be used"),
        ("-" + "9" * 5000, "a number of 5,000 digits cannot be used"),
        ("1e" + "9" * 100, f"1e{'9' * 58}… is not a number that can be used"),
        ("-Infinity", "-Infinity is not a number that can be used"),
        (f'{{"{"k" * 100}": 1, "{"k" * 100}": 2}}', f"'{'k' * 60}…' is given twice in one place"),
        ('{"a": {"b": 1, "c": 2, "b": 3}}', "'b' is given twice in one place"),
    ],
)
def test_json_that_cannot_be_used(text: str, message: str) -> None:
    """Numbers beyond all use and names given twice are told in a few words, whatever their length."""
    with pytest.raises(Refused) as refused:
        parse_json(text, "answer.json")
    assert str(refused.value) == f"answer.json: {message}"


def test_a_number_of_many_digits_is_read_whole() -> None:
    """What is long but still a number comes back as it was written."""
    assert parse_json("9" * 400, "answer.json") == 10**400 - 1


def test_half_a_character_is_refused() -> None:
    """JSON can name half of a surrogate pair; it is no text and could never be written again."""
    with pytest.raises(Refused, match=r"answer\.json: it holds half a character"):
        parse_json('{"calculation": "\\ud800"}', "answer.json")


def test_a_failed_write_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A write that breaks off leaves what was there and no rest of itself."""
    path = tmp_path / "record.json"
    write_whole(path, "old")

    def full(_descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(Refused, match=r"record\.json: cannot be written: No space left on device"):
        write_whole(path, "new")
    assert path.read_text(encoding="utf-8") == "old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["record.json"]
