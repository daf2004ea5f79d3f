"""Showing a figure in a notebook together with its text alternative."""

from __future__ import annotations

import base64
from dataclasses import dataclass
from html import escape
from io import BytesIO
from typing import TYPE_CHECKING

from .texts import text

if TYPE_CHECKING:
    from matplotlib.figure import Figure


@dataclass(frozen=True)
class Shown:
    """A figure that a notebook shows as an image with its text alternative (the figure's label)."""

    figure: Figure

    def __repr__(self) -> str:
        """The text alternative, where only text can be shown."""
        return str(self.figure.get_label())

    def _repr_html_(self) -> str:
        """The image, with the text alternative read out and, folded, to be read."""
        image = BytesIO()
        self.figure.savefig(image, format="png", dpi=110, facecolor="white")
        code = base64.b64encode(image.getvalue()).decode("ascii")
        words = str(self.figure.get_label())
        lines = "<br>".join(escape(line) for line in words.splitlines())
        return (
            f'<figure style="margin:0"><img style="max-width:100%" alt="{escape(words)}" '
            f'src="data:image/png;base64,{code}"><figcaption><details><summary>{text("plot.in_words")}</summary>{lines}</details>'
            "</figcaption></figure>"
        )
