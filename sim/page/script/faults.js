// Faults: put in, hidden and mended.

class FaultsView {
  constructor(app) {
    this.app = app;
    element("cause").addEventListener("change", () => this.fill());
    element("put-fault").addEventListener("click", () => this.putIn());
    element("hide-fault").addEventListener("click", () => this.hide());
    element("mend-all").addEventListener("click", () => app.does("mend", [0]));
  }

  build() {
    const { causes } = this.app.run.scale;
    const names = causes.map(({ cause }) => `${data.causes[cause].name}: ${data.causes[cause].brief}`);
    choose(element("cause"), names);
    this.fill();
    this.key = null;
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
    const seed = wholeNumber(element("hide-seed").value, 1e9);
    if (seed === null) return this.app.say("A seed is a whole number from 0 to 1 000 000 000");
    const well = this.app.does("hide", [seed]);
    this.app.say(well ? "One fault is hidden: find it" : "No fault could be hidden; mend one first");
  }

  draw() {
    const { view: { faults, revealed }, drill, covered } = this.app.run;
    const runs = drill > 0 && covered;
    const key = `${faults.map((each) => each.number).join()} ${revealed} ${runs}`;
    if (key === this.key) return;
    this.key = key;
    element("mend-all").disabled = runs || faults.length === 0;
    element("put-fault").disabled = runs;
    element("hide-fault").disabled = runs;
    if (runs) return element("faults").replaceChildren(make("li", {}, "a drill runs: what is wrong, if anything, is not told here before it is named"));
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
