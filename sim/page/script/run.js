// A run: a scale, a seed, and deeds at their frames. Everything on the page follows from it, so undo, the
// scrubber and the link all do the same again.

const sampleEvery = 10;
const longestRun = 86400000;
/// Of a long run the earlier half is kept more coarsely each time that so many are there.
const mostSamples = 20000;

class Run {
  constructor(bench) {
    this.bench = bench;
    this.begin({ scale: data.scales[0].id, seed: 1 });
  }

  /// `start` is { scale, seed }, with the level of a drill in `drill`, or { lesson }.
  begin(start) {
    this.lesson = data.lessons.find((lesson) => lesson.id === start.lesson) ?? null;
    const id = this.lesson ? this.lesson.scale : start.scale;
    this.scale = data.scales.find((scale) => scale.id === id);
    if (!this.scale) throw new Error(`this page has no scale ${id}`);
    this.seed = this.lesson ? this.lesson.seed : start.seed;
    this.drill = this.lesson ? 0 : (start.drill ?? 0);
    this.deeds = [];
    this.undone = [];
    this.group = 0;
    this.again(0);
  }

  /// Does everything again up to `frame`.
  again(frame) {
    this.bench.open(this.scale, this.seed, this.drill);
    for (const numbers of this.lesson?.faults ?? []) this.bench.act("fault", numbers);
    this.samples = [];
    this.calls = [];
    this.hints = 0;
    this.refused = 0;
    this.frame = 0;
    this.note();
    for (const deed of this.deeds) {
      this.runTo(deed.frame);
      if (!this.carryOut(deed)) ++this.refused;
    }
    this.runTo(frame);
    this.view = this.bench.look();
  }

  carryOut(deed) {
    const well = this.bench.act(deed.word, deed.numbers);
    if (deed.word === "call" && well) this.call(deed.numbers);
    if (deed.word === "hint") ++this.hints;
    if (deed.word === "hide") this.beginDrill();
    return well;
  }

  /// Outcome 0: wrong; 1: that cause elsewhere; 2: right, as far as readings can tell; 3: too early to say.
  call(numbers) {
    if (this.drill === 0) return this.calls.push({ numbers, outcome: this.bench.named(numbers[0], numbers[1]) });
    const verdict = this.bench.verdict(numbers);
    const [found, early] = [verdict.end === 0 || verdict.end === 1, verdict.end === 2];
    if (early) ++this.hints;
    this.calls.push({ numbers, verdict, outcome: found ? 2 : early ? 3 : 0 });
  }

  /// Everything that is hidden was named.
  get found() {
    const right = this.calls.filter(({ outcome }) => outcome === 2).map(({ numbers }) => numbers.slice(0, 2).join());
    if (this.drill > 0) return right.length > 0;
    return right.length > 0 && new Set(right).size >= this.view.faults.filter((each) => each.hidden).length;
  }

  /// Something is hidden, and what no technician could see is not to be seen on the page either.
  get covered() {
    const hidden = this.drill > 0 || this.view.faults.some((each) => each.hidden);
    return hidden && !this.view.revealed && !this.found;
  }

  /// What was asked and named before something was hidden is of no drill.
  beginDrill() {
    this.calls = [];
    this.hints = 0;
  }

  note() {
    const view = this.bench.look();
    const shown = view.hasWeight ? view.gross : null;
    this.samples.push({ frame: this.frame, time: view.time, shown, truth: view.truth, view });
    if (this.samples.length > mostSamples)
      this.samples = this.samples.filter((_, i) => i % 2 === 0 || 2 * i > mostSamples);
    this.view = view;
  }

  runTo(frame) {
    const last = Math.min(frame, longestRun);
    while (this.frame < last) {
      const next = Math.min(last, this.frame - (this.frame % sampleEvery) + sampleEvery);
      this.bench.run(next - this.frame);
      this.frame = next;
      if (this.frame % sampleEvery === 0) this.note();
    }
  }

  advance(frames) {
    this.runTo(this.frame + frames);
    if (this.frame % sampleEvery !== 0) this.view = this.bench.look();
  }

