// The lessons: text, tasks that are checked against what was done, and what to take along.

class LessonsView {
  constructor(app) {
    this.app = app;
    const names = data.lessons.map((lesson, i) => `${i + 1}. ${lesson.name}`);
    choose(element("lesson"), ["free bench, no lesson", ...names], 0);
    element("lesson").addEventListener("change", () => this.chosen());
    element("lessons").hidden = data.lessons.length === 0;
  }

  chosen() {
    const which = element("lesson").selectedIndex - 1;
    const { run } = this.app;
    this.app.begin(which < 0 ? { scale: run.scale.id, seed: 1 } : { lesson: data.lessons[which].id });
    this.app.say(which < 0 ? "Free bench" : `Lesson: ${data.lessons[which].name}`);
  }

  build() {
    const { lesson } = this.app.run;
    element("lesson").selectedIndex = lesson ? data.lessons.indexOf(lesson) + 1 : 0;
    element("lesson-body").hidden = !lesson;
    element("scale").disabled = Boolean(lesson);
    element("seed").disabled = Boolean(lesson);
    this.key = null;
    if (!lesson) return;
    const paragraphs = lesson.text.trim().split(/\n\s*\n/);
    element("lesson-text").replaceChildren(...paragraphs.map((text) => make("p", {}, text)));
    element("learned").textContent = lesson.learned.trim();
    this.nodes = lesson.tasks.map((task, index) => this.buildTask(task, index));
    element("tasks").replaceChildren(...this.nodes.map(({ node }) => node));
    this.draw();
  }

  buildTask(task, index) {
    const state = make("strong", { class: "task-state" });
    const node = make("li", {}, state, " ", task.text);
    if (task.do === "answer") {
      const told = make("p", { role: "status" });
      const choices = task.choices.map((choice, number) =>
        make("button", {
          type: "button",
          onclick: () => {
            this.app.does("answer", [index, number]);
            told.textContent = number === task.right ? "Right." : "No, look again.";
            this.draw();
          },
        }, choice),
      );
      node.append(make("div", { class: "choices" }, ...choices), told);
    }
    if (task.do === "find") node.append(make("p", { class: "soft" }, "Name it under \u201cDrill\u201d."));
    if (task.hint) node.append(make("details", {}, make("summary", {}, "Hint"), make("p", {}, task.hint)));
    return { node, state };
  }

  /// The answer that was chosen last.
  answered(task) {
    return this.app.run.deeds.findLast(({ word, numbers }) => word === "answer" && numbers[0] === task)?.numbers[1];
  }

  isDone(task, index) {
    const { run } = this.app;
    if (task.do === "answer") return this.answered(index) === task.right;
    if (task.do === "trim") return run.deeds.some((deed) => deed.word === "trim") && run.bench.spread() <= task.within_d;
    if (task.do === "find") {
      const named = (fault) => run.calls.some(({ numbers }) => numbers[0] === fault[0] && numbers[1] === fault[1]);
      return run.lesson.faults.every(named);
    }
    return Array.from({ length: run.view.readings }, (_, i) => i).some((i) => run.bench.answers(i, task));
  }

  draw() {
    const { lesson, deeds, view } = this.app.run;
    const key = `${deeds.length} ${view.readings}`;
    if (!lesson || key === this.key) return;
    this.key = key;
    let all = true;
    lesson.tasks.forEach((task, index) => {
      const done = this.isDone(task, index);
      all = all && done;
      this.nodes[index].node.toggleAttribute("data-done", done);
      this.nodes[index].state.textContent = done ? "\u2713 done" : "\u25a1 to do";
    });
    element("learned-part").hidden = !all;
    if (all && this.finished !== lesson) this.app.say("Every task of the lesson is done");
    this.finished = all ? lesson : null;
  }
}
