"""Circuit files and blueprints that mean harm to whoever reads them: YAML that grows, nests, runs or hides."""

from __future__ import annotations

LAUGHS = "a: &a [lol, lol, lol, lol, lol, lol, lol, lol, lol]\n" + "".join(
    f"{name}: &{name} [{', '.join([f'*{before}'] * 9)}]\n" for before, name in zip("abcdefgh", "bcdefghi", strict=True)
)
"""Nine lists, each nine times the one before: written out it would be hundreds of millions of words."""

CIRCUIT = "circuit: shed\nnominal: 12 V\nparts:\n  G1: {kind: battery}\n  P1: {kind: lamp}\nwires:\n"
WIRES = "  W1: {from: G1:+, to: P1:1}\n  W2: {from: P1:2, to: G1:-}\n"

TEXTS: dict[str, tuple[str | bytes, str]] = {
    "billion-laughs": (LAUGHS, "anchors and aliases are not used here; write the value out"),
    "alias-of-itself": ("circuit: &a [*a]\n", "anchors and aliases are not used here"),
    "merged": (
        f"{CIRCUIT}  W1: &w {{from: G1:+, to: P1:1}}\n  W2: {{<<: *w}}\n",
        "anchors and aliases are not used here",
    ),
    "deep-lists": ("circuit: " + "[" * 1_000, "this YAML is nested too deep"),
    "deep-and-whole": ("circuit: " + "[" * 200 + "]" * 200, "this YAML is nested too deep"),
    "deep-tables": ("".join("{a: " for _ in range(1_000)), "this YAML is nested too deep"),
    "runs-a-program": ('circuit: !!python/object/apply:os.system ["touch ran"]\n', "is not used here"),
    "own-tag": ("circuit: !run touch ran\n", "the tag !run is not used here"),
    "two-documents": (f"{CIRCUIT}{WIRES}---\n{CIRCUIT}{WIRES}", "this is not YAML"),
    "key-twice": (f"{CIRCUIT}{WIRES}circuit: barn\n", "'circuit' is given twice"),
    "not-utf-8": (b"circuit: \xff\xfe\n", "the text is not UTF-8"),
    "no-character": ("circuit: sh\x00ed\n", "this is not YAML"),
    "bell": ("circuit: sh\x07ed\n", "this is not YAML"),
    "larger-than-allowed": ("# " + "x" * 1_000_001, "the file is larger than 1,000,000 bytes"),
    "empty": ("", "the file is empty"),
    "infinite": (f"{CIRCUIT.replace('12 V', '.inf V')}{WIRES}", "'.inf V' is not a number with a unit"),
    "1e400": (f"{CIRCUIT.replace('12 V', '1e400 V')}{WIRES}", "too large"),
    "long-number": (f"{CIRCUIT.replace('12 V', '9' * 100_000 + ' V')}{WIRES}", "nominal"),
    "path-for-a-name": (CIRCUIT.replace("circuit: shed", "circuit: ../../shed") + WIRES, "../../shed"),
    "look-alike": (CIRCUIT.replace("P1:", "\u0420\u0031:") + WIRES, "\u0420\u0031"),
    "name-of-markup": (CIRCUIT.replace("P1:", "<b>P1</b>:") + WIRES, "<b>P1</b>"),
}
"""The text and what must be said of it."""
