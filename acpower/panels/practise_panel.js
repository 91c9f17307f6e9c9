// The page's side of practising: it hands on what is pressed and typed, and shows what comes back.

const FRAME = `
<div class="acpower-practise" role="group" aria-label="Practise" data-lm-suppress-shortcuts="true">
  <div class="acpower-line">
    <label>Worksheet <select name="worksheet"></select></label>
    <label>Question <select name="question"></select></label>
  </div>
  <div class="acpower-line">
    <p class="acpower-progress" role="status"></p>
    <button type="button" name="large">Large text</button>
  </div>
  <div class="acpower-task">
    <div class="acpower-asked"></div>
    <div class="acpower-card"></div>
  </div>
  <form class="acpower-line">
    <label><span></span> <input name="answer" autocomplete="off" spellcheck="false" maxlength="200"></label>
    <label class="acpower-menu">or choose <select name="choice"></select></label>
    <button name="record">Record</button>
  </form>
  <div class="acpower-line">
    <button type="button" name="hint"></button>
    <button type="button" name="card">New job card</button>
    <button type="button" name="working">Show the working</button>
  </div>
  <output class="acpower-reaction"></output>
  <output class="acpower-help"></output>
  <p class="acpower-left-out"></p>
  <p class="acpower-notice" role="status"></p>
</div>`;

function fill(menu, entries, chosen) {
  menu.replaceChildren(...entries.map(([value, words]) => new Option(words, value)));
  menu.value = chosen;
}

function render({ model, el }) {
  el.innerHTML = FRAME;
  const find = (selector) => el.querySelector(selector);
  const control = (name) => find(`[name=${name}]`);
  const answer = control("answer");
  let pressed = "", waiting = "";
  const press = (what, text) => {
    pressed = what;
    waiting = Math.random().toString(36);
    model.send({ press: what, text, mark: waiting });
  };
  // Keys answer and choose, and nothing else: the notebook has commands on letters and arrows.
  el.addEventListener("keydown", (event) => event.stopPropagation());

  for (const name of ["worksheet", "question"])
    control(name).addEventListener("change", (event) => press(name, event.target.value));
  for (const name of ["hint", "working", "card"])
    control(name).addEventListener("click", () => press(name, answer.value));
  find("form").addEventListener("submit", (event) => {
    event.preventDefault();
    press("record", answer.value);
  });
  control("choice").addEventListener("change", (event) => (answer.value = event.target.value));
  answer.addEventListener("input", () => (control("choice").value = answer.value));

  // What is said grows with its longest text and never shrinks: nothing below it jumps.
  const say = (output, sentence) => {
    output.textContent = sentence;
    const height = output.scrollHeight; // nought as long as the panel is not on the page
    if (height > parseFloat(output.style.minHeight || 0)) output.style.minHeight = `${height}px`;
  };
  let task = "";
  const show = () => {
    const shown = model.get("shown");
    if (shown.answered === waiting) waiting = "";
    if (waiting) return; // more was pressed since then: a menu must not jump back
    fill(control("worksheet"), shown.worksheets, shown.worksheet);
    fill(control("question"), shown.questions, shown.question);
    find(".acpower-progress").textContent = shown.progress;
    find("form span").textContent = shown.label;
    find(".acpower-menu").hidden = !shown.options.length;
    if (shown.task !== task) {
      find(".acpower-asked").innerHTML = shown.asked;
      find(".acpower-card").innerHTML = shown.card;
      fill(control("choice"), ["", ...shown.options].map((option) => [option, option]), shown.typed);
      answer.value = shown.typed;
      if (pressed === "card") answer.focus({ preventScroll: true });
      task = shown.task;
    }
    control("hint").textContent = shown.hint;
    control("working").disabled = !shown.working_open;
    find(".acpower-reaction").style.borderColor = shown.colour;
    say(find(".acpower-reaction"), shown.reaction);
    say(find(".acpower-help"), shown.help);
    find(".acpower-left-out").textContent = shown.left_out;
    find(".acpower-notice").textContent = shown.notice;
  };

  const unfollow = switchLargeText(control("large"), () => {
    for (const output of el.querySelectorAll("output")) output.style.minHeight = "";
  });
  show();
  model.on("change:shown", show);
  return () => {
    unfollow();
    model.off("change:shown", show);
  };
}

export default { render };
