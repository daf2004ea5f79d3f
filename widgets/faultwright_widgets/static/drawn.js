// The drawing on its sheet: put there whole once; after that only the lines that a move has changed are drawn anew.

const SCOPE = "fwscope"; // stands in the drawing's ids until each view puts its own there

function drawingOn(sheet, view) {
  const { model } = view;
  let whole = "";
  let lines = [];
  let anew = {};
  let svg = null;
  let taken = [];
  const own = (text) => text.replaceAll(SCOPE, view.uid);
  const parsed = (text) => document.importNode(
    new DOMParser().parseFromString(own(text), "image/svg+xml").documentElement, true);

  // Each element of the drawing stands on a line of its own, after two lines for the sheet, and a style of many lines.
  function child(at) {
    const style = lines.indexOf("</style>");
    return svg.children[at > style ? at - style + 2 : at - 2];
  }
  function drawLine(at, line) {
    const [fresh] = parsed(`<svg xmlns="http://www.w3.org/2000/svg">${line}</svg>`).children;
    child(Number(at)).replaceWith(fresh);
  }
  return {
    get svg() { return svg; },
    // Show what Python holds; say whether the drawing was put there whole.
    show() {
      const asked = model.get("diagram_anew");
      const fresh = model.get("diagram") !== whole;
      if (fresh) {
        whole = model.get("diagram");
        lines = whole.split("\n");
        svg = parsed(whole);
        sheet.replaceChildren(svg);
        [anew, taken] = [{}, []];
      }
      for (const at of Object.keys(anew)) if (!(at in asked)) drawLine(at, lines[at]);
      for (const [at, line] of Object.entries(asked)) if (anew[at] !== line) drawLine(at, line);
      anew = asked;
      return fresh;
    },
    // The boxes of what is written. Asking for them is slow, and they change with the whole drawing alone; while the
    // sheet is out of sight they have no size yet.
    texts() {
      if (!taken.some((box) => box.width)) {
        taken = [...svg.querySelectorAll("text")].filter((words) => !words.closest(".fwb-lead")).map((words) => words.getBBox());
      }
      return [...taken];
    },
  };
}
