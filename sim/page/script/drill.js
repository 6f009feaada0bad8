// Drills: something hidden by level and number, minutes, hints, somebody's word, the score, and progress.

/// What a word about the causes is worth, in the order of the module's numbers.
const callEnds = ["right", "as right as can be", "too early", "one of two", "wrong"];
const mostWrongCalls = 3;

class DrillView {
  constructor(app) {
    this.app = app;
    this.progress = new Progress();
    this.scored = new Set();
    choose(element("drill-level"), data.levels.map((brief, i) => `${i + 1}: ${brief}`), 0);
    element("begin-drill").addEventListener("click", () => this.begin());
    element("give-up").addEventListener("click", () => this.giveUp());
    element("named-cause").addEventListener("change", () => this.fillNamed());
    element("also-cause").addEventListener("change", () => this.fillNamed());
    element("name-it").addEventListener("click", () => this.name());
    element("ask-hint").addEventListener("click", () => this.hint());
    element("score-it").addEventListener("click", () => this.showScore());
    element("read-progress").addEventListener("click", () => this.readProgress());
    this.drawProgress();
    element("drill-level").selectedIndex = this.nextLevel - 1;
  }

  build() {
    const { scale, drill, seed } = this.app.run;
    const names = scale.causes.map(({ cause }) => `${data.causes[cause].name}: ${data.causes[cause].brief}`);
    choose(element("named-cause"), [...names, "healthy: nothing is wrong"]);
    choose(element("also-cause"), ["none", ...names], 0);
    element("also-row").hidden = drill !== data.levels.length;
    if (drill > 0) {
      element("drill-level").selectedIndex = drill - 1;
      element("drill-seed").value = seed;
    }
    this.fillNamed();
    this.clockKey = null;
    this.hintedAt = null;
    element("named-answer").textContent = "";
    element("drill-answer").textContent = "";
    this.draw();
  }

  begin() {
    const seed = wholeNumber(element("drill-seed").value, 1e9);
    if (seed === null) return this.app.say("A drill's number is a whole number from 0 to 1 000 000 000");
    const drill = element("drill-level").selectedIndex + 1;
    this.app.begin({ scale: this.app.run.scale.id, seed, drill });
    this.app.say(`Drill ${seed}, level ${drill}: ${data.levels[drill - 1]}. It weighs wrong, says the owner: begin with a corner round`);
  }

  /// A cause of this scale by its place in a list; null: nothing is wrong.
  form(index) {
    return this.app.run.scale.causes[index] ?? null;
  }

  fillNamed() {
    const row = (id, form) => {
      choose(element(id), form?.sites ?? [""]);
      element(id).closest("label").hidden = !form;
    };
    row("named-site", this.form(element("named-cause").selectedIndex));
    row("also-site", this.form(element("also-cause").selectedIndex - 1));
  }

  /// Cause, place and words of what is chosen in a pair of lists.
  chosen(form, list) {
    const site = element(list).selectedIndex;
    const words = form ? [data.causes[form.cause].name, form.sites[site]].filter(Boolean).join(", ") : "healthy";
    return { cause: form?.cause ?? 0, site: form ? site : 0, words };
  }

  name() {
    const { run, sheet } = this.app;
    if (run.drill > 0 && run.covered) return this.call();
    const { cause, site, words } = this.chosen(this.form(element("named-cause").selectedIndex), "named-site");
    this.app.does("call", [cause, site]);
    const outcome = run.calls.at(-1).outcome;
    const remedy = cause === 0 ? "" : ` What to do: ${data.causes[cause].remedy}`;
    const against = () => (cause === 0 ? "" : this.against(cause, run.bench.against(sheet.left, sheet.zeroedSince, cause, site)));
    element("named-answer").textContent =
      outcome === 2 ? `Yes: ${words}.${remedy}` : outcome === 1 ? `That cause, yes, but not there: ${words}. ${against()}` : `No: not ${words}. ${against()}`;
    this.app.changed();
  }

