// Drills on the bench page, held against `cornerbench drill` with the same level and number.
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";

const app = "globalThis.cornerbench";
const shippedScales = "configs/scales";

/// What the program's own drill hides, and what it makes of somebody who gives up at once.
function programDrill(program, scale, level, seed) {
  const asked = ["drill", `${shippedScales}/${scale}.toml`, "--level", level, "--seed", seed, "--json"];
  const run = spawnSync(program, asked.map(String), { encoding: "utf8", input: "give up\n" });
  return JSON.parse(run.stdout.slice(run.stdout.indexOf("{\n")));
}

async function beginDrill(page, scale, level, seed) {
  await page.choose("#scale", scale);
  await page.choose("#drill-level", `${level}:`);
  await page.type("#drill-seed", String(seed));
  await page.click("#begin-drill");
  await page.choose("#pace", "stands still");
}

/// "loose-terminal cell=3 wire=S+ ohm=20" as the page's lists say it: cause, place.
function called(words) {
  const [cause, ...rest] = words.split(" ");
  const place = rest.find((word) => /^(cell|cells|support|side|end|sections?)=/.test(word)) ?? "";
  return [cause, place.replace("=", " ")];
}

export function drillSteps({ program, folder, freshPage, linkOf, native }) {
  return {
    "a drill by level hides what the program's hides, and tells it who gives up": async () => {
      const page = await freshPage(1280, 900);
      for (const [scale, id, level, seed] of [["Sawmill", "sawmill-4", 1, 5], ["Quarry", "quarry-8", 6, 3], ["Harbour", "harbour-8", 5, 2]]) {
        await beginDrill(page, scale, level, seed);
        const hidden = programDrill(program, id, level, seed).hidden;
        assert.match(await page.text("#faults"), /is not told here/);
        await page.click("#give-up");
        await page.until(`/of 100 points/.test(document.getElementById("drill-answer").textContent)`);
        const told = await page.evaluate(`${app}.run.view.faults.map((fault) => data.causes[fault.cause].name)`);
        assert.deepEqual(told, hidden.map((words) => words.split(" ")[0]));
        const words = await page.text("#drill-answer");
        for (const each of hidden) assert.ok(words.includes(called(each).filter(Boolean).join(", ")), `${each} in: ${words}`);
        assert.match(words, / 0 of 100 points/);
        assert.equal(native(await linkOf(page)).same, true);
      }
    },

    "what no technician could see is covered while a drill runs, and the meter takes its minutes": async () => {
      const page = await freshPage(1280, 900);
      await page.choose("#scale", "Sawmill");
      await page.choose("#pace", "stands still");
      const seen = () => page.evaluate(`({
        carried: [...document.querySelectorAll(".carried")].map((node) => node.textContent).join(""),
        box: [...document.querySelectorAll("#cells td.number:not(.trim)")].map((node) => node.textContent).join(""),
        meter: document.getElementById("meter").textContent,
        forces: ${app}.views[5].csv().split("\\n").at(-2).split(",").slice(4).join(""),
      })`);
      const open = await seen();
      assert.match(open.carried, /\d/);
      assert.match(open.box, /mV/);
      assert.match(open.meter, /V$/);
      assert.match(open.forces, /\d/);
      await beginDrill(page, "Sawmill", 1, 5);
      const covered = await seen();
      assert.deepEqual([covered.carried, covered.forces, covered.meter], ["", "", "\u2013"]);
      assert.doesNotMatch(covered.box, /\d/);
      // Opening the box and one reading: 2 + 1 minutes; then one reading more.
      assert.match(await page.text("#measure"), /^Measure \(3 min\)$/);
      await page.click("#measure");
      assert.match(await page.text("#meter"), /m?V at 0 s$/);
      assert.match(await page.text("#drill-clock"), /^Drill 5, level 1\. 3 min for 0 readings/);
      assert.match(await page.text("#measure"), /^Measure \(1 min\)$/);
      // Minutes are not taken back, a weight is.
      await page.click("#undo");
      assert.match(await page.text("#notice"), /in a drill stays/);
      assert.match(await page.text("#drill-clock"), /^Drill 5, level 1\. 3 min for 0 readings/);
      await page.click("#put");
      await page.click("#undo");
      assert.equal(await page.evaluate(`${app}.run.view.onDeck.length`), 0);
      const link = await linkOf(page);
      assert.match(link, /scale=sawmill-4&seed=5&drill=1&/);
      const other = await freshPage(1280, 900, link);
      assert.equal(await other.evaluate(`${app}.replayed`), true);
      assert.equal(await other.evaluate(`${app}.run.covered`), true);
      assert.equal(native(link).same, true);
      await page.click("#give-up");
      assert.match((await seen()).carried, /\d/);
    },

    "two causes are named together on the last level": async () => {
      const page = await freshPage(1280, 900);
      await beginDrill(page, "Quarry", 6, 3);
      const hidden = programDrill(program, "quarry-8", 6, 3).hidden.map(called);
      assert.equal(hidden.length, 2);
      await page.click("#corner-round");
      await page.choose("#named-cause", `${hidden[0][0]}:`);
      await page.choose("#named-site", hidden[0][1]);
      await page.click("#name-it");
      assert.match(await page.text("#named-answer"), /^One of two/);
      await page.choose("#also-cause", `${hidden[1][0]}:`);
      await page.choose("#also-site", hidden[1][1]);
      await page.click("#name-it");
      assert.match(await page.text("#named-answer"), /^Yes/);
      await page.until(`/of 100 points/.test(document.getElementById("drill-answer").textContent)`);
      assert.match(await page.text("#drill-answer"), /wrong names 1\./);
      assert.match(await page.text("#progress-words"), /Level 6: 1 of \d found/);
    },

    "progress is kept, and as text is the program's own": async () => {
      const page = await freshPage(1280, 900);
      await page.evaluate(`localStorage.clear()`);
      await page.open(await page.evaluate("location.href.split('#')[0]"));
      await beginDrill(page, "Sawmill", 1, 5);
      await page.choose("#named-cause", "upside-down:");
      await page.choose("#named-site", "cell 1");
      await page.click("#corner-round");
      await page.click("#name-it");
      assert.match(await page.text("#named-answer"), /^No: not upside-down, cell 1\. Against it speaks /);
      const [cause, place] = called(programDrill(program, "sawmill-4", 1, 5).hidden[0]);
      await page.choose("#named-cause", `${cause}:`);
      await page.choose("#named-site", place);
      await page.click("#name-it");
      await page.until(`/of 100 points/.test(document.getElementById("drill-answer").textContent)`);
      const points = Number((await page.text("#drill-answer")).match(/ (\d+) of 100/)[1]);
      assert.match(await page.text("#progress-words"), new RegExp(`^Level 1: 1 of 1 found, ${points} points on average. Next: level 1.$`));
      const kept = await freshPage(1280, 900);
      assert.equal(await kept.text("#progress-words"), await page.text("#progress-words"));
      const file = join(folder, "progress.toml");
      writeFileSync(file, await kept.evaluate(`document.getElementById("progress-text").value`));
      const asked = ["drill", `${shippedScales}/sawmill-4.toml`, "--level", "1", "--seed", "5", "--progress", file];
      const run = spawnSync(program, asked, { encoding: "utf8", input: `call ${cause} ${place.replace(" ", "=")}\n` });
      assert.equal(run.status, 0, run.stderr);
      assert.match(run.stdout, /Level 1: 2 of 2 found, .* Next: level 2\./);
      await kept.type("#progress-text", readFileSync(file, "utf8"));
      await kept.evaluate(`document.getElementById("read-progress").click()`);
      assert.match(await kept.text("#progress-words"), /^Level 1: 2 of 2 found, .* Next: level 2\.$/);
      await kept.type("#progress-text", "[[drill]]\nlevel = 9\n");
      await kept.evaluate(`document.getElementById("read-progress").click()`);
      assert.match(await kept.text("#notice"), /no text as/);
      assert.match(await kept.text("#progress-words"), /^Level 1: 2 of 2/);
    },

    "a browser that keeps nothing says so, and the drill works all the same": async () => {
      const refuse = `Object.defineProperty(globalThis, "localStorage", { get() { throw new Error("refused"); } })`;
      const page = await freshPage(1280, 900, "", (fresh) => fresh.send("Page.addScriptToEvaluateOnNewDocument", { source: refuse }));
      assert.match(await page.text("#progress-words"), /keeps nothing/);
      await beginDrill(page, "Sawmill", 1, 5);
      await page.click("#give-up");
      await page.until(`/Level 1: 0 of 1 found/.test(document.getElementById("progress-words").textContent)`);
      assert.match(await page.evaluate(`document.getElementById("progress-text").value`), /seed = 5/);
    },
  };
}
