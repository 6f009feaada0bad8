// Drills that were done: kept by the browser where it lets us, and as the text that `cornerbench drill --progress`
// reads and writes.

const progressKey = "cornerbench-drills";
const progressNumbers = { level: [1, 6], seed: [0, 1e9], points: [0, 100], minutes: [0, 1e5], plan_minutes: [0, 1e5] };

class Progress {
  constructor() {
    this.drills = [];
    this.kept = true;
    try {
      const found = JSON.parse(localStorage.getItem(progressKey) ?? "[]");
      if (Array.isArray(found)) this.drills = found.filter((drill) => Progress.isDrill(drill));
    } catch {
      this.kept = false;
    }
  }

  static isDrill(drill) {
    const numbers = Object.entries(progressNumbers);
    const well = numbers.every(([key, [low, high]]) => drill?.[key] >= low && drill[key] <= high);
    return well && typeof drill.right === "boolean" && typeof drill.scale === "string" && typeof drill.on === "string";
  }

  add(drill) {
    this.drills.push(drill);
    this.keep();
  }

  keep() {
    try {
      localStorage.setItem(progressKey, JSON.stringify(this.drills));
    } catch {
      this.kept = false;
    }
  }

  text() {
    const block = (drill) => `
[[drill]]
on = ${JSON.stringify(drill.on)}
scale = ${JSON.stringify(drill.scale)}
level = ${drill.level}
seed = ${drill.seed}
right = ${drill.right}
points = ${drill.points}
minutes = ${drill.minutes.toFixed(1)}
plan_minutes = ${drill.plan_minutes.toFixed(1)}
`;
    return this.drills.map(block).join("");
  }

  /// Takes in what `text` says in place of what is there: how many drills, or -1 where it is no such text.
  /// Lessons that the program wrote into the file are of no level and are left out.
  readIn(text) {
    const drills = [];
    for (const block of text.split("[[drill]]").slice(1)) {
      const drill = { on: "", scale: "" };
      for (const [, key, value] of block.matchAll(/^\s*(\w+)\s*=\s*(.+?)\s*$/gm)) {
        try {
          drill[key] = value.startsWith("'") ? value.slice(1, -1) : JSON.parse(value);
        } catch {
          return -1;
        }
      }
      if ("lesson" in drill) continue;
      if (!Progress.isDrill(drill)) return -1;
      drills.push(drill);
    }
    if (drills.length === 0 && text.trim() !== "") return -1;
    this.drills = drills;
    this.keep();
    return drills.length;
  }
}
