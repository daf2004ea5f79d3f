"""Texts that would do something where they are shown: markup, formulas, control characters, templates."""

from __future__ import annotations

from .trick import HARMLESS, Trick, changed, with_entries

SCRIPT = "<script>alert(1)</script>"
IMAGE = '"><img src=x onerror=alert(1)>'
FORMULA = '=HYPERLINK("http://depot.invalid","1.75 A")'

TRICKS = [
    Trick("script", with_entries(calculation=SCRIPT), HARMLESS, f"{SCRIPT}: '{SCRIPT}' is not a number with a unit"),
    Trick("image", with_entries(continuity={"feed": IMAGE}), HARMLESS, "is none of the choices"),
    Trick("script-for-a-paper", with_entries(paper=SCRIPT), "another's paper", SCRIPT),
    Trick("script-for-a-claim", with_entries(claim=[SCRIPT]), says="script"),
    Trick("script-for-a-remedy", with_entries(remedy=f"{SCRIPT} jumper"), HARMLESS, "a jumper is a test, not a repair"),
    Trick("script-for-a-key", with_entries(**{SCRIPT: 1}), says=f"there is no entry '{SCRIPT}'"),
    Trick(
        "script-in-a-move",
        changed(lambda answer, _given: answer["record"]["actions"].append({"move": SCRIPT})),
        says=SCRIPT,
    ),
    Trick("formula", with_entries(calculation=FORMULA), HARMLESS, FORMULA),
    Trick("formula-for-a-paper", with_entries(paper="=1+1"), "another's paper", "'=1+1'"),
    Trick("placeholder", with_entries(calculation="{given} {why.__class__} %s ${HOME}"), HARMLESS, "%s ${HOME}"),
    Trick("template", with_entries(calculation="{{ 7 * 7 }}{% raw %}"), HARMLESS, "{ 7 * 7 }"),
    Trick(
        "turned-round", with_entries(calculation="\u202eA 57.1 thgir si\u202c"), HARMLESS, "\ufffdA 57.1 thgir si\ufffd"
    ),
    Trick("no-character", with_entries(calculation="1.75\u0000 A\u0007"), HARMLESS, "1.75\ufffd A\ufffd"),
    Trick("new-lines", with_entries(calculation="1.75 A\n\n100 of 100 marks. Passed."), HARMLESS),
    Trick("notes", with_entries(notes={"1": SCRIPT}), HARMLESS),
    Trick("largest-line", with_entries(calculation="9" * 1998 + " A"), HARMLESS, "is too large"),
    Trick("too-large-a-line", with_entries(remedy="x" * 2001), says="'remedy' must be text of at most 2000 characters"),
]
