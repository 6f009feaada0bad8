// The deck from above, to its own geometry: supports with what they carry, weights to drag, the truck.

const dragStep = 0.25;
const edge = 34;

class DeckView {
  constructor(app) {
    this.app = app;
    this.svg = element("deck");
    this.weights = new Map();
    new ResizeObserver(() => this.build()).observe(this.svg.parentElement);
    element("put").addEventListener("click", () => this.putWeight());
    element("drive").addEventListener("click", () => this.drive());
    choose(element("vehicle"), data.vehicles.map((each) => each.name), 0);
  }

  get scale() {
    return this.app.run.scale;
  }

  /// A deck is long and narrow: on a small screen it is drawn wider than it is.
  build() {
    const scale = this.scale;
    const width = Math.max(280, this.svg.parentElement.clientWidth);
    this.first = scale.sections[0] - scale.overhang_m;
    this.last = scale.sections.at(-1) + scale.overhang_m;
    this.perX = (width - 2 * edge) / (this.last - this.first);
    this.perY = Math.max(this.perX, 92 / scale.width_m);
    this.top = 52;
    const height = 2 * this.top + scale.width_m * this.perY;
    this.svg.setAttribute("viewBox", `0 0 ${width} ${height}`);
    this.svg.setAttribute("height", height);
    this.svg.replaceChildren();
    this.weights.clear();
    const box = { x: this.x(this.first), y: this.y(scale.width_m) - 9, width: this.perX * (this.last - this.first) };
    this.svg.append(makeSvg("rect", { ...box, height: scale.width_m * this.perY + 18, class: "plate", rx: 3 }));
    for (const x of scale.sections.slice(1, -1)) {
      const line = { x1: this.x(x), x2: this.x(x), y1: box.y, y2: box.y + scale.width_m * this.perY + 18 };
      this.svg.append(makeSvg("line", { ...line, class: "joint" }));
    }
    this.truck = this.svg.appendChild(makeSvg("g", { class: "truck" }));
    this.supports = Array.from({ length: 2 * scale.sections.length }, (_, i) => this.buildSupport(i));
    const places = namedPlaces(scale);
    if (this.placesOf !== scale) {
      this.placesOf = scale;
      choose(element("place"), places.map((place) => place.name), 0);
      element("mass").value = mass(scale, scale.test_kg).replace(/\s/g, "");
      element("mass-unit").textContent = scale.unit;
    }
    this.draw();
  }

  x(metres) {
    return edge + (metres - this.first) * this.perX;
  }

  y(metres) {
    return this.top + (this.scale.width_m - metres) * this.perY;
  }

  buildSupport(index) {
    const [px, py] = supportPlace(this.scale, index);
    const far = index < this.scale.sections.length;
    const x = this.x(px);
    const y = this.y(py);
    const out = far ? -1 : 1;
    const bar = makeSvg("rect", { x: x - 15, width: 0, y: y + out * 22 - 3, height: 6, class: "force" });
    const frame = makeSvg("rect", { x: x - 15, width: 30, y: y + out * 22 - 3, height: 6, class: "force-frame" });
    const text = makeSvg("text", { x, y: y + out * 38 + 4, class: "carried", role: "img", "aria-label": `support ${index + 1}` });
    this.svg.append(
      makeSvg("circle", { cx: x, cy: y, r: 8, class: "support" }),
      makeSvg("text", { x, y: y + 4, class: "support-number" }, String(index + 1)),
      frame,
      bar,
      text,
    );
    return { bar, text };
  }

  draw() {
    if (!this.supports) return;
    const { view, scale } = { view: this.app.shown(), scale: this.scale };
    const covered = this.app.run.covered;
    element("deck-covered").hidden = !covered;
    this.supports.forEach(({ bar, text }, i) => {
      if (covered) {
        bar.setAttribute("width", 0);
        text.textContent = "";
        text.setAttribute("aria-label", `what support ${i + 1} carries is covered`);
        return;
      }
      const kg = view.cell[i] / 9.80665;
      const share = kg / scale.capacity_kg;
      bar.setAttribute("width", Math.min(30, Math.max(0, 30 * share)));
      bar.setAttribute("class", share > 1 ? "force over" : "force");
      const words = share > 1 ? `${mass(scale, kg)} !` : mass(scale, kg);
      if (text.textContent === words) return;
      text.textContent = words;
      const over = share > 1 ? ", more than its cell may carry" : "";
      text.setAttribute("aria-label", `support ${i + 1} carries ${massWithUnit(scale, kg)}${over}`);
    });
    const numbers = new Set();
    for (const each of view.onDeck) {
      if (each.number === 0) continue;
      numbers.add(each.number);
      this.drawWeight(each);
    }
    for (const [number, node] of this.weights) {
      if (numbers.has(number)) continue;
      node.remove();
      this.weights.delete(number);
    }
    this.drawTruck(view.onDeck.filter((each) => each.number === 0));
    element("drive").textContent = view.vehicle ? "Drive off" : "Drive on";
  }

  drawTruck(axles) {
    const key = axles.map((axle) => axle.x.toFixed(2)).join();
    if (key === this.truckKey) return;
    this.truckKey = key;
    if (axles.length === 0) return this.truck.replaceChildren();
    const y = this.y(axles[0].y);
    const half = Math.min(1.1, this.scale.width_m / 2) * this.perY;
    const front = this.x(axles[0].x + 1);
    const back = this.x(axles.at(-1).x - 1);
    const body = makeSvg("rect", { x: back, y: y - half, width: front - back, height: 2 * half, rx: 4, class: "body" });
    const wheels = axles.flatMap((axle) =>
      [-1, 1].map((side) =>
        makeSvg("rect", { x: this.x(axle.x) - 5, y: y + side * half * 0.85 - 3, width: 10, height: 6, class: "wheel" }),
      ),
    );
    this.truck.replaceChildren(body, ...wheels);
  }

