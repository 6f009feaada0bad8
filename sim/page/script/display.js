// The front of the indicator: what the firmware shows, and its keys.

const lights = [
  [1, "stable"],
  [2, "zero"],
  [4, "net"],
  [8, "preset"],
  [16, "degraded"],
];

class DisplayView {
  constructor(app) {
    this.app = app;
    ["zero", "tare", "clear", "unit", "print"].forEach((name, key) => {
      element(`key-${name}`).addEventListener("click", () => app.does("key", [key]));
    });
    element("power").addEventListener("click", () => app.does("power", [app.run.view.powered ? 0 : 1]));
    element("lights").replaceChildren(...lights.map(([, name]) => make("li", { "data-light": name }, name, make("span", { class: "unseen" }, ": off"))));
    this.lightNodes = [...element("lights").children];
    this.spoken = "";
    this.stableSince = 0;
  }

  draw() {
    const { panel, powered, hasWeight, stable, truth } = this.app.shown();
    const set = (id, text) => {
      if (element(id).textContent !== text) element(id).textContent = text;
    };
    const digits = panel.digits.replace("-", "\u2212");
    set("digits", powered ? digits || "\u2013\u2013\u2013" : "");
    set("panel-unit", powered ? panel.unit : "");
    set("panel-words", powered ? panel.words || (hasWeight ? "" : "no weight") : "dark");
    lights.forEach(([bit], i) => {
      const on = powered && (panel.lights & bit) !== 0;
      this.lightNodes[i].toggleAttribute("data-on", on);
      const told = on ? ": on" : ": off";
      if (this.lightNodes[i].lastChild.textContent !== told) this.lightNodes[i].lastChild.textContent = told;
    });
    set("truth", `truly ${massWithUnit(this.app.run.scale, truth)} on the deck`);
    set("power", powered ? "Power off" : "Power on");
    const words = !powered ? "display dark" : digits ? `${digits} ${panel.unit}` : panel.words;
    const settled = !hasWeight || stable;
    if (settled && words !== this.spoken && performance.now() - this.stableSince > 700) {
      this.spoken = words;
      element("spoken-display").textContent = `Display: ${words}`;
    }
    if (!settled || words !== this.last) this.stableSince = performance.now();
    this.last = words;
  }
}
