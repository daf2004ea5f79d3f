"""Plots."""

TEXTS = {
    "plot.measured": "measured",
    "plot.axis": "{mode} in {unit}",
    "plot.overload": "OL",
    "plot.floating": "floating",
    "plot.live": "live",
    "plot.unsteady": "unsteady",
    "plot.blown": "meter's fuse blown",
    "plot.too_many": "this circuit has {count} control states; a plot over them can show {most} at most",
    "plot.describe": "{what}, over {count} control states of {title}.",
    "plot.in_words": "In words",
    "plot.no_controls": "as it stands",
}
