// node page_test.mjs CORNERBENCH: the bench page as a person has it, in a headless browser. 77: there is none here.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { accessSteps } from "./access_steps.mjs";
import { Browser, findBrowser } from "./browser.mjs";
import { drillSteps } from "./drill_steps.mjs";

const program = resolve(process.argv[2]);
const chromium = findBrowser();
if (!chromium) {
  console.log("skipped: no chromium here (.ci/packages gates installs it)");
  process.exit(77);
}

const folder = mkdtempSync(join(tmpdir(), "cornerbench-page-test-"));
const file = join(folder, "bench.html");
const made = spawnSync(program, ["page", file], { encoding: "utf8" });
assert.equal(made.status, 0, made.stderr);
assert.ok(statSync(file).size < 1024 * 1024, `the page has ${statSync(file).size} bytes`);

const address = `file://${file}`;
const app = "globalThis.cornerbench";
const browser = new Browser(chromium);
const pages = [];

/// `before` does something to the page before it is opened.
async function freshPage(width, height, link = "", before = () => {}) {
  const page = await browser.newPage(width, height);
  pages.push(page);
  await before(page);
  await page.open(address + link);
  assert.equal(await page.evaluate("document.documentElement.dataset.failed ?? ''"), "");
  return page;
}

/// Time stands still, so that what follows does not depend on how fast this machine is.
const hold = (page) => page.choose("#pace", "stands still");
const state = (page) => page.evaluate(`${app}.run.view.hash + " " + ${app}.run.frame`);
const linkOf = (page) => page.evaluate(`(${app}.save(), location.hash)`);

/// The same run by the program itself: exit status 0 says that its state is the page's.
function native(link) {
  const run = spawnSync(program, ["page", "--replay", link, "--json"], { encoding: "utf8" });
  assert.ok(run.status === 0 || run.status === 1, run.stderr);
  return { same: run.status === 0, ...JSON.parse(run.stdout) };
}

