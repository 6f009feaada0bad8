// The wires as they should be, from the cells through the box to the indicator. Every terminal takes a probe. It is
// drawn from the scale's file alone, so what is broken inside is not to be seen here.

const barX = [110, 134, 158, 182, 206];
const rowTop = 30;
const rowHeight = 152;
const wireStep = 24;
const drawnWidth = 316;
/// From left to right, so that no wire of the home run crosses another: indices into the indicator's terminals.
const indicatorOrder = [4, 0, 1, 5, 2, 3, 6];
/// Which of the bus's terminals each of the indicator's terminals is wired to.
const homeFrom = [0, 1, 2, 3, 0, 1, 4];
const shortNames = ["E+", "E\u2212", "S+", "S\u2212", "sh"];
const shortHome = ["E+", "E\u2212", "S+", "S\u2212", "se+", "se\u2212", "sh"];

class WiringView {
  constructor(app, box) {
    this.app = app;
    this.box = box;
    this.svg = element("wiring");
    this.svg.addEventListener("keydown", (event) => this.key(event));
  }

  build() {
    const { scale } = this.app.run;
    this.scale = scale;
    const rows = scale.sections.length;
    this.busY = rowTop + rows * rowHeight + 22;
    this.homeY = this.busY + 84;
    this.lines = makeSvg("g", {});
    this.terminals = [];
    this.svg.setAttribute("viewBox", `0 0 ${drawnWidth} ${this.homeY + 44}`);
    this.svg.replaceChildren(this.lines);
    const boxFrame = { x: 70, y: 18, width: drawnWidth - 140, height: this.busY - 2, rx: 4, class: "housing" };
    this.lines.append(makeSvg("rect", boxFrame), this.text(158, 12, scale.per_cell ? "box, a converter for each cell" : "summing box"));
    this.lines.append(
      makeSvg("rect", { x: 48, y: this.homeY - 17, width: 220, height: 56, rx: 4, class: "housing" }),
      this.text(158, this.homeY + 31, "indicator"),
    );
    this.drawBars(rows);
    for (let cell = 0; cell < 2 * rows; ++cell) this.drawCell(cell);
    this.drawHomeRun();
    this.focused = this.terminals[0];
    this.focused.node.setAttribute("tabindex", 0);
    this.mark();
  }

  text(x, y, words, anchor = "middle") {
    return makeSvg("text", { x, y, "text-anchor": anchor, class: "drawn" }, words);
  }

  line(points, name = "wire") {
    this.lines.append(makeSvg("polyline", { points: points.map((at) => at.join()).join(" "), class: name }));
  }

  resistor(x, y, width, height) {
    this.lines.append(makeSvg("rect", { x: x - width / 2, y: y - height / 2, width, height, class: "part" }));
  }

  /// A wire in the colour that its file gives it, with the name beside it: the name is enough to tell it by.
  colouredWire(points, colour) {
    this.line(points, "wire-edge");
    this.line(points, "wire-core");
    const known = colour.split(/[^a-z]+/i).find((word) => CSS.supports("color", word));
    if (known) this.lines.lastChild.style.stroke = known;
  }

  onBus(wire) {
    return !this.scale.per_cell || wire < 2 || wire === 4;
  }

  drawBars(rows) {
    barX.forEach((x, wire) => {
      if (!this.onBus(wire)) return;
      this.line([[x, rowTop + 16], [x, this.busY]], "bar");
      this.terminal(10 * 2 * rows + wire, x, this.busY, shortNames[wire]);
    });
    if (!this.scale.per_cell) return;
    this.line([[158, rowTop + 60], [158, this.busY + 22], [206, this.homeY - 26], [206, this.homeY]], "bar data-line");
    this.lines.append(this.text(206, this.homeY + 12, "data"));
  }