  /// Somebody's word in a drill: of one cause, of two, or that nothing is wrong.
  call() {
    const { run, sheet } = this.app;
    const first = this.chosen(this.form(element("named-cause").selectedIndex), "named-site");
    const second = this.chosen(this.form(element("also-cause").selectedIndex - 1), "also-site");
    const two = second.cause > 0 && first.cause > 0;
    this.app.does("call", [first.cause, first.site, two ? second.cause : 0, two ? second.site : 0, sheet.zeroedSince ? 1 : 0]);
    const { verdict, outcome } = run.calls.at(-1);
    const words = two ? `${first.words} with ${second.words}` : first.words;
    const would = verdict.missing ? ` Would tell: ${this.checkWords(verdict.missing)}.` : "";
    const answers = {
      "right": `Yes: ${words}.${verdict.missing ? ` But a guess: what was read does not put it ahead.${would}` : ""}`,
      "as right as can be": `As right as can be: no reading of these tells ${words} from what it was.${would}`,
      "too early": `Too early: what was read does not tell ${words} from what it is.${would}`,
      "one of two": "One of two: part of it is right, and not all.",
      "wrong": `No: not ${words}. ${verdict.against || first.cause > 0 ? this.against(first.cause, verdict.against) : ""}${would}`,
    };
    const wrong = this.wrongCalls();
    const out = outcome < 2 && wrong >= mostWrongCalls ? " That was the third wrong word." : "";
    element("named-answer").textContent = answers[callEnds[verdict.end]] + out;
    if (outcome === 2 || out) this.end(outcome === 2);
    this.app.changed();
  }

  giveUp() {
    if (this.app.run.drill > 0) return this.end(false);
    this.app.does("reveal", []);
    element("named-answer").textContent = "What it was stands under \u201cFaults\u201d.";
    this.app.changed();
  }

  /// Tells what was hidden, scores, and keeps the result.
  end(right) {
    const { run } = this.app;
    this.app.does("reveal", [], true);
    const all = run.view.faults.map((fault) => `${faultWords(run.scale, fault)}, ${sizeWords(run.scale, fault, fault.size)}`.replace(/, $/, ""));
    // On the last level the trims were never well set: that too was there to be found.
    const trims = run.drill === data.levels.length && run.scale.trim_last > 0
      ? ` Its trims were tired; they stand at ${run.view.trim.map((at) => at.toFixed(1)).join(", ")} ${run.scale.trim_turns ? "turns" : "\u03a9"}.`
      : "";
    const was = `It was: ${all.join("; and ") || "nothing at all"}.${trims}`;
    this.answer(`${was} Looking back over the readings \u2026`);
    setTimeout(() => {
      const score = run.bench.score(this.app.sheet.zeroedSince, right, run.hints, this.wrongCalls());
      this.answer(`${was} ${this.scoreWords(score)}`);
      // Undone and named again it is the same drill.
      const which = `${run.scale.id} ${run.drill} ${run.seed}`;
      if (this.scored.has(which)) return;
      this.scored.add(which);
      this.progress.add({
        on: new Date().toISOString().slice(0, 10), scale: run.scale.name, level: run.drill, seed: run.seed, right,
        points: score.points, minutes: score.minutes, plan_minutes: score.planMinutes,
      });
      this.drawProgress();
    }, 50);
  }

  wrongCalls() {
    return this.app.run.calls.filter(({ outcome }) => outcome < 2).length;
  }

  /// The reading that speaks most against a cause, as the module found it.
  against(cause, found) {
    const { run } = this.app;
    const shows = cause === 0 ? "" : `What would show it: ${data.causes[cause].shown_by}`;
    if (run.view.readings === 0) return `Nothing is written down yet. ${shows}`;
    if (!found) return `Nothing that was read speaks against it. ${shows}`;
    const reading = run.readings()[found.reading];
    const read = `${readingWords(run.scale, reading)}: ${valueWords(run.scale, reading)} was read`;
    if (found.seen) return `Against it speaks ${read}, where it lets expect something else.`;
    const expected = valueWords(run.scale, { ...reading, value: found.predicted, shown: 0 });
    const away = Math.abs(found.away) > 99 ? "more than 99" : Math.abs(found.away).toFixed(1);
    return `Against it speaks ${read}, where ${found.givenOthers ? "given the other readings " : ""}it lets expect ${expected}, ${away} standard uncertainties away.`;
  }

