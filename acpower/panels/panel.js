// The page's side of a live panel: it builds the controls, hands on what is typed or turned, and
// puts the picture in its place. Nothing is calculated or drawn here.

function element(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  made.append(...children);
  return made;
}

function knob(plan, id, turn) {
  const { label, low, high, step } = plan;
  const field = element("input", { id, type: "text", inputmode: "decimal", autocomplete: "off", maxlength: 30 });
  const slider = element("input", { type: "range", min: low, max: high, step, "aria-label": label });
  field.addEventListener("change", () => turn(field.value));
  field.addEventListener("keydown", (event) => {
    if (event.key !== "ArrowUp" && event.key !== "ArrowDown") return;
    event.preventDefault();
    event.key === "ArrowUp" ? slider.stepUp() : slider.stepDown();
    turn(slider.value);
  });
  slider.addEventListener("input", () => turn(slider.value));
  const show = (value, refused) => {
    if (!refused) field.value = value; // a refused entry stays, to be put right
    slider.value = value;
    slider.setAttribute("aria-valuetext", `${value} ${label}`);
  };
  return { inputs: [field, slider], show };
}

function choice(plan, id, turn) {
  const menu = element("select", { id }, ...plan.options.map((word) => element("option", {}, word)));
  menu.addEventListener("change", () => turn(menu.value));
  return { inputs: [menu], show: (value) => (menu.value = value) };
}

function say(paragraph, sentence) {
  paragraph.textContent = sentence && `✖ ${sentence}`;
  paragraph.hidden = !sentence;
}

function row(name, plan, turn) {
  const id = `acpower-${Math.random().toString(36).slice(2)}`;
  const kind = plan.options ? "choice" : "knob";
  const { inputs, show } = (kind === "choice" ? choice : knob)(plan, id, (text) => turn(name, text));
  // JupyterLab before 4.6 takes arrow keys for the notebook unless the focused element itself says no.
  for (const input of inputs) input.setAttribute("data-lm-suppress-shortcuts", "true");
  const refusal = element("p", { id: `${id}-refusal`, class: "acpower-refusal", role: "alert", hidden: "" });
  const line = element("div", { class: `acpower-row acpower-${kind}` }, element("label", { for: id }, plan.label), ...inputs);
  const box = element("div", { class: "acpower-control" }, line, refusal);
  const mark = (refused, idle) => {
    const why = idle ? "" : refused;
    say(refusal, why);
    box.classList.toggle("acpower-idle", idle);
    for (const input of inputs) input.disabled = idle;
    inputs[0].setAttribute("aria-invalid", Boolean(why));
    why ? inputs[0].setAttribute("aria-describedby", refusal.id) : inputs[0].removeAttribute("aria-describedby");
  };
  return { box, show, mark };
}

function render({ model, el }) {
  const send = (name, value) => {
    model.set(name, value);
    model.save_changes();
  };
  const turn = (name, text) => send("typed", { ...model.get("typed"), [name]: text });
  const rows = Object.entries(model.get("plan")).map(([name, plan]) => [name, row(name, plan, turn)]);

  const switches = element("button", { type: "button", class: "acpower-switch" }, "Large text");
  const controls = element("div", { class: "acpower-controls" }, ...rows.map(([, { box }]) => box), switches);
  const picture = element("div", { class: "acpower-picture" });
  const problem = element("p", { class: "acpower-refusal", role: "alert", hidden: "" });
  const result = element("output", { class: "acpower-result" });
  const panel = element(
    "div",
    { class: "acpower-panel", role: "group", "aria-label": model.get("title"), "data-lm-suppress-shortcuts": "true" },
    element("div", { class: "acpower-top" }, controls, picture),
    problem,
    result,
  );
  el.append(panel);
  // Keys turn the controls and nothing else: the notebook has commands on letters and arrows.
  panel.addEventListener("keydown", (event) => event.stopPropagation());

  const show = () => {
    const shown = model.get("shown");
    // The result line never shrinks: what stands below does not jump. Its height is read while nothing
    // has changed; later the page would have to be laid out once more for it.
    result.style.minHeight = `${result.offsetHeight}px`;
    picture.innerHTML = shown.picture;
    result.textContent = shown.words;
    say(problem, shown.problem);
    for (const [name, { show, mark }] of rows) {
      const refused = shown.refused[name] ?? "";
      // A control that has been turned further since then must not jump back: its answer is on the way.
      if (shown.answered[name] === model.get("typed")[name]) show(shown.values[name], refused);
      mark(refused, shown.idle.includes(name));
    }
  };
  const unfollow = switchLargeText(switches, (large) => {
    result.style.minHeight = "";
    if (model.get("large") !== large) send("large", large);
  });
  show();
  model.on("change:shown", show);
  return () => {
    unfollow();
    model.off("change:shown", show);
  };
}

export default { render };
