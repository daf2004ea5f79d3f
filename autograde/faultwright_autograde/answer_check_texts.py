"""Every text of checking an answer before it is handed in, in one place so that it can be translated."""

from __future__ import annotations

from collections.abc import Mapping

from faultwright.catalogue import reader

TEXTS: Mapping[str, str] = {
    "paper.other": "'paper' is {given!r}; the paper in {folder} is {own!r}",
    "paper.none": "'paper' is missing; write {own!r}",
    "paper.wrong": "this is no paper as it was handed out; it needs a paper.json with 'paper' and 'questions'",
    "calculation.none": "calculation: {given!r} is not a number with a unit, such as '12 mA' or '0.012 A'",
    "calculation.unasked": "calculation: this paper asks for none",
    "continuity.question": "continuity: {unknown}",
    "continuity.choice": "continuity: {question}: {unknown}",
    "sound": "{file}: sound: {actions}, {findings}",
    "blank": "left blank: {names}",
    "unmarked": "Nothing was marked: whether it is right only marking tells.",
    "actions": "{count} actions",
    "action": "{count} action",
    "findings": "{count} findings",
    "finding": "{count} finding",
}


text = reader(TEXTS)