const steps = {
  "a weight is put on, dragged and moved by keys, and the firmware shows it": async (page) => {
    await page.choose("#scale", "Quarry");
    await page.type("#seed", "30");
    await page.type("#mass", "5000");
    await page.choose("#place", "section 2");
    await page.click("#put");
    await page.choose("#pace", "20 times");
    await page.until(`document.getElementById("digits").textContent === "5000"`);
    await hold(page);
    const from = await page.place(".weight");
    await page.mouse("mousePressed", from);
    for (let step = 1; step <= 8; ++step) await page.mouse("mouseMoved", { x: from.x + 12 * step, y: from.y });
    await page.mouse("mouseReleased", { x: from.x + 96, y: from.y });
    const dragged = await page.evaluate(`${app}.run.view.onDeck[0].x`);
    assert.ok(dragged > 6.5, `dragged from 6 m to ${dragged} m`);
    await page.press("ArrowRight");
    assert.ok((await page.evaluate(`${app}.run.view.onDeck[0].x`)) > dragged);
    await page.press("Delete");
    assert.equal(await page.evaluate(`${app}.run.view.onDeck.length`), 0);
  },

  "undo and redo lead back to the same state": async (page) => {
    const before = await state(page);
    await page.click("#put");
    await page.evaluate(`${app}.run.advance(500)`);
    const after = await state(page);
    assert.notEqual(after, before);
    await page.click("#undo");
    assert.notEqual(await state(page), after);
    await page.click("#redo");
    assert.equal(await state(page), after);
    await page.click("#undo");
  },

  "a truck drives on and off": async (page) => {
    await page.choose("#vehicle", "five-axle");
    await page.click("#drive");
    await page.evaluate(`${app}.run.settle()`);
    const shown = await page.evaluate(`${app}.run.view.gross`);
    assert.ok(Math.abs(shown - 39900) <= 60, `the truck of 39 900 kg weighs ${shown}`);
    await page.click("#drive");
    await page.evaluate(`${app}.run.settle()`);
    assert.equal(await page.evaluate(`${app}.run.view.vehicle`), false);
  },

  "a fault is put in, measured and diagnosed": async (page) => {
    await page.choose("#cause", "loose-terminal");
    await page.choose("#site", "cell 3");
    await page.choose("#variant", "wire S+");
    await page.type("#size-0", "20");
    await page.click("#put-fault");
    await page.click("#corner-round");
    await page.choose("#what", "S+ to S");
    await page.choose("#what-cell", "cell 3");
    await page.click("#take");
    await page.choose("#what", "signal");
    await page.click("#take");
    await page.click("#diagnose");
    const first = await page.evaluate(`(({ cause, site, probability }) =>
      [data.causes[cause].name, site, probability])(${app}.views[4].causes[0])`);
    assert.deepEqual(first.slice(0, 2), ["loose-terminal", 2]);
    assert.ok(first[2] > 0.5, `with ${first[2]}`);
    assert.match(await page.text("#causes"), /loose-terminal, cell 3/);
    assert.match(await page.text("#why-cause"), /loose-terminal, cell 3/);
    assert.match(await page.text("#why-rows"), /on support 3/);
    // Time stands still: what the meter shows must be of now all the same.
    const lifted = await page.evaluate(`valueWords(${app}.run.scale, ${app}.run.readings().at(-1))`);
    assert.equal(await page.text("#cells > tr:nth-child(3) > td"), lifted);
  },

  "the meter's two probes read what the sheet reads": async (page) => {
    await page.choose("#probe-a", "indicator: sense+");
    await page.choose("#probe-b", "indicator: sense");
    await page.evaluate(`document.getElementById("probe-b").selectedIndex = document.getElementById("probe-a").selectedIndex + 1,
      ${app}.views[2].draw(true)`);
    const volts = Number((await page.text("#meter")).replace(" V", ""));
    assert.ok(volts > 9.5 && volts < 10.5, `${volts} V`);
  },

  "probes are held on the drawn terminals by hand and by keys": async (page) => {
    const terminal = (begins) => `#wiring [aria-label^="${begins}"]`;
    await page.click(terminal("cell 2, at the cell: E+, green"));
    await page.click(terminal("cell 2, at the cell: E\u2212, black"));
    // The drawn wires have the colours of the scale's file, and the probes are told by more than their colour.
    assert.match(await page.evaluate(`document.querySelector('${terminal("cell 2, at the cell: E+")}').getAttribute("aria-label")`), /red probe$/);
    const volts = Number((await page.text("#meter")).replace(" V", ""));
    const cell = await page.evaluate(`(() => { const v = ${app}.run.bench.terminals(); return v[15] - v[16]; })()`);
    assert.ok(volts > 9 && Math.abs(volts - cell) < 1e-4, `${volts} V on the meter, ${cell} V at the terminals`);
    const focused = () => page.evaluate(`document.activeElement.getAttribute("aria-label")`);
    await page.press("ArrowDown");
    assert.match(await focused(), /^cell 2, at the cell: S\+/);
    await page.press("Enter");
    await page.press("ArrowDown");
    await page.press("Enter");
    assert.match(await page.text("#meter"), / mV$/);
    assert.deepEqual(await page.evaluate(`${app}.views[2].probes()`), [17, 18]);
  },

  "what is broken inside is not to be seen in the drawing": async (page) => {
    const drawn = () => page.evaluate(`document.getElementById("wiring").innerHTML`);
    const before = await drawn();
    const open = await page.evaluate(`data.causes.findIndex(({ name }) => name === "open-wire")`);
    assert.equal(await page.evaluate(`${app}.does("fault", [${open}, 0, 0])`), true);
    assert.equal(await drawn(), before);
    await page.click("#undo");
  },

  "a named cause is right, elsewhere or wrong": async (page) => {
    await page.choose("#named-cause", "loose-terminal");
    await page.choose("#named-site", "cell 4");
    await page.click("#name-it");
    assert.match(await page.text("#named-answer"), /not there/);
    await page.choose("#named-site", "cell 3");
    await page.click("#name-it");
    assert.match(await page.text("#named-answer"), /^Yes/);
    await page.choose("#named-cause", "rubbing");
    await page.click("#name-it");
    assert.match(await page.text("#named-answer"), /^No/);
  },

  "trims turn": async (page) => {
    const at = await page.evaluate(`${app}.run.view.trim[0]`);
    await page.click(`#cells button[aria-label^="Trim 1: a quarter turn on"]`);
    assert.ok(Math.abs((await page.evaluate(`${app}.run.view.trim[0]`)) - at - 0.25) < 1e-9);
    await page.evaluate(`${app}.run.advance(100)`);
  },

  "the scrubber looks back, and the trace is there as CSV": async (page) => {
    await page.evaluate(`(() => {
      const slider = document.getElementById("scrubber");
      slider.value = 5;
      slider.dispatchEvent(new Event("input"));
    })()`);
    assert.match(await page.text("#trace-at"), /^0\.5 s/);
    await page.click("#now");
    const csv = await page.evaluate(`${app}.views[5].csv()`);
    const lines = csv.trim().split("\n");
    assert.equal(lines[0].split(",").length, 4 + 8);
    assert.equal(lines.length - 1, await page.evaluate(`${app}.run.samples.length`));
  },

  "whoever opens the link gets the same run, and so does the program without a browser": async (page) => {
    const link = await linkOf(page);
    const here = await state(page);
    const other = await freshPage(1280, 900, link);
    assert.equal(await other.evaluate(`${app}.replayed`), true);
    await hold(other);
    const there = await other.evaluate(`${app}.run.deeds.length`);
    assert.equal(there, await page.evaluate(`${app}.run.deeds.length`));
    assert.equal(await other.evaluate(`${app}.run.readings().length`), await page.evaluate(`${app}.run.readings().length`));
    const replayed = native(link);
    assert.equal(replayed.same, true, `here ${here}, there ${replayed.hash}`);
    assert.equal(`${replayed.hash} ${replayed.frames}`, here);
    // A check that cannot fail is none: one deed less is another state.
    const shorter = link.replace(/;[^;]*,trim,[^;&]*/, "");
    assert.notEqual(shorter, link);
    assert.equal(native(shorter).same, false);
  },

  "a hidden fault is in the link by its seed alone": async () => {
    const page = await freshPage(1280, 900);
    await hold(page);
    await page.type("#hide-seed", "7");
    await page.click("#hide-fault");
    await page.evaluate(`${app}.run.advance(300)`);
    const link = await linkOf(page);
    assert.match(link, /hide,7/);
    assert.match(await page.text("#faults"), /a hidden fault/);
    assert.equal(native(link).same, true);
  },

  "a drill counts minutes, gives hints, answers a wrong name with a reading, and is scored": async () => {
    const page = await freshPage(1280, 900);
    await hold(page);
    const loose = await page.evaluate(`data.causes.findIndex(({ name }) => name === "loose-terminal")`);
    // Wire E+ of cell 3, 2 ohms: by weights alone it might as well be a trim or a weak cell.
    await page.evaluate(`${app}.does("fault", [${loose}, 2, 0, 2, 0, 1])`);
    await page.click("#corner-round");
    assert.match(await page.text("#drill-clock"), /^0 min for 0 readings/);
    await page.click("#ask-hint");
    const hint = await page.text("#drill-answer");
    assert.match(hint, /^Would tell most for its minutes: .+ \([0-9.]+ min\)\.$/);
    await page.choose("#what", "S+ to S");
    await page.choose("#what-cell", "cell 3");
    await page.click("#take");
    // Opening the box, lifting the wires, reading: 2 + 2 + 1 minutes.
    assert.match(await page.text("#drill-clock"), /^5 min for 1 readings/);
    await page.choose("#named-cause", "upside-down");
    await page.choose("#named-site", "cell 5");
    await page.click("#name-it");
    assert.match(await page.text("#named-answer"), /Against it speaks .+ was read, where it lets expect/);
    assert.equal(await page.evaluate(`document.getElementById("score-it").disabled`), true);
    await page.choose("#named-cause", "loose-terminal");
    await page.choose("#named-site", "cell 3");
    await page.click("#name-it");
    await page.click("#score-it");
    const score = await page.text("#drill-answer");
    assert.match(score, /^[0-9]+ of 100 points: 5 min, 1 readings, .+ hints 1, wrong names 1\. The proposed checks take/);
    // At most 100 less 15 for the wrong name and 5 for the hint; at least the 60 of the cause less these.
    const points = Number(score.split(" ")[0]);
    assert.ok(points >= 40 && points <= 80, score);
    assert.equal(native(await linkOf(page)).same, true);
  },

  ...drillSteps({ program, folder, freshPage, linkOf, native }),

  "a lesson shows its tasks and sees them done": async () => {
    const page = await freshPage(1280, 900);
    await page.choose("#lesson", "5.");
    await hold(page);
    assert.match(await page.text("#lesson-text"), /under range/);
    for (const cell of [1, 2]) {
      await page.choose("#what", "signal");
      await page.choose("#what-cell", `cell ${cell}`);
      await page.click("#take");
    }
    assert.equal(await page.evaluate(`document.querySelectorAll("#tasks > li[data-done]").length`), 2);
    await page.choose("#what", "look: wire colours");
    await page.choose("#what-cell", "cell 2");
    await page.click("#take");
    assert.match(await page.text("#readings"), /not: S\+ and S\u2212 exchanged/);
    await page.choose("#named-cause", "signal-pair-swapped");
    await page.choose("#named-site", "cell 2");
    await page.click("#name-it");
    assert.equal(await page.evaluate(`document.querySelectorAll("#tasks > li[data-done]").length`), 4);
    assert.equal(await page.evaluate(`document.getElementById("learned-part").hidden`), false);
    assert.equal(native(await linkOf(page)).same, true);
  },

  "an answer to a lesson's question is in the link": async () => {
    const page = await freshPage(1280, 900);
    await page.choose("#lesson", "1.");
    await hold(page);
    const done = (of) => of.evaluate(`document.querySelectorAll("#tasks > li[data-done]").length`);
    assert.equal(await done(page), 0);
    await page.click("#tasks .choices > button:nth-child(2)");
    assert.equal(await done(page), 1);
    const link = await linkOf(page);
    assert.match(link, /answer,2,1/);
    const other = await freshPage(1280, 900, link);
    assert.equal(await done(other), 1);
    assert.equal(native(link).same, true);
  },

  "a size that a fault cannot have is refused with what it can": async () => {
    const page = await freshPage(1280, 900);
    await hold(page);
    await page.choose("#cause", "loose-terminal");
    for (const size of ["1e99", "-3", "much"]) {
      await page.type("#size-0", size);
      await page.click("#put-fault");
      assert.match(await page.text("#notice"), /^ohm is a number from 0\.2 to 2.?000$/);
      assert.equal(await page.evaluate(`${app}.run.view.faults.length`), 0);
    }
  },

  "a link that says nonsense is answered, and the bench is there": async () => {
    const page = await freshPage(1280, 900, "#scale=quarry-8&until=10&deeds=3,fly,1");
    assert.match(await page.text("#notice"), /cannot be followed/);
    assert.equal(await page.evaluate(`${app}.run.deeds.length`), 0);
  },

  ...accessSteps({ freshPage }),

  "no page has asked any network for anything, and none has gone wrong": async () => {
    for (const page of pages) {
      const elsewhere = page.requests.filter((url) => !url.startsWith(address) && url !== "about:blank" && !url.startsWith("blob:"));
      assert.deepEqual(elsewhere, []);
      assert.deepEqual(page.errors, []);
    }
  },
};

let failed = 0;
try {
  const page = await freshPage(1280, 900);
  for (const [name, step] of Object.entries(steps)) {
    try {
      await step(page);
      console.log(`ok      ${name}`);
    } catch (error) {
      ++failed;
      console.log(`FAILED  ${name}\n${error.stack}`);
    }
  }
} finally {
  await browser.close();
  rmSync(folder, { recursive: true, force: true });
}
process.exitCode = failed === 0 ? 0 : 1;
