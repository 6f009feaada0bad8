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
        return make("label", {}, `${m.name.replaceAll("_per_", "/").replaceAll("_", " ")} (${range})`, input);
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
    if (sizes.some((size) => !isFinite(size))) return this.app.say("A size is a number");
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
    const answer = [`No: not ${words}. What would show it: ${data.causes[cause].shown_by}`,
      `That cause, yes, but not there: ${words}.`, `Yes: ${words}. What to do: ${data.causes[cause].remedy}`][outcome];
    element("named-answer").textContent = answer;
    this.app.changed();
  }

  draw() {
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
