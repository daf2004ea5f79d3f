// The table of findings: what was found, a remark beside it, and what the answer cites.

function findingsSection(view) {
  const { h, t } = view;
  const body = h("tbody", {});
  const columns = ["number", "state", "what", "expected", "shown", "note", "cite"];
  const empty = h("p", {}, t("findings.none"));
  // It shows the last row, and stays where somebody has scrolled to: see bench.css.
  const scroller = h("div", { class: "fwb-scroller", tabindex: "0", role: "group", "aria-label": t("findings.heading") }, h("table", { class: "fwb-table", "data-role": "findings" },
    h("thead", {}, h("tr", {}, ...columns.map((name) => h("th", { scope: "col" }, t(`findings.${name}`))))), body));
  const rows = new Map();
  const row = (finding) => {
    const box = finding.citable ? h("input", {
      type: "checkbox", "aria-label": t("findings.cite_label", { number: finding.number }), "data-cite": finding.index,
      on: { change: (event) => view.send({ do: "cite", index: finding.index, on: event.target.checked, place: "findings" }) },
    }) : null;
    const remarks = finding.remarks.map((words) => h("span", { class: "fwb-remark" }, words));
    // On a narrow page the cells stand under each other, each after its column's name.
    const cell = (name, ...content) => h("td", { "data-column": t(`findings.${name}`) }, ...content);
    const cells = columns.slice(0, 4).map((name) => cell(name, String(finding[name])));
    const label = box ? h("label", { class: "fwb-tick" }, box) : null;
    const note = box ? h("input", {
      "aria-label": t("findings.note_label", { number: finding.number }), autocomplete: "off", "data-note": finding.index,
      on: { change: (event) => view.send({ do: "annotate", index: finding.index, text: event.target.value, place: "findings" }) },
    }) : null;
    return { box, note, element: h("tr", { "data-finding": finding.index }, ...cells,
      cell("shown", h("strong", {}, finding.shown), ...remarks), cell("note", note), cell("cite", label)) };
  };
  return {
    element: view.section("findings", view.saidBox("findings"), empty, scroller),
    update(state) {
      empty.hidden = state.findings.length > 0;
      scroller.hidden = !state.findings.length;
      // A record only grows, so rows that stand are kept, and with them the focus.
      for (const finding of state.findings) {
        if (!rows.has(finding.index)) {
          rows.set(finding.index, row(finding));
          body.append(rows.get(finding.index).element);
        }
        const { box, note } = rows.get(finding.index);
        if (!box) continue;
        if (box.checked !== finding.cited) box.checked = finding.cited;
        showValue(note, finding.note);
      }
    },
  };
}
