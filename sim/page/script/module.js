"use strict";
// The bench's module: numbers in, numbers out. sim/page/module/exports.cpp says which stand where.

const data = JSON.parse(document.getElementById("data").textContent);
const deedKinds = new Map(data.deeds.map((deed, kind) => [deed.word, kind]));

function bytesOf(text) {
  return Uint8Array.from(atob(text), (letter) => letter.charCodeAt(0));
}

async function loadModule() {
  const packed = new Blob([bytesOf(document.getElementById("module").textContent.trim())]);
  const stream = packed.stream().pipeThrough(new DecompressionStream("gzip"));
  const bytes = await new Response(stream).arrayBuffer();
  const module = await WebAssembly.compile(bytes);
  // What the C library would ask of a system: there is none, and nothing needs it.
  const imports = {};
  for (const { module: from, name } of WebAssembly.Module.imports(module)) {
    imports[from] ??= {};
    imports[from][name] = name.startsWith("environ") ? () => 0 : () => 8;
  }
  const instance = await WebAssembly.instantiate(module, imports);
  instance.exports._initialize();
  return new Bench(instance.exports);
}

class Bench {
  constructor(exports) {
    this.exports = exports;
  }

  put(numbers) {
    new Float64Array(this.exports.memory.buffer, this.exports.given(), numbers.length).set(numbers);
  }

  results(count) {
    return new Float64Array(this.exports.memory.buffer, this.exports.results(), count);
  }

  /// Draws the specimen with that seed and calibrates it; frame 0. With a level it is the drill of that number.
  open(scale, seed, level = 0) {
    const vehicles = data.vehicle_numbers.map((number) => (number === null ? NaN : number));
    const numbers = [...scale.numbers, ...vehicles];
    this.put(numbers);
    const block = bytesOf(scale.settings);
    new Uint8Array(this.exports.memory.buffer, this.exports.settings(), block.length).set(block);
    const outcome = this.exports.open(scale.numbers.length, numbers.length, seed, level);
    if (outcome === 1) throw new Error("the page and its module do not go together");
  }

  act(word, numbers) {
    this.put([...numbers, 0, 0, 0, 0, 0, 0].slice(0, 6));
    return this.exports.act(deedKinds.get(word)) === 1;
  }

  run(frames) {
    if (frames > 0) this.exports.run(frames);
  }

  look() {
    const r = this.results(this.exports.look());
    let at = 0;
    const next = () => r[at++];
    const list = (count) => Array.from({ length: count }, next);
    const hex = (number) => number.toString(16).padStart(8, "0");
    const view = { frames: next(), time: next(), truth: next(), powered: next() === 1 };
    view.hash = hex(next()) + hex(next());
    view.hasWeight = next() === 1;
    view.gross = next();
    view.stable = next() === 1;
    view.vehicle = next() === 1;
    view.revealed = next() === 1;
    view.readings = next();
    const cells = next();
    view.support = list(cells);
    view.cell = list(cells);
    view.trim = list(cells);
    view.onDeck = [];
    for (let left = next(); left > 0; --left) {
      const [number, x, y, kg] = list(4);
      view.onDeck.push({ number, x, y, kg });
    }
    view.faults = [];
    for (let left = next(); left > 0; --left) {
      const [number, hidden, cause, site, variant, ...size] = list(7);
      view.faults.push({ number, hidden: hidden === 1, cause, site, variant, size });
    }
    const lights = next();
    const text = (length) => String.fromCharCode(...list(length).filter((code) => code !== 0)).trim();
    view.panel = { lights, digits: text(8), words: text(24), unit: text(4) };
    return view;
  }

  terminals() {
    return Array.from(this.results(this.exports.terminals()));
  }

  /// Of each cell with its wires lifted, V.
  signals() {
    return Array.from(this.results(this.exports.signals()));
  }

  reading(index) {
    return this.readingFrom(this.results(this.exports.reading(index)));
  }

  readingFrom(r) {
    const reading = { quantity: r[0], cell: r[1], a: r[2], b: r[3], place: r[4], look: r[5], well: r[6] === 1, exchanged: r[6] === 2 };
    Object.assign(reading, { value: r[7], shown: r[8], direction: r[9], load: [] });
    for (let i = 0; i < r[10]; ++i) reading.load.push([r[11 + 3 * i], r[12 + 3 * i], r[13 + 3 * i]]);
    return reading;
  }

