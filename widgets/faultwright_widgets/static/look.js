// Ask the operator, and look at a place. What they say and what is seen comes from Python and goes into the findings.

function lookSection(view) {
  const { h, t, setup } = view;
  let question;
  let place;
  const asking = setup.asks.length
    ? h("div", { class: "fwb-row" },
      field(view, t("look.question"), (id) => (question = chooser(view, id,
        setup.asks.map((ask) => ({ value: ask, words: ask })), () => {}, { "data-field": "question" }))),
      h("button", { "data-do": "ask", on: { click: () => view.send({ do: "ask", question: question.value, place: "look" }) } },
        t("look.ask")))
    : h("p", { class: "fwb-hint" }, t("look.none"));
  const places = view.list(setup.inspectable.map((name) => ({ name, says: "" })));
  const inspecting = h("div", { class: "fwb-row" },
    field(view, t("look.place"), (id) => (place = h("input", { id, list: places, autocomplete: "off", "data-field": "inspect" }))),
    h("button", { "data-do": "inspect", on: { click: () => view.send({ do: "inspect", at: place.value, place: "look" }) } },
      t("look.inspect")));
  return { element: view.section("look", asking, inspecting, view.saidBox("look")), update() {} };
}
