// The sheet of readings that were taken, and the diagnosis of them.

class SheetView {
  constructor(app) {
    this.app = app;
    this.leftOut = new Set();
    element("read-weight").addEventListener("click", () => this.readWeight());
    element("corner-round").addEventListener("click", () => this.cornerRound());
    element("what").addEventListener("change", () => this.fill());
    element("take").addEventListener("click", () => this.take());
    element("diagnose").addEventListener("click", () => this.diagnose());
  }

  /// What a meter or an eye can take, each with the numbers of its deed behind the cell's.
  kinds() {
    const kinds = [
      { name: "signal, lifted (mV)", numbers: [1, 0, 0] },
      { name: "S+ to S\u2212, lifted (\u03a9)", numbers: [2, 2, 3] },
      { name: "E+ to E\u2212, lifted (\u03a9)", numbers: [2, 0, 1] },
      { name: "S+ to shield, lifted (\u03a9)", numbers: [2, 2, 4] },
      { name: "E+ to shield, lifted (\u03a9)", numbers: [2, 0, 4] },
    ];
    for (const a of [0, 1]) {
      for (const b of [2, 3]) kinds.push({ name: `${wires[a]} to ${wires[b]}, lifted (\u03a9)`, numbers: [2, a, b] });
    }
    ["at the cell", "in the box", "at the indicator"].forEach((name, place) =>
      kinds.push({ name: `excitation ${name} (V)`, numbers: [3, place, 0] }),
    );
    looks.forEach((name, look) => kinds.push({ name: `look: ${name}`, numbers: [4, look, 0] }));
    if (this.app.run.scale.per_cell) kinds.push({ name: "channel (mV/V)", numbers: [5, 0, 0] });
    return kinds;
  }

  build() {
    const cells = 2 * this.app.run.scale.sections.length;
    choose(element("what"), this.kinds().map((kind) => kind.name));
    choose(element("what-cell"), Array.from({ length: cells }, (_, i) => `cell ${i + 1}`));
    this.fill();
    this.leftOut.clear();
    this.count = -1;
    element("causes").replaceChildren();
    element("diagnosis-words").textContent = "";
    element("why").hidden = true;
    this.draw();
  }

  fill() {
    const [quantity, second] = this.kinds()[element("what").selectedIndex].numbers;
    element("what-cell").disabled = (quantity === 3 && second > 0) || (quantity === 4 && second === 3);
  }

  take() {
    const [quantity, ...rest] = this.kinds()[element("what").selectedIndex].numbers;
    const well = this.app.does("read", [quantity, element("what-cell").selectedIndex, ...rest]);
    this.sayLast(well);
  }

  readWeight() {
    const { view } = this.app.run;
    if (view.hasWeight && !view.stable) return this.app.say("Wait until the display stands still");
    this.sayLast(this.app.does("read", [0, 0, 0, 0]));
  }

  sayLast(well) {
    if (!well) return this.app.say("That cannot be read here, or the indicator shows no weight before its zero is set");
    const { scale } = this.app.run;
    const reading = this.app.run.readings().at(-1);
    this.app.say(`${readingWords(scale, reading)}: ${valueWords(scale, reading)}`);
  }

  /// The test weight over every support, as somebody would do it, but at once.
  cornerRound() {
    const { run } = this.app;
    if (run.view.onDeck.length > 0) return this.app.say("Clear the deck first");
    const does = (word, numbers, joined = true) => run.does(word, numbers, joined);
    const before = run.view.readings;
    // An indicator that has lost its zero shows no weight until somebody sets it.
    if (!run.settle(10) && run.view.powered) {
      does("key", [0], false);
      element("zeroed").selectedIndex = 1;
    }
    run.settle(10);
    does("read", [0, 0, 0, 0], false);
    for (let i = 0; i < 2 * run.scale.sections.length; ++i) {
      does("put", [...supportPlace(run.scale, i), run.scale.test_kg]);
      run.settle(20);
      does("read", [0, 0, 0, 0]);
      does("lift", [run.view.onDeck.at(-1).number]);
      run.settle(20);
    }
    does("read", [0, 0, 0, 0]);
    this.app.changed();
    const all = run.view.readings - before === 2 * run.scale.sections.length + 2;
    this.app.say(all
      ? "Corner round done: its weights stand on the sheet"
      : "With its zero lost the indicator shows no weights: what it did show stands on the sheet; measure signals");
  }

