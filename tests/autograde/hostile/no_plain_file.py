"""What lies where an answer should be: links, folders, devices, pipes, and files that are no text."""

from __future__ import annotations

import json
import os
from pathlib import Path

from faultwright_autograde.mark import MISSING

from .trick import HARMLESS, ONE, Given, Trick, rewritten, written


def _link_to_an_answer(path: Path, given: Given) -> None:
    target = path.parent.parent / f"elsewhere-{path.name}"
    target.write_text(json.dumps(given.answer), encoding="utf-8")
    path.symlink_to(target)


def _link_to(target: str) -> Trick:
    name = f"link-to-{target.strip('./').replace('/', '-') or 'folder'}"
    return Trick(name, lambda path, _given: path.symlink_to(target), says="{file}: this is a link, not a file")


def _folder(path: Path, given: Given) -> None:
    path.mkdir()
    (path / path.name).write_text(json.dumps(given.answer), encoding="utf-8")


def _pipe(path: Path, _given: Given) -> None:
    os.mkfifo(path)


TRICKS = [
    Trick("missing", lambda _path, _given: None, MISSING, "no answer was handed in"),
    Trick("link-to-an-answer", _link_to_an_answer, says="{file}: this is a link, not a file"),
    _link_to("/dev/zero"),
    _link_to("/dev/stdin"),
    _link_to("../class.json"),
    _link_to("../guide.sealed"),
    _link_to("."),
    _link_to("nowhere.json"),
    Trick("link-to-itself", lambda path, _given: path.symlink_to(path.name), says="{file}: this is a link, not a file"),
    Trick("folder", _folder, says="{file}: this is a folder, not a file"),
    Trick("empty", written(b""), says="{file}:1: this is not whole JSON (Expecting value, column 1)", kinds=ONE),
    Trick("only-zeros", written(bytes(1000)), says="{file}:1: this is not whole JSON", kinds=ONE),
    Trick("no-utf-8", rewritten(lambda text: text.encode() + b"\xff\xfe"), says="{file}:1: the text is not UTF-8"),
    Trick("utf-16", rewritten(lambda text: text.encode("utf-16")), says="{file}:1: the text is not UTF-8"),
    Trick("byte-order-mark", rewritten(lambda text: text.encode("utf-8-sig")), HARMLESS),
    Trick("two-marks", rewritten(lambda text: "\ufeff\ufeff" + text), says="{file}:1: this is not whole JSON"),
    Trick("over-the-cap", rewritten(lambda text: text + " " * 1_000_000), says="larger than 1,000,000 bytes"),
    Trick(
        "five-megabytes", written('"' + "x" * 5_000_000 + '"'), says="{file}: the file is larger than 1,000,000 bytes"
    ),
    Trick("program", written(b"#!/bin/sh\ntouch ran\n"), says="{file}:1: this is not whole JSON", kinds=ONE),
    Trick("zipped", written(b"PK\x03\x04" + bytes(range(256))), says="the text is not UTF-8", kinds=ONE),
    # A system without named pipes has none that could be waited for.
    *([Trick("pipe", _pipe, says="{file}: this is no plain file")] if hasattr(os, "mkfifo") else []),
]
