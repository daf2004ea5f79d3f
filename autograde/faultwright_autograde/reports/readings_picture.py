"""A picture of a candidate's readings in the order in which they were taken, one row of points for each meter mode."""

from __future__ import annotations

import io
from collections.abc import Sequence

from matplotlib.figure import Figure

from .texts import text

FEWEST, MANY = 3, 20
"""Readings of one mode from which on a picture says something, and from which on their numbers stand upright."""


def modes_shown(readings: Sequence[tuple[int, str, str, float | None]]) -> list[str]:
    """Return the meter modes of which there are readings enough, in the order of the first."""
    modes = [mode for _, mode, _, _ in readings]
    return [mode for mode in dict.fromkeys(modes) if modes.count(mode) >= FEWEST]


def readings_picture(readings: Sequence[tuple[int, str, str, float | None]]) -> bytes:
    """Return the picture as PNG: value by the number of the finding; crosses at the foot are no numbers.

    Told by shape, so that it can be read in shades of grey. Only modes of :func:`modes_shown` are in it.
    """
    modes = modes_shown(readings)
    figure = Figure(figsize=(9.0, 0.8 + 2.0 * len(modes)), layout="constrained")
    every = figure.subplots(len(modes), 1, squeeze=False)[:, 0]
    for axes, mode in zip(every, modes, strict=True):
        own = [(number, unit, value) for number, other, unit, value in readings if other == mode]
        shown = [(number, value) for number, _, value in own if value is not None]
        others = [number for number, _, value in own if value is None]
        axes.plot(*zip(*shown, strict=True) if shown else ([], []), "o-", color="#1a1a1a", linewidth=0.8)
        axes.plot(others, [0] * len(others), "x", color="#1a1a1a", markersize=9, label=text("page.readings_nothing"))
        if others:
            axes.legend(frameon=False, loc="best", fontsize="small")
        axes.set_ylabel(text("page.readings_value", meter=mode, unit=own[0][1]))
        axes.set_xticks([number for number, _, _ in own])
        axes.tick_params(axis="x", labelrotation=90 if len(own) > MANY else 0, labelsize="small")
        axes.grid(visible=True, axis="y", color="#c7c7c7", linewidth=0.5)
    every[-1].set_xlabel(text("page.readings_axis"))
    content = io.BytesIO()
    figure.savefig(content, format="png", metadata={"Software": None})
    return content.getvalue()
