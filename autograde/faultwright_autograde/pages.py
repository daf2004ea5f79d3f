"""Pages: a paper's job sheet, a candidate's feedback, the class's report and the guide, as HTML without outside parts.

Jinja2 escapes every value that is put in.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from functools import cache
from typing import Any

import jinja2

from .case import Case
from .mark import Mark
from .texts import text
from .words import seen_words


@cache
def _environment() -> jinja2.Environment:
    environment = jinja2.Environment(
        loader=jinja2.PackageLoader("faultwright_autograde"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.globals["text"] = text
    return environment


def _page(template: str, **values: Any) -> str:  # noqa: ANN401 - what a template shows
    return _environment().get_template(template).render(**values)


def sheet_page(case: Case, paper: Mapping[str, Any]) -> str:
    """Return the job sheet that a candidate gets."""
    told = [
        (entry["move"], "") if "move" in entry else ("", seen_words(entry["see"]))
        for entry in paper["complaint"]["actions"]
    ]
    return _page("sheet.html", case=case, paper=paper, told=told, questions=paper["questions"])


def feedback_page(mark: Mark, case: Case) -> str:
    """Return the feedback of one candidate: each criterion with the verdict that decides it."""
    return _page("feedback.html", mark=mark, title=case.blueprint.title, complaint=case.blueprint.complaint.text)


def class_page(title: str, marks: Sequence[Mark], picture: bytes, alt: str, strangers: Sequence[str]) -> str:
    """Return the class's report with its picture inside."""
    encoded = base64.b64encode(picture).decode("ascii")
    return _page("class.html", title=title, marks=marks, picture=encoded, alt=alt, strangers=strangers)


def guide_page(title: str, key: Mapping[str, Any]) -> str:
    """Return the guide for whoever may open it: what is in each machine."""
    return _page("guide.html", title=title, key=key)
