// Faults: put in, hidden, mended, and named by somebody who looks for one.

class FaultsView {
  constructor(app) {
    this.app = app;
    element("cause").addEventListener("change", () => this.fill());
    element("put-fault").addEventListener("click", () => this.putIn());
    element("hide-fault").addEventListener("click", () => this.hide());
    element("mend-all").addEventListener("click", () => app.does("mend", [0]));
    element("named-cause").addEventListener("change", () => this.fillNamed());
    element("name-it").addEventListener("click", () => this.name());
    element("ask-hint").addEventListener("click", () => this.hint());
    element("score-it").addEventListener("click", () => this.score());
  }

  build() {
    const { causes } = this.app.run.scale;
    const names = causes.map(({ cause }) => `${data.causes[cause].name}: ${data.causes[cause].brief}`);
    choose(element("cause"), names);
    choose(element("named-cause"), names);
    this.fill();
    this.fillNamed();
    this.key = null;
    element("named-answer").textContent = "";
    element("drill-answer").textContent = "";
    this.draw();
  }

  get form() {
    return this.app.run.scale.causes[element("cause").selectedIndex];
  }

  fill() {
    const form = this.form;
    const row = (id, words) => {
      choose(element(id), words);
      element(id).closest("label").hidden = words.length < 2;
    };
    row("site", form.sites);
    row("variant", form.variants);
    element("sizes").replaceChildren(
      ...form.magnitudes.map((m, i) => {
        const middle = m.log ? Math.sqrt(m.low * m.high) : m.low + 0.75 * (m.high - m.low);
        const range = `${figures(m.low / m.si)} to ${figures(m.high / m.si)}`;
        const input = make("input", { id: `size-${i}`, inputmode: "decimal", value: String(Number((middle / m.si).toPrecision(2))) });
        return make("label", {}, `${sizeName(m)} (${range})`, input);
      }),
    );
    const cause = data.causes[form.cause];
    element("cause-text").textContent = `${cause.what} ${cause.corner_weights}`;
  }

  fillNamed() {
    choose(element("named-site"), this.app.run.scale.causes[element("named-cause").selectedIndex].sites);
  }

  putIn() {
    const form = this.form;
    const sizes = form.magnitudes.map((m, i) => Number(element(`size-${i}`).value.replace(",", ".")) * m.si);
    const bad = form.magnitudes.find((m, i) => !(sizes[i] >= m.low * (1 - 1e-9) && sizes[i] <= m.high * (1 + 1e-9)));
    if (bad) return this.app.say(`${sizeName(bad)} is a number from ${figures(bad.low / bad.si)} to ${figures(bad.high / bad.si)}`);
    const numbers = [form.cause, element("site").selectedIndex, element("variant").selectedIndex, ...sizes];
    const well = this.app.does("fault", numbers);
    this.app.say(well ? `${data.causes[form.cause].name} is there` : "This scale takes no further fault like that");
  }

  hide() {
    const seed = Number(element("hide-seed").value);
    const well = this.app.does("hide", [seed]);
    this.app.say(well ? "One fault is hidden: find it" : "No fault could be hidden; mend one first");
  }

  name() {
    const { cause, sites } = this.app.run.scale.causes[element("named-cause").selectedIndex];
    const site = element("named-site").selectedIndex;
    this.app.does("call", [cause, site]);
    const words = [data.causes[cause].name, sites[site]].filter(Boolean).join(", ");
    const outcome = this.app.run.calls.at(-1).outcome;
    const answer = [`No: not ${words}. ${this.against(cause, site)}`,
      `That cause, yes, but not there: ${words}. ${this.against(cause, site)}`,
      `Yes: ${words}. What to do: ${data.causes[cause].remedy}`][outcome];
    element("named-answer").textContent = answer;
    this.app.changed();
  }