  checkWords({ reading, minutes }) {
    return `${readingWords(this.app.run.scale, reading)} (${figures(minutes, 2)} min)`;
  }

  hint() {
    const { run, sheet } = this.app;
    if (run.view.readings === 0) return this.answer("Begin with a corner round.");
    const hint = run.bench.hint(sheet.left, sheet.zeroedSince);
    this.app.does("hint", []);
    if (!hint) return this.answer("These readings do not go together.");
    if (hint.check) return this.answer(`Would tell most for its minutes: ${this.checkWords(hint.check)}.`);
    // Where to look comes first; a cause is named to who asks again and has read nothing.
    const again = this.hintedAt === run.view.readings;
    this.hintedAt = run.view.readings;
    const why = hint.enough ? "What was read settles it as far as readings can" : "No reading would tell more";
    if (!again) return this.answer(`${why}: look at what a sound scale explains least. Ask again, and a cause is named.`);
    return this.answer(`${why}. Most probable: ${faultWords(run.scale, hint.likeliest)}, ${percent(hint.probability)}.`);
  }

  /// Only of what is hidden, once it is named: the score gives the plan away.
  showScore() {
    const { run, sheet } = this.app;
    this.answer(this.scoreWords(run.bench.score(sheet.zeroedSince, run.found, run.hints, this.wrongCalls())));
  }

  scoreWords(s) {
    const { run } = this.app;
    const told = s.needless === 1 ? "1 of them told" : `${s.needless} of them told`;
    const plan = `The proposed checks take ${figures(s.planMinutes, 3)} min and ${s.planSteps} readings${s.planRight ? "" : ", and end with another cause"}.`;
    return `${s.points} of 100 points${s.guessed ? " for a guess" : ""}: ${figures(s.minutes, 3)} min, ${s.steps} readings, ${told} next to nothing, hints ${run.hints}, wrong names ${this.wrongCalls()}. ${plan}`;
  }

  answer(text) {
    element("drill-answer").textContent = text;
    this.app.changed();
  }

  get nextLevel() {
    return this.app.run.bench.progress(this.progress.drills).next;
  }

  drawProgress() {
    const { levels, next } = this.app.run.bench.progress(this.progress.drills);
    const done = levels.map(({ done, found, points }, i) => (done === 0 ? "" : `Level ${i + 1}: ${found} of ${done} found, ${points.toFixed(0)} points on average. `));
    const kept = this.progress.kept ? "" : " This browser keeps nothing: save the text below.";
    element("progress-words").textContent = `${done.join("")}Next: level ${next}.${kept}`;
    element("progress-text").value = this.progress.text();
  }

  readProgress() {
    const count = this.progress.readIn(element("progress-text").value);
    if (count < 0) return this.app.say("That is no text as it is written here or by cornerbench drill --progress: [[drill]], then a line each");
    this.drawProgress();
    this.app.say(`${count} drills read in`);
  }

  draw() {
    const { run } = this.app;
    const key = [run.view.readings, run.deeds.length, run.hints, run.calls.length, run.covered, run.found].join();
    if (key === this.clockKey) return;
    this.clockKey = key;
    const { minutes, steps } = run.bench.clock();
    const level = run.drill > 0 ? `Drill ${run.seed}, level ${run.drill}. ` : "";
    element("drill-clock").textContent = `${level}${figures(minutes, 3)} min for ${steps} readings beside the complaint's weights, hints ${run.hints}.`;
    element("score-it").disabled = run.covered || !run.found;
    element("score-it").hidden = run.drill > 0;
    element("give-up").hidden = !run.covered;
  }
}
