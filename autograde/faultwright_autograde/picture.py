"""The class picture: each candidate's marks by criterion as one bar. It can be read in shades of grey."""

from __future__ import annotations

import io
from collections.abc import Sequence

from matplotlib.figure import Figure

from .mark import Mark
from .texts import text

_GREYS = ("#1a1a1a", "#4d4d4d", "#7a7a7a", "#a3a3a3", "#c7c7c7", "#e3e3e3", "#f2f2f2", "#ffffff")
_HATCHES = ("", "//", "", "\\\\", "", "..", "xx", "")
_INCHES_A_BAR, _MOST_INCHES = 0.32, 60.0


def class_picture(title: str, marks: Sequence[Mark], pass_share: float) -> bytes:
    """Return the picture as PNG, titled where there is a title.

    Bars in the order of ``marks``, the first on top; criteria from left to right.
    """
    names = list(dict.fromkeys(criterion.name for mark in marks for criterion in mark.criteria))
    maximum = max((mark.maximum for mark in marks), default=1.0)
    figure = Figure(figsize=(9.0, min(_MOST_INCHES, 2.2 + _INCHES_A_BAR * len(marks))), layout="constrained")
    axes = figure.subplots()
    rows = list(range(len(marks)))
    left = [0.0] * len(marks)
    for name, grey, hatch in zip(names, _GREYS, _HATCHES, strict=False):
        widths = [mark.by_name[name].mark if name in mark.by_name else 0.0 for mark in marks]
        axes.barh(
            rows, widths, left=left, color=grey, hatch=hatch, edgecolor="#1a1a1a", linewidth=0.6,
            label=text(f"criterion.{name}"),
        )  # fmt: skip
        left = [one + other for one, other in zip(left, widths, strict=True)]
    label = text("class.pass_line", share=pass_share * 100)
    axes.axvline(pass_share * maximum, color="#1a1a1a", linestyle="--", linewidth=1.5, label=label)
    axes.set_yticks(rows, [f"{mark.candidate}{'' if mark.passed else ' ×'}" for mark in marks])
    axes.invert_yaxis()
    axes.set_xlim(0, maximum)
    axes.set_xlabel(text("class.axis", maximum=maximum))
    axes.set_ylabel(text("class.candidates"))
    if title:
        axes.set_title(text("class.title", title=title))
    figure.legend(loc="outside lower center", ncols=3, frameon=False)
    content = io.BytesIO()
    figure.savefig(content, format="png", metadata={"Software": None})
    return content.getvalue()


def picture_words(marks: Sequence[Mark], pass_share: float) -> str:
    """Return what the picture shows, for whoever does not see it."""
    passed = sum(mark.passed for mark in marks)
    return text("class.alt", count=len(marks), passed=passed, share=pass_share * 100)
