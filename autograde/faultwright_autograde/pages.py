"""Pages: a paper's job sheet, a candidate's feedback, the class's report and the guide, as HTML without outside parts.

Jinja2 escapes every value that is put in.
"""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from typing import Any

from markupsafe import Markup

from faultwright.catalogue import reader
from faultwright.drawing.svg import draw
from faultwright.pages import page_templates

from .case import Case
from .mark import Mark
from .reports.account import Account
from .reports.class_figures import ClassFigures
from .reports.measured_drawing import measured_drawing
from .reports.readings_picture import modes_shown, readings_picture
from .reports.texts import TEXTS as REPORT_TEXTS
from .reports.texts import text as report_text
from .texts import TEXTS, text
from .words import move_words, seen_words

_WORDS = reader({**TEXTS, **REPORT_TEXTS})


def _page(template: str, **values: Any) -> str:  # noqa: ANN401 - what a template shows
    return page_templates("faultwright_autograde", _WORDS).get_template(template).render(**values)


def sheet_page(case: Case, paper: Mapping[str, Any]) -> str:
    """Return the job sheet that a candidate gets."""
    told = [
        text("sheet.seen", seen=seen_words(entry["see"]))
        if "see" in entry
        else text("sheet.move", move=move_words(entry["move"], case.circuit))
        for entry in paper["complaint"]["actions"]
    ]
    # Inside HTML the name of SVG's namespace goes without saying.
    diagram = draw(case.circuit).replace(' xmlns="http://www.w3.org/2000/svg"', "", 1)
    return _page(
        "sheet.html",
        case=case,
        paper=paper,
        told=told,
        questions=paper["questions"],
        diagram=Markup(diagram),  # noqa: S704 - drawn by the core, which escapes every name
        behaviours=[name.replace("_", " ") for name in case.circuit.behaviour],
    )


def feedback_page(mark: Mark, case: Case) -> str:
    """Return the feedback of one candidate: each criterion with the verdict that decides it."""
    return _page("feedback.html", mark=mark, title=case.blueprint.title, complaint=case.blueprint.complaint.text)


def candidate_page(mark: Mark, case: Case, account: Account) -> str:
    """Return a candidate's whole report: the feedback, and what was asked, done, proved and missed."""
    modes = modes_shown(account.readings)
    return _page(
        "candidate.html",
        mark=mark,
        title=case.blueprint.title,
        complaint=case.blueprint.complaint.text,
        account=account,
        diagram=Markup(measured_drawing(case.circuit, account.measured)),  # noqa: S704 - the core escapes every name
        picture=base64.b64encode(readings_picture(account.readings)).decode("ascii") if modes else "",
        alt=report_text("page.readings_alt", count=len(account.readings), meter=", ".join(modes)),
    )


def class_page(  # noqa: PLR0913 - the parts of a report
    title: str,
    marks: Sequence[Mark],
    summary: str,
    *,
    picture: bytes,
    alt: str,
    strangers: Sequence[str],
    figures: ClassFigures,
) -> str:
    """Return the class's report with its picture (``alt`` in words) inside; ``summary`` is its first line."""
    return _page(
        "class.html",
        title=title,
        marks=marks,
        summary=summary,
        picture=base64.b64encode(picture).decode("ascii"),
        alt=alt,
        look_at=[one for one in marks if one.for_a_person],
        strangers=strangers,
        figures=figures,
        figure_words=lambda figure: report_text("class.few") if figure is None else f"{figure:.2f}",
    )


def guide_page(title: str, key: Mapping[str, Any]) -> str:
    """Return the guide for whoever may open it: what is in each machine."""
    return _page("guide.html", title=title, key=key)