  /// The reading that speaks most against a cause at a place.
  against(cause, site) {
    const { run, sheet } = this.app;
    const shows = `What would show it: ${data.causes[cause].shown_by}`;
    if (run.view.readings === 0) return `Nothing is written down yet. ${shows}`;
    const found = run.bench.against(sheet.left, sheet.zeroedSince, cause, site);
    if (!found) return `Nothing that was read speaks against it. ${shows}`;
    const reading = run.readings()[found.reading];
    const read = `${readingWords(run.scale, reading)}: ${valueWords(run.scale, reading)} was read`;
    if (found.seen) return `Against it speaks ${read}, where it lets expect something else.`;
    const expected = valueWords(run.scale, { ...reading, value: found.predicted, shown: 0 });
    const away = Math.abs(found.away) > 99 ? "more than 99" : Math.abs(found.away).toFixed(1);
    return `Against it speaks ${read}, where it lets expect ${expected}, ${away} standard uncertainties away.`;
  }

  hint() {
    const { run, sheet } = this.app;
    if (run.view.readings === 0) return this.answer("Begin with a corner round.");
    const hint = run.bench.hint(sheet.left, sheet.zeroedSince);
    this.app.does("hint", []);
    if (!hint) return this.answer("These readings do not go together.");
    if (hint.check) {
      const minutes = figures(hint.check.minutes, 2);
      return this.answer(`Would tell most for its minutes: ${readingWords(run.scale, hint.check.reading)} (${minutes} min).`);
    }
    const why = hint.enough ? "What was read settles it as far as readings can" : "No reading would tell more";
    return this.answer(`${why}. Most probable: ${faultWords(run.scale, hint.likeliest)}, ${percent(hint.probability)}.`);
  }

  /// Only of what is hidden, once it is named: the score gives the plan away.
  score() {
    const { run, sheet } = this.app;
    const wrong = run.calls.filter(({ outcome }) => outcome < 2).length;
    const s = run.bench.score(sheet.zeroedSince, true, run.hints, wrong);
    const told = s.needless === 1 ? "1 of them told" : `${s.needless} of them told`;
    const plan = `The proposed checks take ${figures(s.planMinutes, 3)} min and ${s.planSteps} readings${s.planRight ? "" : ", and end with another cause"}.`;
    this.answer(`${s.points} of 100 points: ${figures(s.minutes, 3)} min, ${s.steps} readings, ${told} next to nothing, hints ${run.hints}, wrong names ${wrong}. ${plan}`);
  }

  answer(text) {
    element("drill-answer").textContent = text;
    this.app.changed();
  }

  get solved() {
    const { view, calls } = this.app.run;
    return view.faults.some((each) => each.hidden) && calls.some(({ outcome }) => outcome === 2);
  }

  drawClock() {
    const { run } = this.app;
    const key = [run.view.readings, run.hints, run.calls.length, this.solved].join();
    if (key === this.clockKey) return;
    this.clockKey = key;
    const { minutes, steps } = run.bench.clock();
    element("drill-clock").textContent = `${figures(minutes, 3)} min for ${steps} readings beside the complaint's weights, hints ${run.hints}.`;
    element("score-it").disabled = !this.solved;
  }

  draw() {
    this.drawClock();
    const { faults } = this.app.run.view;
    const key = faults.map((each) => each.number).join();
    if (key === this.key) return;
    this.key = key;
    element("mend-all").disabled = faults.length === 0;
    element("faults").replaceChildren(
      ...(faults.length === 0 ? [make("li", {}, "nothing is broken")] : []),
      ...faults.map((fault) => {
        const words = fault.hidden ? "a hidden fault" : faultWords(this.app.run.scale, fault);
        const size = fault.hidden ? "" : sizeWords(this.app.run.scale, fault, fault.size);
        const mend = make("button", { type: "button", onclick: () => this.app.does("mend", [fault.number]) }, "Mend");
        return make("li", {}, `${words}${size ? `, ${size}` : ""} `, mend);
      }),
    );
  }
}