  drawWeight({ number, x, y, kg }) {
    let node = this.weights.get(number);
    if (!node) {
      node = makeSvg("g", { class: "weight", tabindex: 0, role: "slider", "aria-orientation": "horizontal" });
      node.append(makeSvg("rect", { x: -24, y: -15, width: 48, height: 30, rx: 4 }), makeSvg("text", { y: 4 }));
      node.addEventListener("pointerdown", (event) => this.grab(event, number));
      node.addEventListener("keydown", (event) => this.key(event, number));
      this.weights.set(number, node);
      this.svg.append(node);
    }
    const key = `${x},${y},${kg}`;
    if (node.dataset.key === key) return;
    node.dataset.key = key;
    node.setAttribute("transform", `translate(${this.x(x)} ${this.y(y)})`);
    node.querySelector("text").textContent = figures(kg / this.scale.unit_kg, 4);
    const where = `${massWithUnit(this.scale, kg)} on ${placeWords(this.scale, x, y)}`;
    node.setAttribute("aria-label", `Weight ${number}: arrow keys move it, Delete takes it off`);
    node.setAttribute("aria-valuemin", this.first.toFixed(2));
    node.setAttribute("aria-valuemax", this.last.toFixed(2));
    node.setAttribute("aria-valuenow", x.toFixed(2));
    node.setAttribute("aria-valuetext", where);
  }

  weight(number) {
    return this.app.run.view.onDeck.find((each) => each.number === number);
  }

  /// To a grid, so that a drag is some tens of deeds and not hundreds; onto a support where it is near.
  move(number, x, y, joined) {
    const held = this.weight(number);
    if (!held) return;
    const into = (value, low, high) => Math.min(high, Math.max(low, value));
    let to = [
      into(Math.round(x / dragStep) * dragStep, this.first, this.last),
      into(Math.round(y / dragStep) * dragStep, 0, this.scale.width_m),
    ];
    for (const { at } of namedPlaces(this.scale)) {
      if (Math.abs(at[0] - x) < dragStep && Math.abs(at[1] - y) < dragStep) to = at;
    }
    to = to.map((value) => Math.round(value * 1000) / 1000);
    if (Math.abs(to[0] - held.x) < 1e-9 && Math.abs(to[1] - held.y) < 1e-9) return;
    this.app.does("move", [number, ...to], joined);
  }

  grab(event, number) {
    event.preventDefault();
    const node = this.weights.get(number);
    node.focus({ preventScroll: true });
    node.setPointerCapture(event.pointerId);
    let moved = false;
    const drag = (each) => {
      const box = this.svg.getBoundingClientRect();
      const ratio = this.svg.viewBox.baseVal.width / box.width;
      const x = ((each.clientX - box.left) * ratio - edge) / this.perX + this.first;
      const y = this.scale.width_m - ((each.clientY - box.top) * ratio - this.top) / this.perY;
      const before = this.app.run.deeds.length;
      this.move(number, x, y, moved);
      moved = moved || this.app.run.deeds.length > before;
    };
    const drop = () => {
      node.removeEventListener("pointermove", drag);
      if (moved) this.app.say(this.weights.get(number)?.getAttribute("aria-valuetext"));
    };
    node.addEventListener("pointermove", drag);
    node.addEventListener("pointerup", drop, { once: true });
    node.addEventListener("pointercancel", drop, { once: true });
  }

  key(event, number) {
    const held = this.weight(number);
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, 1], ArrowDown: [0, -1] }[event.key];
    if (!held) return;
    if (event.key === "Delete" || event.key === "Backspace") {
      event.preventDefault();
      this.app.does("lift", [number]);
      element("put").focus();
      this.app.say(`weight ${number} is off the deck`);
    } else if (step) {
      event.preventDefault();
      const far = event.shiftKey ? 4 : 1;
      this.move(number, held.x + step[0] * far * dragStep, held.y + step[1] * far * dragStep, false);
    }
  }

  putWeight() {
    const typed = element("mass").value;
    const number = positiveNumber(typed);
    if (number === null) return this.app.say(`\u201c${typed}\u201d is no weight: digits only, with a point before decimals, such as 8500 or 8.5`);
    const kg = number * this.scale.unit_kg;
    const { at, name } = namedPlaces(this.scale)[element("place").selectedIndex];
    const well = this.app.does("put", [...at, kg]);
    this.app.say(well ? `${massWithUnit(this.scale, kg)} put on ${name}` : "No weight of that size can be put there");
  }

  drive() {
    if (this.app.run.view.vehicle) {
      this.app.say(this.app.does("leave", []) ? "The vehicle drives off" : "It is leaving already");
      return;
    }
    const which = element("vehicle").selectedIndex;
    const vehicle = data.vehicles[which];
    const middle = (this.scale.sections[0] + this.scale.sections.at(-1) + vehicle.axles.at(-1)[1]) / 2;
    this.app.does("drive", [which, Math.round(middle * 100) / 100]);
    this.app.say(`${vehicle.name} drives on`);
  }
}
