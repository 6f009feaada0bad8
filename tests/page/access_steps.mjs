// The bench page for everybody: names, contrast, motion, and what axe-core finds where CORNERBENCH_AXE names it.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";

const app = "globalThis.cornerbench";

export function accessSteps({ freshPage }) {
  return {
    "every control has a name, and nothing overflows a telephone": async () => {
      for (const [width, height, link] of [[360, 740, ""], [360, 740, "#scale=quarry-8&seed=3&drill=6&until=10"], [1280, 900, ""]]) {
        const page = await freshPage(width, height, link);
        await page.click("#put");
        const { nodes } = await page.send("Accessibility.getFullAXTree");
        const controls = ["button", "combobox", "textbox", "slider", "checkbox", "spinbutton", "PopUpButton"];
        const nameless = nodes.filter(
          ({ role, name, ignored }) => !ignored && controls.includes(role?.value) && !(name?.value ?? "").trim(),
        );
        assert.ok(nodes.some(({ role }) => role?.value === "slider"), "the weight is in the tree");
        assert.deepEqual(nameless.map(({ role }) => role.value), []);
        const over = await page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth");
        assert.ok(over <= 0, `${over} pixels too wide at ${width}`);
      }
    },

    "what is no number is refused with a word, and changes nothing": async () => {
      const page = await freshPage(1280, 900);
      for (const weight of ["8,500", "-3", "much", "0", ""]) {
        await page.type("#mass", weight);
        await page.click("#put");
        assert.match(await page.text("#notice"), /is no weight: digits only/);
        assert.equal(await page.evaluate(`${app}.run.view.onDeck.length`), 0);
      }
      for (const seed of ["-1", "banana", "1.5"]) {
        await page.evaluate(`{ const seed = document.getElementById("seed"); seed.value = "${seed}"; seed.dispatchEvent(new Event("change")); }`);
        assert.match(await page.text("#notice"), /is no specimen: a whole number/);
        assert.equal(await page.evaluate(`${app}.run.seed + document.getElementById("seed").value`), "11");
      }
    },

    "lights say whether they are on, and supports what they carry": async () => {
      const page = await freshPage(1280, 900);
      await page.evaluate(`${app}.run.settle(); ${app}.redraw()`);
      const lights = await page.evaluate(`[...document.querySelectorAll("#lights li")].map((node) => [node.textContent, node.hasAttribute("data-on")])`);
      assert.ok(lights.some(([, on]) => on));
      for (const [words, on] of lights) assert.ok(words.endsWith(on ? ": on" : ": off"), words);
      const carried = await page.evaluate(`[...document.querySelectorAll(".carried")].map((node) => node.getAttribute("aria-label"))`);
      carried.forEach((words, i) => assert.match(words, new RegExp(`^support ${i + 1} carries [0-9 .\u202f]+ (kg|t)$`)));
    },

    // WCAG 2.1: 1.4.3 asks for a contrast of 4.5, 1.4.6 for 7; its relative luminance from memory.
    "words stand out from their ground in light and in dark": async () => {
      const page = await freshPage(1280, 900);
      for (const scheme of ["light", "dark"]) {
        await page.send("Emulation.setEmulatedMedia", { features: [{ name: "prefers-color-scheme", value: scheme }] });
        const colour = (name) => page.evaluate(`getComputedStyle(document.documentElement).getPropertyValue("--${name}").trim()`);
        const luminance = (hex) => {
          const [r, g, b] = [1, 3, 5].map((at) => parseInt(hex.slice(at, at + 2), 16) / 255);
          const linear = (part) => (part <= 0.03928 ? part / 12.92 : ((part + 0.055) / 1.055) ** 2.4);
          return 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b);
        };
        for (const [words, least] of [["ink", 7], ["soft", 7], ["mark", 4.5], ["carry", 4.5], ["over", 4.5]]) {
          for (const ground of ["ground", "sheet"]) {
            const [a, b] = [luminance(await colour(words)), luminance(await colour(ground))].sort((x, y) => y - x);
            const contrast = (a + 0.05) / (b + 0.05);
            assert.ok(contrast >= least, `${scheme}: ${words} on ${ground} has ${contrast.toFixed(1)}`);
          }
        }
      }
    },

    "who asked for less motion gets pictures and no movement": async () => {
      const page = await freshPage(1280, 900);
      const pictures = () => page.evaluate(`new Promise((done) => {
        const app = ${app};
        const redraw = app.redraw;
        let count = 0;
        app.redraw = () => (++count, redraw.call(app));
        setTimeout(() => ((app.redraw = redraw), done(count)), 1200);
      })`);
      await page.send("Emulation.setEmulatedMedia", { features: [{ name: "prefers-reduced-motion", value: "reduce" }] });
      const calm = await pictures();
      assert.ok(calm <= 4, `${calm} pictures in 1.2 s`);
    },

    // axe-core's own rules of WCAG 2.0, 2.1 and 2.2, level AA, and its best practices.
    "axe-core finds nothing wrong, on the bench and in a drill": async () => {
      if (!process.env.CORNERBENCH_AXE) return console.log("        (skipped: CORNERBENCH_AXE names no axe.min.js)");
      const rules = readFileSync(process.env.CORNERBENCH_AXE, "utf8");
      for (const link of ["", "#scale=quarry-8&seed=3&drill=6&until=10", "#scale=harbour-8&seed=1&until=10"]) {
        const page = await freshPage(360, 740, link);
        await page.send("Runtime.evaluate", { expression: rules });
        const found = await page.evaluate(`axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"] })
          .then(({ violations }) => violations.map(({ id, nodes }) => id + ": " + nodes[0].html))`);
        assert.deepEqual(found, []);
      }
    },
  };
}
