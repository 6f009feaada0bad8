// The summing box: each cell's signal, a meter with two probes, and the trims.

class BoxView {
  constructor(app) {
    this.app = app;
    this.wiring = new WiringView(app, this);
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
    this.app.say(`${colour} probe on ${terminalNames(this.app.run.scale)[index]}; the meter shows ${element("meter").textContent}`);
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
    this.rows.forEach((row, i) => {
      const lifted = past ? "\u2013" : `${grouped(1000 * signals[i], 3)} mV`;
      if (row.signal.textContent !== lifted) row.signal.textContent = lifted;
      const inBox = past ? "\u2013" : `${grouped(1000 * (volts[10 * i + 2] - volts[10 * i + 3]), 3)} mV`;
      if (row.box.textContent !== inBox) row.box.textContent = inBox;
      if (row.value) row.value.textContent = view.trim[i].toFixed(2);
    });
    const volt = volts[element("probe-a").selectedIndex] - volts[element("probe-b").selectedIndex];
    const words = Math.abs(volt) < 0.5 ? `${grouped(1000 * volt, 3)} mV` : `${grouped(volt, 4)} V`;
    element("meter").textContent = past ? "only now, not then" : words;
    this.wiring.mark();
    const key = view.trim.join() + view.faults.length;
    if (scale.trim_last > 0 && key !== this.spreadKey) {
      this.spreadKey = key;
      const least = `corners differ by ${grouped(this.app.run.bench.spread(), 1)} d`;
      element("spread").textContent = this.app.tellsTruth() ? least : "make a corner round to see how far they differ";
    }
  }
}