  drawCell(cell) {
    const rows = this.scale.sections.length;
    const far = cell < rows;
    const row = far ? cell : 2 * rows - 1 - cell;
    const across = (x) => (far ? x : drawnWidth - x);
    const top = rowTop + row * rowHeight;
    this.lines.append(
      makeSvg("rect", { x: far ? 1 : drawnWidth - 31, y: top + 3, width: 30, height: 5 * wireStep + 2, rx: 3, class: "housing" }),
      this.text(across(1), top - 3, `cell ${cell + 1}`, far ? "start" : "end"),
    );
    const y = (wire) => top + 16 + wire * wireStep;
    const converter = across(148);
    wires.forEach((_, wire) => {
      const colour = this.scale.colours[cell][wire];
      this.colouredWire([[across(16), y(wire)], [across(84), y(wire)]], colour);
      if (colour) this.lines.append(this.text(across(50), y(wire) - 4, colour.slice(0, 9)));
      const to = this.onBus(wire) ? barX[wire] : converter;
      this.line([[across(84), y(wire)], [to, y(wire)]]);
      if (this.onBus(wire)) this.lines.append(makeSvg("circle", { cx: to, cy: y(wire), r: 3.5, class: "joined" }));
      this.terminal(10 * cell + wire, across(84), y(wire), shortNames[wire], colour);
      this.terminal(10 * cell + 5 + wire, across(16), y(wire), shortNames[wire], colour);
    });
    if (this.scale.per_cell) {
      this.resistor(converter, (y(2) + y(3)) / 2, 18, 40);
      this.lines.append(this.text(converter, (y(2) + y(3)) / 2 + 3, "A/D"));
    }
    if (this.scale.trim_kind === "series") this.resistor(across(102), y(0), 12, 8);
    if (this.scale.trim_kind !== "shunt") return;
    this.line([[across(101), y(2)], [across(101), y(3)]]);
    this.resistor(across(101), (y(2) + y(3)) / 2, 8, 13);
    for (const wire of [2, 3]) if (this.scale.mixing) this.resistor(across(122), y(wire), 12, 8);
  }

  drawHomeRun() {
    const first = 10 * 2 * this.scale.sections.length + 5;
    const x = (place) => 158 + (place - 3) * 32;
    indicatorOrder.forEach((which, place) => {
      const wire = homeFrom[which];
      const sense = which === 4 || which === 5;
      if (!this.onBus(wire)) return;
      const bridged = sense && this.scale.home_wires < 6;
      const from = [[barX[wire], this.busY + 4], [barX[wire], this.busY + 22], [x(place), this.homeY - 26], [x(place), this.homeY]];
      this.line(bridged ? [[x(place), this.homeY], [x(which === 4 ? 1 : 2), this.homeY]] : from);
      this.terminal(first + which, x(place), this.homeY, shortHome[which]);
    });
  }

  terminal(index, x, y, short, colour = "") {
    const node = makeSvg("g", { role: "button", tabindex: -1, class: "terminal", transform: `translate(${x} ${y})` });
    node.append(
      makeSvg("rect", { x: -12, y: -12, width: 24, height: 24, class: "reach" }),
      makeSvg("circle", { r: 10.5 }),
      makeSvg("text", { y: 3.5, "text-anchor": "middle" }, short),
    );
    const each = { index, x, y, node, colour };
    node.addEventListener("click", () => this.touch(each));
    node.addEventListener("focus", () => this.moveTo(each));
    this.terminals.push(each);
    this.svg.append(node);
  }

  /// The first touch is the red probe's, the next the black one's, and so on in turn.
  touch(each) {
    this.moveTo(each);
    const black = this.redIsNew === true;
    this.redIsNew = !black;
    this.box.probe(black ? "b" : "a", each.index);
  }

  moveTo(each) {
    this.focused?.node.setAttribute("tabindex", -1);
    this.focused = each;
    each.node.setAttribute("tabindex", 0);
  }

  key(event) {
    if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      return this.touch(this.focused);
    }
    const step = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (!step) return;
    event.preventDefault();
    // The nearest one that way; what lies aside counts thrice.
    const far = ({ x, y }) => {
      const along = (x - this.focused.x) * step[0] + (y - this.focused.y) * step[1];
      const aside = Math.abs((x - this.focused.x) * step[1]) + Math.abs((y - this.focused.y) * step[0]);
      return along > 1 ? along + 3 * aside : Infinity;
    };
    const next = this.terminals.reduce((best, each) => (far(each) < far(best) ? each : best));
    if (far(next) === Infinity) return;
    this.moveTo(next);
    next.node.focus();
  }

  /// Shows where the probes are: a plus and a minus beside their colours.
  mark() {
    const [red, black] = this.box.probes();
    for (const { index, node, colour } of this.terminals) {
      const held = [index === red ? "+" : "", index === black ? "\u2212" : ""].join("");
      if (node.dataset.held === held) continue;
      node.dataset.held = held;
      node.querySelector(".badge")?.remove();
      if (held) {
        const badge = makeSvg("g", { class: "badge", transform: "translate(10 -9)" });
        badge.append(makeSvg("circle", { r: 7 }), makeSvg("text", { y: 4, "text-anchor": "middle" }, held === "+\u2212" ? "\u00b1" : held));
        node.append(badge);
      }
      const probe = { "+": ", red probe", "\u2212": ", black probe", "+\u2212": ", both probes" }[held] ?? "";
      node.setAttribute("aria-label", `${terminalNames(this.scale)[index]}${colour ? `, ${colour}` : ""}${probe}`);
    }
  }
}