  /// Readings that do not count.
  get left() {
    return [...this.leftOut].filter((index) => index < this.app.run.view.readings);
  }

  get zeroedSince() {
    return element("zeroed").selectedIndex === 1;
  }

  diagnose() {
    const { left, app: { run } } = this;
    // In a drill the diagnosis is the largest hint there is.
    if (run.drill > 0 && run.covered) this.app.does("hint", []);
    const begin = performance.now();
    const zeroed = this.zeroedSince;
    const { causes, why } = run.bench.diagnose(left, zeroed);
    this.took_ms = performance.now() - begin;
    this.causes = causes;
    const { scale } = run;
    element("causes").replaceChildren(
      ...causes.slice(0, 8).map((each) => {
        const size = sizeWords(scale, each, each.estimate.map((estimate) => estimate[0]));
        const also = each.also ? ` with ${faultWords(scale, each.also)}` : "";
        const group = each.group >= 0 ? ` (group ${String.fromCharCode(65 + each.group)})` : "";
        const words = `${faultWords(scale, each)}${size ? `, ${size}` : ""}${also}${group}`;
        const bar = make("span", { class: "share", "aria-hidden": "true", style: `--share:${each.probability}` });
        return make("li", {}, make("span", { class: "number" }, percent(each.probability)), bar, make("span", {}, words));
      }),
    );
    this.explain(causes[0], why);
    const grouped = causes.some((each) => each.group >= 0 && each.probability > 0.01);
    const none = "These readings do not go together, or there are none that tell anything.";
    const words = causes.length === 0 ? none : `${run.view.readings - left.length} readings.`;
    const hint = grouped ? " The readings cannot tell causes of one group from each other." : "";
    element("diagnosis-words").textContent = words + hint;
    if (causes.length > 0) this.app.say(`Most probable: ${faultWords(scale, causes[0])}, ${percent(causes[0].probability)}`);
  }

  /// Readings that speak most for the first cause, beside what it and a healthy scale let expect.
  explain(first, why) {
    const { scale } = this.app.run;
    element("why").hidden = !first?.isFault;
    if (!first?.isFault) return;
    element("why-cause").textContent = faultWords(scale, first);
    const all = this.app.run.readings();
    const rows = why.slice(0, 8).map(({ reading, healthy, caused }) => {
      const read = all[reading];
      const cells = [read.value, healthy, caused].map((value) => valueWords(scale, { ...read, value, shown: 0 }));
      const head = make("th", { scope: "row" }, readingWords(scale, read));
      return make("tr", {}, head, ...cells.map((text) => make("td", { class: "number" }, text)));
    });
    element("why-rows").replaceChildren(...rows);
    element("what-to-do").textContent = `What to do: ${data.causes[first.cause].remedy}`;
  }

  draw() {
    const { run } = this.app;
    if (run.view.readings === this.count) return;
    this.count = run.view.readings;
    const rows = run.readings().map((reading, index) => {
      const words = readingWords(run.scale, reading);
      const used = make("input", { type: "checkbox", checked: !this.leftOut.has(index), "aria-label": `use: ${words}` });
      used.addEventListener("change", () => (used.checked ? this.leftOut.delete(index) : this.leftOut.add(index)));
      const value = make("td", { class: "number" }, valueWords(run.scale, reading));
      return make("tr", {}, make("td", {}, used), make("th", { scope: "row" }, words), value);
    });
    element("readings").replaceChildren(...rows);
    element("no-readings").hidden = rows.length > 0;
    element("diagnose").disabled = rows.length === 0;
  }
}
