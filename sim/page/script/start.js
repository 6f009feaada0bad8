// Puts the page together and lets time pass.

const reducedMotion = matchMedia("(prefers-reduced-motion: reduce)");
const calmPicture_ms = 500;
const mostSpecimen = 4294967295;

class App {
  constructor(bench) {
    this.run = new Run(bench);
    this.scrubbed = null;
    this.pace = 1;
    this.due = 0;
    this.notice = "";
    const link = location.hash.slice(1);
    if (link) this.follow(link, false);
    choose(element("scale"), data.scales.map((scale) => scale.name), data.scales.indexOf(this.run.scale));
    this.lessons = new LessonsView(this);
    this.views = [new DeckView(this), new DisplayView(this), new BoxView(this), new FaultsView(this)];
    this.sheet = new SheetView(this);
    this.views.push(this.sheet, new TraceView(this), this.lessons, new DrillView(this));
    this.listen();
    this.build();
    requestAnimationFrame((now) => this.turn(now));
  }

  listen() {
    const restart = () => {
      const seed = wholeNumber(element("seed").value, mostSpecimen);
      if (seed !== null) return this.begin({ scale: data.scales[element("scale").selectedIndex].id, seed });
      this.say(`\u201c${element("seed").value}\u201d is no specimen: a whole number from 0 to ${grouped(mostSpecimen, 0)}`);
      element("seed").value = this.run.seed;
      element("scale").selectedIndex = data.scales.indexOf(this.run.scale);
    };
    element("scale").addEventListener("change", restart);
    element("seed").addEventListener("change", restart);
    element("undo").addEventListener("click", () => this.undo());
    element("redo").addEventListener("click", () => this.redo());
    element("pace").addEventListener("change", () => (this.pace = Number(element("pace").value)));
    element("copy").addEventListener("click", () => this.copy());
    addEventListener("hashchange", () => {
      const link = location.hash.slice(1);
      if (link === this.written) return;
      this.follow(link);
      this.build();
    });
    addEventListener("keydown", (event) => {
      const typing = /^(INPUT|SELECT|TEXTAREA)$/.test(event.target.tagName) && event.target.type !== "range";
      if (!(event.ctrlKey || event.metaKey) || event.key.toLowerCase() !== "z" || typing) return;
      event.preventDefault();
      event.shiftKey ? this.redo() : this.undo();
    });
  }

  begin(start) {
    this.run.begin(start);
    this.build();
    this.save();
  }

  /// What is on the screen after the run was changed as a whole.
  build() {
    this.scrubbed = null;
    element("seed").value = this.run.seed;
    element("scale").selectedIndex = data.scales.indexOf(this.run.scale);
    for (const view of this.views) view.build?.();
    this.redraw();
  }

  follow(link) {
    try {
      const { same, refused } = this.run.follow(link);
      this.say(same && refused === 0 ? "The link's run was done again: the same state" : "The link's run was done again, but it came to another state: it is of another version of this page, scale or course");
      this.replayed = same && refused === 0;
    } catch (error) {
      this.replayed = false;
      this.run.begin({ scale: data.scales[0].id, seed: 1 });
      this.say(`The link cannot be followed: ${error.message}`);
    }
  }

  does(word, numbers, joined = false) {
    if (this.scrubbed) this.views[5].scrub(null);
    const well = this.run.does(word, numbers, joined);
    if (well) this.changed();
    return well;
  }

  undo() {
    const stays = this.run.drill > 0 ? "What was read, asked or named in a drill stays" : "There is nothing to undo";
    this.say(this.run.undo() ? "Undone" : stays);
    this.changed();
  }

  redo() {
    this.say(this.run.redo() ? "Done again" : "There is nothing to do again");
    this.changed();
  }

  changed() {
    element("undo").disabled = this.run.deeds.length === 0;
    element("redo").disabled = this.run.undone.length === 0;
    this.redraw();
    this.views[2].draw(true);
    clearTimeout(this.saving);
    this.saving = setTimeout(() => this.save(), 300);
  }

  save() {
    this.written = this.run.link();
    element("link").value = `#${this.written}`;
    history.replaceState(null, "", `#${this.written}`);
  }

  async copy() {
    this.save();
    try {
      await navigator.clipboard.writeText(location.href);
      this.say("The link is copied");
    } catch {
      element("link").value = location.href;
      element("link").select();
      this.say("Copy the marked link");
    }
  }

  say(words) {
    this.notice = words ?? "";
    element("notice").textContent = this.notice;
  }

  /// The moment on the screen: now, or an earlier one that the scrubber is on.
  shown() {
    return this.scrubbed ? this.scrubbed.view : this.run.view;
  }

  redraw() {
    for (const view of this.views) view.draw();
  }

  turn(now) {
    const passed = Math.min(0.1, (now - (this.before ?? now)) / 1000);
    this.before = now;
    if (!this.scrubbed && this.pace > 0) {
      this.due += passed * this.pace * this.run.scale.rate_Hz;
      const frames = Math.floor(this.due);
      this.due -= frames;
      this.run.advance(frames);
      // Who asked for less motion gets pictures one after another instead of movement.
      const calm = reducedMotion.matches && now - (this.pictured ?? 0) < calmPicture_ms;
      if (frames > 0 && !calm) {
        this.pictured = now;
        this.redraw();
      }
    }
    requestAnimationFrame((next) => this.turn(next));
  }
}

loadModule()
  .then((bench) => {
    globalThis.cornerbench = new App(bench);
    element("undo").disabled = globalThis.cornerbench.run.deeds.length === 0;
    document.documentElement.dataset.ready = String(Math.round(performance.now()));
  })
  .catch((error) => {
    element("notice").textContent = `The bench cannot start here: ${error.message}`;
    document.documentElement.dataset.failed = error.message;
  });
