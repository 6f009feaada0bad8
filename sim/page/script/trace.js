// The weight over time, with a scrubber that looks at earlier moments, and as CSV.

const shownSeconds = 120;

class TraceView {
  constructor(app) {
    this.app = app;
    this.canvas = element("trace");
    const slider = element("scrubber");
    slider.addEventListener("input", () => this.scrub(Number(slider.value)));
    element("now").addEventListener("click", () => this.scrub(null));
    element("from-here").addEventListener("click", () => {
      const { frame } = app.scrubbed;
      this.scrub(null);
      const well = app.run.rewind(frame);
      app.changed();
      app.say(well ? "Going on from there; Redo brings back what came later" : "What was read, asked or named in a drill stays");
    });
    element("csv").addEventListener("click", () => this.save());
  }

  scrub(index) {
    const { samples } = this.app.run;
    const now = index === null || index >= samples.length - 1;
    this.app.scrubbed = now ? null : samples[index];
    element("now").disabled = now;
    element("from-here").disabled = now;
    this.app.redraw();
  }

  csv() {
    const { scale, samples, covered } = this.app.run;
    const cells = samples[0].view.cell.map((_, i) => `cell_${i + 1}_N`);
    const unit = scale.unit;
    const lines = [["time_s", `shown_${unit}`, "stable", `on_deck_${unit}`, ...cells].join(",")];
    for (const { time, shown, truth, view } of samples) {
      const kg = (value) => (value / scale.unit_kg).toFixed(4);
      const forces = view.cell.map((force) => (covered ? "" : force.toFixed(2)));
      lines.push([time.toFixed(2), shown === null ? "" : kg(shown), view.stable ? 1 : 0, kg(truth), ...forces].join(","));
    }
    return lines.join("\n") + "\n";
  }

  save() {
    const url = URL.createObjectURL(new Blob([this.csv()], { type: "text/csv" }));
    make("a", { href: url, download: `${this.app.run.scale.id}-trace.csv` }).click();
    setTimeout(() => URL.revokeObjectURL(url), 1000);
    this.app.say("The trace is saved as CSV");
  }

  draw() {
    const { samples, scale } = this.app.run;
    const slider = element("scrubber");
    const last = samples.length - 1;
    slider.max = last;
    const at = this.app.scrubbed ? samples.indexOf(this.app.scrubbed) : last;
    if (Number(slider.value) !== at) slider.value = at;
    const current = samples[Math.max(at, 0)];
    const words = `${current.time.toFixed(1)} s, ${current.shown === null ? "no weight" : massWithUnit(scale, current.shown)}`;
    slider.setAttribute("aria-valuetext", words);
    if (element("trace-at").textContent !== words) element("trace-at").textContent = words;
    this.paint(at);
  }

  paint(at) {
    const { samples, scale } = this.app.run;
    const ratio = window.devicePixelRatio || 1;
    const width = this.canvas.clientWidth;
    const height = this.canvas.clientHeight;
    if (width === 0) return;
    if (this.canvas.width !== Math.round(width * ratio)) {
      this.canvas.width = Math.round(width * ratio);
      this.canvas.height = Math.round(height * ratio);
    }
    const context = this.canvas.getContext("2d");
    const style = getComputedStyle(document.body);
    const colour = (name) => style.getPropertyValue(name).trim();
    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    context.clearRect(0, 0, width, height);
    const end = Math.max(samples.at(-1).time, shownSeconds / 4);
    const begin = this.app.scrubbed ? Math.max(0, Math.min(end - shownSeconds, samples[at].time - shownSeconds / 2)) : Math.max(0, end - shownSeconds);
    let first = at;
    while (first > 0 && samples[first].time > begin) --first;
    const part = samples.slice(first).filter((sample) => sample.time <= begin + shownSeconds);
    let low = -2 * scale.division_kg;
    let high = 20 * scale.division_kg;
    for (const { shown, truth } of part) {
      low = Math.min(low, shown ?? 0, truth);
      high = Math.max(high, shown ?? 0, truth);
    }
    const x = (time) => 8 + ((time - begin) / Math.min(shownSeconds, Math.max(end, 1))) * (width - 16);
    const y = (kg) => height - 18 - ((kg - low) / (high - low)) * (height - 34);
    const line = (value, name, thick, dash) => {
      context.beginPath();
      context.setLineDash(dash);
      let down = false;
      for (const sample of part) {
        const kg = value(sample);
        if (kg !== null) down ? context.lineTo(x(sample.time), y(kg)) : context.moveTo(x(sample.time), y(kg));
        down = kg !== null;
      }
      context.strokeStyle = colour(name);
      context.lineWidth = thick;
      context.stroke();
    };
    context.fillStyle = colour("--soft");
    context.font = "12px system-ui, sans-serif";
    context.fillText(massWithUnit(scale, high), 8, 12);
    context.fillText(massWithUnit(scale, low), 8, height - 3);
    context.textAlign = "right";
    context.fillText("solid: shown, dashed: on the deck", width - 8, 12);
    context.textAlign = "left";
    line((sample) => sample.truth, "--soft", 1.5, [4, 4]);
    line((sample) => sample.shown, "--ink", 2, []);
    context.setLineDash([]);
    if (this.app.scrubbed) {
      context.strokeStyle = colour("--mark");
      context.beginPath();
      context.moveTo(x(samples[at].time), 14);
      context.lineTo(x(samples[at].time), height - 16);
      context.stroke();
    }
  }
}
