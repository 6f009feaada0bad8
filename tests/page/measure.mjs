// node measure.mjs CORNERBENCH: what the page takes in a headless browser on this machine, as a table.
import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { Browser, findBrowser } from "./browser.mjs";

const folder = mkdtempSync(join(tmpdir(), "cornerbench-page-measure-"));
const file = join(folder, "bench.html");
const made = spawnSync(resolve(process.argv[2]), ["page", file], { encoding: "utf8" });
if (made.status !== 0) throw new Error(made.stderr);
const median = (values) => values.sort((a, b) => a - b)[Math.floor(values.length / 2)];
const browser = new Browser(findBrowser());
const rows = [["page", `${statSync(file).size} bytes`]];
const app = "globalThis.cornerbench";

const ready = [];
let page;
for (let round = 0; round < 7; ++round) {
  page = await browser.newPage(1280, 900);
  await page.open(`file://${file}`);
  ready.push(Number(await page.evaluate("document.documentElement.dataset.ready")));
}
rows.push(["from navigation to a bench that answers, median of 7", `${median(ready)} ms (${Math.min(...ready)} to ${Math.max(...ready)})`]);

// Eight cells, a truck driving on and off, the trace growing.
await page.choose("#scale", "Quarry");
for (const [pace, name] of [["as real", "1"], ["20 times", "20"]]) {
  await page.choose("#pace", pace);
  await page.click("#drive");
  const frames = await page.evaluate(`new Promise((done) => {
    const begin = performance.now();
    const simulated = ${app}.run.frame;
    let count = 0;
    const turn = (now) => {
      ++count;
      if (now - begin < 5000) return requestAnimationFrame(turn);
      const seconds = (now - begin) / 1000;
      done([count / seconds, (${app}.run.frame - simulated) / seconds]);
    };
    requestAnimationFrame(turn);
  })`);
  rows.push([`pace ${name}, 8 cells, a truck: pictures a second`, frames[0].toFixed(1)]);
  rows.push([`pace ${name}: simulated frames a second (100 a simulated second)`, frames[1].toFixed(0)]);
}

await page.choose("#pace", "stands still");
const work = await page.evaluate(`(() => {
  const run = ${app}.run;
  const begin = performance.now();
  run.bench.run(100000);
  const module = 100000 / (performance.now() - begin) * 1000;
  const draw = performance.now();
  for (let i = 0; i < 200; ++i) ${app}.redraw();
  return [module, (performance.now() - draw) / 200];
})()`);
rows.push(["frames a second that the module alone makes, 8 cells", work[0].toFixed(0)]);
rows.push(["one picture's script, ms", work[1].toFixed(2)]);
await page.choose("#scale", "Quarry");
await page.choose("#pace", "stands still");
await page.click("#corner-round");
const rounds = [];
for (let i = 0; i < 5; ++i) {
  await page.click("#diagnose");
  rounds.push(await page.evaluate(`${app}.views[4].took_ms`));
}
rows.push(["a diagnosis of a corner round, median of 5", `${median(rounds).toFixed(0)} ms`]);
await browser.close();
rmSync(folder, { recursive: true, force: true });
for (const [what, value] of rows) console.log(`${what.padEnd(66)} ${value}`);
