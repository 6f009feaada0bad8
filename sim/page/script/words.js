// Numbers, places and readings in words.

const wires = ["E+", "E\u2212", "S+", "S\u2212", "shield"];
const looks = ["load arrow", "wire colours", "gap at support", "end gap", "trim", "terminals"];
const quantities = ["weight", "signal", "resistance", "excitation", "inspection", "channel"];

const element = (id) => document.getElementById(id);

function make(tag, attributes = {}, ...children) {
  const node = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name.startsWith("on")) node.addEventListener(name.slice(2), value);
    else if (value !== false && value !== null) node.setAttribute(name, value === true ? "" : value);
  }
  node.append(...children);
  return node;
}

function makeSvg(tag, attributes = {}, ...children) {
  const node = document.createElementNS("http://www.w3.org/2000/svg", tag);
  for (const [name, value] of Object.entries(attributes)) node.setAttribute(name, value);
  node.append(...children);
  return node;
}

function choose(select, words, kept = select.selectedIndex) {
  select.replaceChildren(...words.map((word, value) => make("option", { value }, word)));
  select.selectedIndex = Math.min(Math.max(kept, 0), words.length - 1);
}

/// The whole number from 0 to `most` that was typed; null for anything else.
function wholeNumber(text, most) {
  const number = /^\s*\d+\s*$/.test(text) ? Number(text) : NaN;
  return number <= most ? number : null;
}

/// A number more than nothing that was typed, with spaces between thousands or none; null for anything else.
function positiveNumber(text) {
  const number = /^\s*(\d+|\d{1,3}([ \u202f]\d{3})+)(\.\d+)?\s*$/.test(text) ? Number(text.replace(/\s/g, "")) : NaN;
  return number > 0 ? number : null;
}

/// "9 980", with the places that the scale's division has.
function mass(scale, kg, places = 0) {
  const division = scale.division_kg / scale.unit_kg;
  const decimals = Math.max(0, -Math.floor(Math.log10(division) + 1e-9)) + places;
  return grouped(kg / scale.unit_kg, decimals);
}

const massWithUnit = (scale, kg, places) => `${mass(scale, kg, places)} ${scale.unit}`;

function grouped(value, decimals) {
  const [whole, part] = Math.abs(value).toFixed(decimals).split(".");
  const digits = whole.replace(/\B(?=(\d{3})+$)/g, "\u202f");
  const nothing = Number(whole) === 0 && !Number(part ?? 0);
  return (value < 0 && !nothing ? "\u2212" : "") + digits + (part ? `.${part}` : "");
}

function figures(value, count = 3) {
  if (!isFinite(value)) return "\u221e";
  if (value === 0) return "0";
  const decimals = Math.max(0, count - 1 - Math.floor(Math.log10(Math.abs(value))));
  return grouped(value, Math.min(decimals, 6)).replace(/(\.\d*?)0+$/, "$1").replace(/\.$/, "");
}

const percent = (share) =>
  share < 0.001 ? "below 0.1 %" : share > 0.999 ? "above 99.9 %" : `${figures(100 * share, 2)} %`;

function supportPlace(scale, index) {
  const n = scale.sections.length;
  return index < n ? [scale.sections[index], scale.width_m] : [scale.sections[2 * n - 1 - index], 0];
}

/// Places a weight can be put on, with their names.
function namedPlaces(scale) {
  const n = scale.sections.length;
  const places = [];
  for (let i = 0; i < 2 * n; ++i) places.push({ name: `support ${i + 1}`, at: supportPlace(scale, i) });
  for (let i = 0; i < n; ++i) places.push({ name: `section ${i + 1}, midway`, at: [scale.sections[i], scale.width_m / 2] });
  const middle = (scale.sections[0] + scale.sections[n - 1]) / 2;
  return [...places, { name: "middle of the deck", at: [middle, scale.width_m / 2] }];
}

function placeWords(scale, x, y) {
  const near = namedPlaces(scale).find(({ at }) => Math.hypot(at[0] - x, at[1] - y) < 0.02);
  return near ? near.name : `x ${x.toFixed(2)} m, y ${y.toFixed(2)} m`;
}

function loadWords(scale, load) {
  if (load.length === 0) return "empty deck";
  const kg = load.reduce((sum, each) => sum + each[0], 0);
  const where = load.length === 1 ? placeWords(scale, load[0][1], load[0][2]) : `${load.length} places`;
  return `${massWithUnit(scale, kg)} on ${where}`;
}

function readingWords(scale, r) {
  const cell = `cell ${r.cell + 1}`;
  switch (quantities[r.quantity]) {
    case "weight":
      return `weight, ${loadWords(scale, r.load)}${r.direction === 3 ? ", returned" : ""}`;
    case "signal":
      return `signal of ${cell}, lifted, ${loadWords(scale, r.load)}`;
    case "resistance":
      return `${wires[r.a]} to ${wires[r.b]} of ${cell}, lifted`;
    case "excitation":
      return `excitation at ${[cell, "the box", "the indicator"][r.place]}`;
    case "inspection":
      return r.look === 3 ? "end gap" : `${looks[r.look]}, ${r.look === 2 ? "support" : "cell"} ${r.cell + 1}`;
    default:
      return `channel of ${cell}, ${loadWords(scale, r.load)}`;
  }
}

function valueWords(scale, r) {
  if (r.exchanged) return `not: ${wires[r.a]} and ${wires[r.b]} exchanged`;
  if (quantities[r.quantity] === "inspection") return r.well ? "as it should be" : "not as it should be";
  if (r.shown > 0) return ["", "over range", "under range", "blank"][r.shown];
  switch (quantities[r.quantity]) {
    case "weight":
      return massWithUnit(scale, r.value);
    case "signal":
      return `${grouped(1000 * r.value, 3)} mV`;
    case "resistance":
      return r.value >= 1e6 ? `${figures(r.value / 1e6)} M\u03a9` : `${figures(r.value, 4)} \u03a9`;
    case "excitation":
      return `${grouped(r.value, 3)} V`;
    default:
      return `${grouped(1000 * r.value, 4)} mV/V`;
  }
}

/// Every terminal, in the order in which the module gives their volts.
function terminalNames(scale) {
  const names = [];
  for (let cell = 1; cell <= 2 * scale.sections.length; ++cell) {
    names.push(...wires.map((wire) => `cell ${cell}, in the box: ${wire}`));
    names.push(...wires.map((wire) => `cell ${cell}, at the cell: ${wire}`));
  }
  names.push(...wires.map((wire) => `bus: ${wire}`));
  const home = ["E+", "E\u2212", "S+", "S\u2212", "sense+", "sense\u2212", "shield"];
  return [...names, ...home.map((wire) => `indicator: ${wire}`)];
}

const causeOn = (scale, cause) => scale.causes.find((each) => each.cause === cause);

function faultWords(scale, fault) {
  const form = causeOn(scale, fault.cause);
  const words = [data.causes[fault.cause].name, form?.sites[fault.site], form?.variants[fault.variant]];
  return words.filter(Boolean).join(", ");
}

/// "limit kN", "kN/mm", "ohm".
const sizeName = (m) => m.name.replaceAll("_per_", "/").replaceAll("_", " ");

function sizeWords(scale, fault, sizes) {
  const form = causeOn(scale, fault.cause);
  return (form?.magnitudes ?? []).map((m, i) => `${figures(sizes[i] / m.si)} ${sizeName(m)}`).join(", ");
}