  /// Minutes of the readings, and how many there are beside those of the complaint.
  clock() {
    const [minutes, steps] = this.results(this.exports.clock());
    return { minutes, steps };
  }

  /// Minutes of reading the meter between two terminals now.
  probeMinutes(a, b) {
    return this.exports.probe_minutes(a, b);
  }

  /// Whether a reading that was taken is the one that a lesson's task asks for.
  answers(index, { read, load }) {
    this.put([...read, load.length, ...load.flat()]);
    return this.exports.answers(index) === 1;
  }

  /// What somebody's word is worth in a drill.
  verdict(numbers) {
    this.put([...numbers, 0, 0, 0, 0, 0, 0].slice(0, 6));
    const r = Array.from(this.results(this.exports.verdict()));
    const against = r[1] === 1 ? this.againstFrom(r.slice(2)) : null;
    const rest = r.slice(against ? 8 : 2);
    const missing = rest.length > 0 ? { minutes: rest[0], reading: this.readingFrom(rest.slice(1)) } : null;
    return { end: r[0] < 0 ? 4 : r[0], against, missing };
  }

  /// Of drills in the order they were done: for each level done, found and mean points, and the next level.
  progress(drills) {
    this.put(drills.slice(-1300).flatMap(({ level, right, points }) => [level, right ? 1 : 0, points]));
    const r = Array.from(this.results(this.exports.progress(Math.min(drills.length, 1300))));
    const levels = data.levels.map((_, i) => ({ done: r[3 * i], found: r[3 * i + 1], points: r[3 * i + 2] }));
    return { levels, next: r.at(-1) };
  }

  /// What to read next, and the likeliest cause so far; null where the readings do not go together.
  hint(leftOut, zeroedNow) {
    this.put(leftOut);
    const r = Array.from(this.results(this.exports.hint(leftOut.length, zeroedNow ? 1 : 0)));
    if (r.length === 0) return null;
    const [cause, site, variant, probability, enough, minutes] = r;
    const check = r.length > 6 ? { minutes, reading: this.readingFrom(r.slice(6)) } : null;
    return { likeliest: { cause, site, variant }, probability, enough: enough === 1, check };
  }

  /// What speaks most against a cause at a place; null where nothing does.
  against(leftOut, zeroedNow, cause, site) {
    this.put(leftOut);
    const count = this.exports.against(leftOut.length, zeroedNow ? 1 : 0, cause, site);
    return count === 0 ? null : this.againstFrom(this.results(count));
  }

  againstFrom([reading, value, predicted, away, seen, givenOthers]) {
    return { reading, value, predicted, away, seen: seen === 1, givenOthers: givenOthers === 1 };
  }

  score(zeroedNow, right, hints, wrongCalls) {
    const r = this.results(this.exports.score(zeroedNow ? 1 : 0, right ? 1 : 0, hints, wrongCalls));
    const [points, minutes, steps, needless, planMinutes, planSteps, planRight, guessed] = r;
    return { points, minutes, steps, needless, planMinutes, planSteps, planRight: planRight === 1, guessed: guessed === 1 };
  }

  /// Causes by their probability, and what speaks for the first; readings in `leftOut` do not count.
  diagnose(leftOut, zeroedNow) {
    this.put(leftOut);
    const r = Array.from(this.results(this.exports.diagnose(leftOut.length, zeroedNow ? 1 : 0)));
    const causes = [];
    const size = 19;
    const end = 1 + size * r[0];
    for (let at = 1; at < end; at += size) {
      const [cause, site, variant, probability, group, ...rest] = r.slice(at, at + size);
      const estimate = [rest.slice(0, 3), rest.slice(3, 6)];
      const also = rest[12] === 1 ? { cause: rest[6], site: rest[7], variant: rest[8] } : null;
      const alsoEstimate = [rest.slice(9, 12)];
      causes.push({ cause, site, variant, probability, group, estimate, also, alsoEstimate, isFault: rest[13] === 1 });
    }
    const why = [];
    for (let at = end; at < r.length; at += 4) {
      const [reading, healthy, caused, departs] = r.slice(at, at + 4);
      why.push({ reading, healthy, caused, departs });
    }
    return { causes, why };
  }

  named(cause, site) {
    return this.exports.named(cause, site);
  }

  spread() {
    return this.exports.spread();
  }
}
