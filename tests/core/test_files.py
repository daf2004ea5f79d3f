"""Files: only plain, whole, readable text is taken, and nothing is ever half-written."""

from __future__ import annotations

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
