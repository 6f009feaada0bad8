// A headless Chromium driven over its DevTools protocol, through two pipes: no other package, no port.
import { spawn } from "node:child_process";
import { existsSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

const programs = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

export function findBrowser() {
  return [process.env.CHROMIUM, ...programs].find((path) => path && existsSync(path)) ?? null;
}

export class Browser {
  constructor(program) {
    this.folder = mkdtempSync(join(tmpdir(), "cornerbench-page-"));
    const quiet = ["--disable-background-networking", "--disable-component-update", "--disable-sync", "--disable-quic"];
    this.process = spawn(
      program,
      ["--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", ...quiet, "--remote-debugging-pipe",
        `--user-data-dir=${this.folder}`, "about:blank"],
      { stdio: ["ignore", "ignore", "ignore", "pipe", "pipe"] },
    );
    this.next = 0;
    this.waiting = new Map();
    this.listeners = new Map();
    let rest = "";
    this.process.stdio[4].setEncoding("utf8");
    this.process.stdio[4].on("data", (text) => {
      const pieces = (rest + text).split("\0");
      rest = pieces.pop();
      for (const piece of pieces) this.hear(JSON.parse(piece));
    });
    this.process.on("exit", () => {
      for (const { fail } of this.waiting.values()) fail(new Error("the browser has ended"));
    });
  }

  hear(message) {
    if (message.id === undefined) return this.listeners.get(message.sessionId)?.(message.method, message.params);
    const { done, fail } = this.waiting.get(message.id);
    this.waiting.delete(message.id);
    message.error ? fail(new Error(`${message.error.message} ${message.error.data ?? ""}`)) : done(message.result);
  }

  send(method, params = {}, sessionId = undefined) {
    const id = ++this.next;
    return new Promise((done, fail) => {
      this.waiting.set(id, { done, fail });
      this.process.stdio[3].write(JSON.stringify({ id, method, params, sessionId }) + "\0");
    });
  }

  async newPage(width, height) {
    const { targetId } = await this.send("Target.createTarget", { url: "about:blank" });
    const { sessionId } = await this.send("Target.attachToTarget", { targetId, flatten: true });
    const page = new Page(this, sessionId);
    for (const domain of ["Page", "Runtime", "Network", "Accessibility"]) await page.send(`${domain}.enable`);
    await page.send("Emulation.setDeviceMetricsOverride", { width, height, deviceScaleFactor: 1, mobile: false });
    return page;
  }

  async close() {
    const ended = new Promise((done) => this.process.once("exit", done));
    this.send("Browser.close").catch(() => {});
    await Promise.race([ended, new Promise((done) => setTimeout(done, 5000))]);
    if (this.process.exitCode === null) this.process.kill();
    rmSync(this.folder, { recursive: true, force: true, maxRetries: 5 });
  }
}

export class Page {
  constructor(browser, sessionId) {
    this.browser = browser;
    this.sessionId = sessionId;
    this.requests = [];
    this.errors = [];
    browser.listeners.set(sessionId, (method, params) => {
      if (method === "Network.requestWillBeSent") this.requests.push(params.request.url);
      if (method === "Runtime.exceptionThrown") this.errors.push(params.exceptionDetails.exception?.description);
      if (method === "Runtime.consoleAPICalled" && params.type === "error") this.errors.push(String(params.args[0]?.value));
    });
  }

  send(method, params) {
    return this.browser.send(method, params, this.sessionId);
  }

  async open(url) {
    // Only the part behind the # may differ from what is open: then nothing would be loaded.
    await this.send("Page.navigate", { url: "about:blank" });
    await this.send("Page.navigate", { url });
    await this.until("document.documentElement.dataset.ready || document.documentElement.dataset.failed");
  }

  async evaluate(expression) {
    const { result, exceptionDetails } = await this.send("Runtime.evaluate", {
      expression,
      returnByValue: true,
      awaitPromise: true,
    });
    if (exceptionDetails) throw new Error(exceptionDetails.exception?.description ?? exceptionDetails.text);
    return result.value;
  }

  async until(expression, seconds = 30) {
    for (const end = Date.now() + 1000 * seconds; Date.now() < end; ) {
      const value = await this.evaluate(expression).catch(() => null);
      if (value) return value;
      await new Promise((done) => setTimeout(done, 50));
    }
    throw new Error(`never came about: ${expression}`);
  }

  /// Middle of what `selector` finds, scrolled into view.
  async place(selector) {
    return this.evaluate(`(() => {
      const node = document.querySelector(${JSON.stringify(selector)});
      node.scrollIntoView({ block: "center" });
      const box = node.getBoundingClientRect();
      return { x: box.x + box.width / 2, y: box.y + box.height / 2 };
    })()`);
  }

  async mouse(type, at) {
    const button = type === "mouseMoved" ? {} : { clickCount: 1 };
    await this.send("Input.dispatchMouseEvent", { type, ...at, button: "left", buttons: 1, ...button });
  }

  async click(selector) {
    const at = await this.place(selector);
    await this.mouse("mousePressed", at);
    await this.mouse("mouseReleased", at);
  }

  async press(key) {
    await this.send("Input.dispatchKeyEvent", { type: "keyDown", key, code: key });
    await this.send("Input.dispatchKeyEvent", { type: "keyUp", key, code: key });
  }

  /// As somebody does who opens the list and takes the entry that begins so.
  async choose(selector, begins) {
    await this.evaluate(`(() => {
      const list = document.querySelector(${JSON.stringify(selector)});
      const found = [...list.options].findIndex((each) => each.text.startsWith(${JSON.stringify(begins)}));
      if (found < 0) throw new Error(${JSON.stringify(`${selector} has no ${begins}`)});
      list.selectedIndex = found;
      list.dispatchEvent(new Event("change"));
    })()`);
  }

  async type(selector, text) {
    await this.evaluate(`(() => {
      const field = document.querySelector(${JSON.stringify(selector)});
      field.value = ${JSON.stringify(text)};
      field.dispatchEvent(new Event("change"));
    })()`);
  }

  text(selector) {
    return this.evaluate(`document.querySelector(${JSON.stringify(selector)}).textContent`);
  }

  async screenshot() {
    const { data } = await this.send("Page.captureScreenshot", { captureBeyondViewport: true });
    return Buffer.from(data, "base64");
  }
}