  /// Does something now. `joined`: one with the last deed when it is undone. False when it makes no sense.
  does(word, numbers, joined = false) {
    const deed = { frame: this.frame, word, numbers, group: joined ? this.group : ++this.group };
    if (!this.carryOut(deed)) return false;
    this.deeds.push(deed);
    this.undone = [];
    this.view = this.bench.look();
    return true;
  }

  /// What took its minutes in a drill, or was said in it, is not taken back.
  stays(deeds) {
    return this.drill > 0 && deeds.some(({ word }) => ["read", "probe", "hint", "call", "reveal"].includes(word));
  }

  undo() {
    const last = this.deeds.at(-1)?.group;
    if (last === undefined || this.stays(this.deeds.filter((deed) => deed.group === last))) return false;
    const kept = this.deeds.filter((deed) => deed.group !== last);
    this.undone.push(this.deeds.filter((deed) => deed.group === last));
    this.deeds = kept;
    this.again(this.frame);
    return true;
  }

  redo() {
    const deeds = this.undone.pop();
    if (!deeds) return false;
    this.deeds.push(...deeds);
    this.again(this.frame);
    return true;
  }

  /// Goes on from an earlier frame: what was done later is undone. False where it stays.
  rewind(frame) {
    const later = this.deeds.filter((deed) => deed.frame > frame);
    if (this.stays(later)) return false;
    if (later.length > 0) this.undone.push(later);
    this.deeds = this.deeds.filter((deed) => deed.frame <= frame);
    this.again(frame);
    return true;
  }

  /// Lets time pass until the display stands still, or so many seconds. True when it does.
  settle(seconds = 60) {
    const rate = this.scale.rate_Hz;
    let still = 0;
    this.advance(Math.round(0.7 * rate));
    for (let passed = 0; passed < seconds * rate && still < 0.4 * rate; passed += sampleEvery) {
      this.advance(sampleEvery);
      still = this.view.hasWeight && this.view.stable ? still + sampleEvery : 0;
    }
    return still > 0;
  }

  readings() {
    return Array.from({ length: this.view.readings }, (_, index) => this.bench.reading(index));
  }

  link() {
    const begin = this.lesson ? `lesson=${this.lesson.id}` : `scale=${this.scale.id}&seed=${this.seed}${this.drill ? `&drill=${this.drill}` : ""}`;
    const deeds = this.deeds.map((deed) => [deed.frame, deed.word, ...deed.numbers].join(","));
    return `${begin}&until=${this.frame}&hash=${this.view.hash}&deeds=${deeds.join(";")}`;
  }

  /// Does what a link says. What it says wrong is thrown as an error with words for people.
  follow(link) {
    const keys = new Map(link.split("&").map((piece) => piece.split("=")));
    const until = Number(keys.get("until") ?? 0);
    if (!(until >= 0 && until <= longestRun)) throw new Error("the link's length in frames is no such number");
    const drill = Number(keys.get("drill") ?? 0);
    if (!(Number.isInteger(drill) && drill >= 0 && drill <= data.levels.length)) throw new Error("the drill's level is no such number");
    const deeds = [];
    let earliest = 0;
    for (const text of (keys.get("deeds") ?? "").split(";").filter(Boolean)) {
      const [frame, word, ...numbers] = text.split(",");
      const well = Number(frame) >= earliest && deedKinds.has(word) && numbers.every((n) => n !== "" && isFinite(n));
      if (!well) throw new Error(`the link has a deed that is none: ${text.slice(0, 60)}`);
      earliest = Number(frame);
      deeds.push({ frame: earliest, word, numbers: numbers.map(Number), group: ++this.group });
    }
    this.begin({ scale: keys.get("scale"), seed: Number(keys.get("seed") ?? 1), drill, lesson: keys.get("lesson") });
    this.deeds = deeds;
    this.again(until);
    const wanted = keys.get("hash");
    return { same: wanted === undefined || wanted === this.view.hash, refused: this.refused };
  }
}
