// Conclusion, repair, proof and submitting.

function conclusionSection(view) {
  const { h, t, setup } = view;
  const answer = (name, text) => view.send({ do: "answer", field: name, text, place: "conclusion" });
  const fault = placePicker(view, "modes", { place: t("conclusion.place"), what: t("conclusion.mode"), name: "claim" });
  const add = h("button", { "data-do": "claim", on: { click: () => {
    if (fault.place && fault.what) view.send({ do: "claim", fault: `${fault.place} ${fault.what}`, on: true, place: "conclusion" });
    else view.complain("conclusion", t("conclusion.no_fault_named"));
  } } }, t("conclusion.add"));
  fault.element.append(add);
  const claim = h("ul", { class: "fwb-list", "data-role": "claim" });
  const cited = h("p", { "data-role": "cited" });
  const parts = [
    group(view, t("conclusion.claim"), h("p", { class: "fwb-hint" }, t("conclusion.claim_hint")), claim, fault.element),
    group(view, t("conclusion.cited"), cited),
  ];
  const updates = [];
  if (setup.questions.calculation) {
    let input;
    const element = field(view, setup.questions.calculation.prompt, (id) => (input = h("input", {
      id, autocomplete: "off", "data-field": "calculation",
      on: { change: (event) => answer("calculation", event.target.value) },
    })), t("conclusion.calculation_hint"));
    parts.push(group(view, t("conclusion.calculation"), element));
    updates.push((state) => showValue(input, state.answer.calculation));
  }
  for (const question of setup.questions.continuity) {
    const asked = continuityQuestion(view, question);
    parts.push(group(view, t("conclusion.continuity"), asked.element));
    updates.push(asked.update);
  }
  const repaired = h("p", { "data-role": "remedy" });
  const remedy = placePicker(view, "remedies", { place: t("repair.place"), what: t("repair.remedy"), name: "remedy" });
  remedy.changed = () => answer("remedy", remedy.place && remedy.what ? `${remedy.place} ${remedy.what}` : "");
  const sure = radioGroup(view, {
    label: t("conclusion.confidence"), name: "confidence",
    options: setup.confidences.map((name) => ({ value: name, words: t(`confidence.${name}`) })),
    choose: (name) => answer("confidence", name),
  });
  parts.push(group(view, t("conclusion.remedy"), repaired, remedy.element), group(view, t("conclusion.confidence"), sure.element));
  return {
    element: view.section("conclusion", ...parts),
    update(state) {
      const chosen = state.answer.claim;
      showChildren(claim, JSON.stringify(chosen), () => chosen.length
        ? chosen.map((name) => h("li", {}, h("strong", {}, name), " ", h("button", {
          "aria-label": t("conclusion.remove", { fault: name }),
          on: { click: () => view.send({ do: "claim", fault: name, on: false, place: "conclusion" }) },
        }, "×")))
        : [h("li", {}, t("conclusion.no_claim"))]);
      const numbers = state.findings.filter((finding) => finding.cited).map((finding) => finding.number);
      cited.textContent = numbers.length ? numbers.join(", ") : t("conclusion.none_cited");
      // What was done at the bench is the remedy; only who has repaired nothing says what ought to be done.
      repaired.textContent = state.repair ? t("conclusion.remedy_done", { repair: state.repair }) : "";
      remedy.element.hidden = Boolean(state.repair);
      remedy.set(state.answer.remedy);
      sure.update(state.answer.confidence);
      updates.forEach((update) => update(state));
    },
  };
}

function group(view, heading, ...children) {
  const { h } = view;
  const id = view.id();
  return h("div", { role: "group", "aria-labelledby": id, class: "fwb-group" }, h("h4", { id }, heading), ...children);
}

function continuityQuestion(view, question) {
  const { h } = view;
  const send = (text) => view.send({ do: "continuity", id: question.id, text, place: "conclusion" });
  const found = (state) => state.answer.continuity[question.id] || "";
  if (!question.choices.length) {
    let input;
    const element = field(view, question.prompt, (id) => (input = h("textarea", {
      id, rows: 2, "data-continuity": question.id, on: { change: (event) => send(event.target.value) },
    })));
    return { element, update: (state) => showValue(input, found(state)) };
  }
  const id = view.id();
  const choices = radioGroup(view, {
    labelledby: id, name: question.id, choose: send,
    options: question.choices,
  });
  const element = h("div", { class: "fwb-field" }, h("span", { id, class: "fwb-label" }, question.prompt), choices.element);
  return { element, update: (state) => choices.update(found(state)) };
}

function repairSection(view) {
  const { h, t } = view;
  const picker = placePicker(view, "remedies", { place: t("repair.place"), what: t("repair.remedy"), name: "repair" });
  picker.element.append(h("button", { "data-do": "repair", on: { click: () => view.send({
    do: "repair", at: picker.place, remedy: picker.what, place: "repair" }) } }, t("repair.do")));
  return {
    element: view.section("repair", h("p", { class: "fwb-hint" }, t("repair.note")), picker.element, view.saidBox("repair")),
    update() {},
  };
}

function proofSection(view) {
  const { h, t, setup } = view;
  const count = h("p", { "data-role": "proof" });
  const rows = h("tbody", {});
  const columns = [...setup.controls.map((control) => control.label), t("findings.seen"), t("proof.noted")];
  const table = h("div", { class: "fwb-scroller", tabindex: "0", role: "group", "aria-label": t("proof.states") },
    h("table", { class: "fwb-table" }, h("thead", {}, h("tr", {}, ...columns.map((words) => h("th", { scope: "col" }, words)))),
      rows));
  const buttons = h("div", { class: "fwb-row" },
    view.goTo(".fwb-controls", ".fwb-operate", "proof.go"), noteButton(view, "proof"));
  return {
    element: view.section("proof", h("p", {}, t("proof.before")), buttons, count, table),
    update(state) {
      const { proof } = state;
      count.hidden = !proof.repaired;
      count.textContent = t("proof.count", proof);
      table.hidden = !proof.repaired || !proof.rows.length;
      showChildren(rows, JSON.stringify(proof.rows), () => proof.rows.map((row) => h("tr", {},
        ...[...row.positions, row.seen, row.number ? String(row.number) : t("proof.open")].map((words, at) =>
          h("td", { "data-column": columns[at] }, words)))));
    },
  };
}

function submitSection(view) {
  const { h, t } = view;
  const submit = h("button", {
    class: "fwb-main", "data-do": "submit", on: { click: () => view.send({ do: "submit", place: "submit" }) },
  }, t("submit.do"));
  return { element: view.section("submit", h("p", {}, t("submit.note")), submit, view.saidBox("submit")), update() {} };
}
