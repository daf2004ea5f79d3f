// Questions: an answer, often a reason, a button, and the verdict. Joined after dom.js.

function questions(view, root, send) {
  const { setup, t } = view;
  const asked = setup.questions.map((question, at) => askedQuestion(view, question, at, send));
  root.setAttribute("aria-label", t("questions.label", { title: setup.title }));
  root.append(...asked.map((one) => one.element), view.alerts);
  return (state) => asked.forEach((one, at) => one.update(state.told[at], state.right[at]));
}

function askedQuestion(view, question, at, send) {
  const { h, t } = view;
  const number = at + 1;
  const chosen = { choice: null, reason: null };
  const group = (label, words, key) => radioGroup(view, {
    label, name: `${key}-${at}`, choose: (value) => (chosen[key] = Number(value)),
    options: words.map((says, place) => ({ value: String(place), words: says })),
  }).element;
  const told = h("p", { role: "status", class: "fwb-done", "data-role": "told" });
  const element = h("div", { class: "fwb-section fwb-question", "data-question": String(at) },
    h("h3", {}, t("questions.number", { number })), h("p", {}, question.ask),
    group(t("questions.choices", { number }), question.choices, "choice"),
    question.reasons.length ? h("p", {}, t("questions.because")) : null,
    question.reasons.length ? group(t("questions.reasons", { number }), question.reasons, "reason") : null,
    h("button", { class: "fwb-main", "data-do": "check", on: { click: check } }, t("questions.check", { number })), told);
  // What is missing is said beside the button that was pressed, not at the end of all questions.
  function check() {
    element.append(view.alerts);
    send({ question: at, ...chosen });
  }
  return {
    element,
    update: (words, right) => {
      told.textContent = words;
      element.dataset.right = String(right);
    },
  };
}

export default { render: regionRenderer("questions.failed", questions) };
