// The summing box: each cell's signal, a meter with two probes, and the trims.

class BoxView {
  constructor(app) {
    this.app = app;
    this.wiring = new WiringView(app, this);
    element("measure").addEventListener("click", () => this.measure());
    for (const id of ["probe-a", "probe-b"]) element(id).addEventListener("change", () => this.draw(true));
  }

  build() {
    const scale = this.app.run.scale;
    const cells = 2 * scale.sections.length;
    const names = terminalNames(scale);
    const bus = names.indexOf(`bus: ${wires[2]}`);
    choose(element("probe-a"), names, bus);
    choose(element("probe-b"), names, bus + 1);
    this.rows = Array.from({ length: cells }, (_, i) => this.buildRow(i));
    element("cells").replaceChildren(...this.rows.map((row) => row.node));
    const trims = scale.trim_last > 0;
    element("no-trims").hidden = trims;
    element("trim-head").hidden = !trims;
    element("spread-line").hidden = !trims;
    this.measured = null;
    this.wiring.build();
    this.draw(true);
  }

  /// Which terminals the red and the black probe are on.
  probes() {
    return [element("probe-a").selectedIndex, element("probe-b").selectedIndex];
  }

  /// Holds the probe `a`, the red one, or `b` on a terminal.
  probe(which, index) {
    element(`probe-${which}`).selectedIndex = index;
    this.draw(true);
    const colour = which === "a" ? "Red" : "Black";
    const shows = this.app.run.covered ? "" : `; the meter shows ${element("meter").textContent}`;
    this.app.say(`${colour} probe on ${terminalNames(this.app.run.scale)[index]}${shows}`);
  }

  /// Between the probes, at this moment.
  volts() {
    const volts = this.app.run.bench.terminals();
    const [red, black] = this.probes();
    const volt = volts[red] - volts[black];
    return Math.abs(volt) < 0.5 ? `${grouped(1000 * volt, 3)} mV` : `${grouped(volt, 4)} V`;
  }

  /// While something is hidden, reading the meter is a step that takes its minutes.
  measure() {
    const words = this.volts();
    this.app.does("probe", this.probes());
    this.measured = { at: this.probes().join(), words: `${words} at ${this.app.run.view.time.toFixed(0)} s` };
    this.draw(true);
    this.app.say(`The meter shows ${words}`);
  }

  drawMeter(past) {
    const { covered, bench } = this.app.run;
    const at = this.probes();
    const button = element("measure");
    button.hidden = !covered;
    if (covered) button.textContent = `Measure (${figures(bench.probeMinutes(...at), 2)} min)`;
    const held = this.measured?.at === at.join() ? this.measured.words : "\u2013";
    const words = covered ? held : past ? "only now, not then" : this.volts();
    if (element("meter").textContent !== words) element("meter").textContent = words;
  }

  buildRow(index) {
    const scale = this.app.run.scale;
    const signal = make("td", { class: "number" });
    const box = make("td", { class: "number" });
    const node = make("tr", {}, make("th", { scope: "row" }, String(index + 1)), signal, box);
    if (scale.trim_last === 0) return { node, signal, box };
    const step = scale.trim_turns ? 0.25 : scale.trim_last / 40;
    const value = make("span", { class: "number" });
    const turn = (by, label, text) =>
      make("button", { type: "button", "aria-label": `Trim ${index + 1}: ${label}`, onclick: () => this.turn(index, by) }, text);
    const unit = scale.trim_turns ? "turn" : "step";
    const buttons = [
      turn(-8 * step, `eight ${unit === "turn" ? "quarter turns" : "steps"} back`, "\u00ab"),
      turn(-step, `a ${unit === "turn" ? "quarter turn" : "step"} back`, "\u2039"),
      value,
      turn(step, `a ${unit === "turn" ? "quarter turn" : "step"} on`, "\u203a"),
      turn(8 * step, `eight ${unit === "turn" ? "quarter turns" : "steps"} on`, "\u00bb"),
    ];
    node.append(make("td", { class: "trim" }, ...buttons));
    return { node, signal, box, value };
  }

  turn(position, by) {
    this.app.does("trim", [position, by]);
    const at = this.app.run.view.trim[position];
    const unit = this.app.run.scale.trim_turns ? "turns" : "\u03a9";
    this.app.say(`trim ${position + 1} at ${at.toFixed(2)} ${unit}`);
    this.draw(true);
  }

  /// Potentials follow from the present state, a few times a second.
  draw(now = false) {
    if (!this.rows || (!now && performance.now() - (this.drawn ?? 0) < 150)) return;
    this.drawn = performance.now();
    const { scale } = this.app.run;
    const view = this.app.shown();
    const signals = this.app.run.bench.signals();
    const volts = this.app.run.bench.terminals();
    const past = this.app.scrubbed !== null;
    const { covered } = this.app.run;
    const dark = past || covered;
    element("box-covered").hidden = !covered;
    this.rows.forEach((row, i) => {
      const lifted = dark ? "\u2013" : `${grouped(1000 * signals[i], 3)} mV`;
      if (row.signal.textContent !== lifted) row.signal.textContent = lifted;
      const inBox = dark ? "\u2013" : `${grouped(1000 * (volts[10 * i + 2] - volts[10 * i + 3]), 3)} mV`;
      if (row.box.textContent !== inBox) row.box.textContent = inBox;
      if (row.value) row.value.textContent = view.trim[i].toFixed(2);
    });
    this.drawMeter(past);
    this.wiring.mark();
    const key = view.trim.join() + view.faults.length + covered;
    if (scale.trim_last > 0 && key !== this.spreadKey) {
      this.spreadKey = key;
      const least = `corners differ by ${grouped(this.app.run.bench.spread(), 1)} d`;
      element("spread").textContent = !covered ? least : "make a corner round to see how far they differ";
    }
  }
}
