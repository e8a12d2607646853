// Looks at a page in a headless browser, as a phone and as a desk, by day and in the dark.
// node look.mjs FILE.html [FOLDER]: prints JSON; with FOLDER, pictures and a print go there too.
// CHROMIUM names the browser; puppeteer-core and axe-core are found beside PAGE_TOOLS/package.json.
import { createRequire } from "node:module";
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const require = createRequire(process.env.PAGE_TOOLS + "/package.json");
const puppeteer = require("puppeteer-core");
const axe = readFileSync(require.resolve("axe-core/axe.min.js"), "utf8");
const [file, folder] = process.argv.slice(2);
const url = pathToFileURL(file).href;
const sizes = { phone: [390, 844], desk: [1280, 900] };

const browser = await puppeteer.launch({
  executablePath: process.env.CHROMIUM,
  args: ["--no-sandbox", "--disable-gpu"],
});
const seen = { requests: [], console: [], looks: [] };
try {
  for (const [size, [width, height]] of Object.entries(sizes)) {
    for (const scheme of ["light", "dark"]) {
      const page = await browser.newPage();
      await page.setBypassCSP(false);
      page.on("request", (one) => seen.requests.push(one.url() === url ? "the file" : one.url()));
      page.on("console", (one) => seen.console.push(one.text()));
      page.on("pageerror", (one) => seen.console.push(String(one)));
      await page.setViewport({ width, height, isMobile: size === "phone", hasTouch: size === "phone" });
      await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
      await page.goto(url, { waitUntil: "load" });
      if (folder) await page.screenshot({ path: `${folder}/${size}-${scheme}.png` });
      const keys = await tabs(page);
      const shape = await page.evaluate(() => ({
        over: document.documentElement.scrollWidth - document.documentElement.clientWidth,
        levels: [...document.querySelectorAll("h1,h2,h3,h4")].map((one) => Number(one.tagName[1])),
        small: [...document.querySelectorAll("summary")].filter((one) => one.getBoundingClientRect().height < 44).length,
      }));
      await page.evaluate(() => document.querySelectorAll("details").forEach((one) => { one.open = true; }));
      if (folder) await page.screenshot({ path: `${folder}/${size}-${scheme}-open.png` });
      await page.evaluate(axe); // by the debugger, past the page's own policy
      const found = await page.evaluate(() => axe.run(document, { resultTypes: ["violations"] }));
      const serious = found.violations.map((one) => `${one.impact} ${one.id}: ${one.nodes[0].html.slice(0, 160)}`);
      seen.looks.push({ size, scheme, ...shape, ...keys, axe: serious });
      if (folder && size === "desk" && scheme === "light") {
        const fresh = await browser.newPage();
        await fresh.goto(url);
        await fresh.pdf({ path: `${folder}/print.pdf`, preferCSSPageSize: true });
        await fresh.close();
      }
      await page.close();
    }
  }
} finally {
  await browser.close();
}
console.log(JSON.stringify(seen));

// Press Tab through the beginning of the page: each stop must come later in the document than the last.
async function tabs(page) {
  const stops = [];
  for (let press = 0; press < 25; press += 1) {
    await page.keyboard.press("Tab");
    stops.push(await page.evaluate(() => {
      const every = [...document.querySelectorAll("*")];
      const here = document.activeElement;
      const outline = getComputedStyle(here).outlineStyle;
      return { at: here === document.body ? -1 : every.indexOf(here), seen: outline !== "none", words: here.textContent.trim().slice(0, 30) };
    }));
  }
  const again = stops.findIndex((one, n) => n > 0 && (one.at < 0 || one.at === stops[0].at));
  const real = again < 0 ? stops : stops.slice(0, again); // a short page begins anew
  return {
    first: real[0]?.words,
    inOrder: real.every((one, n) => n === 0 || one.at > real[n - 1].at),
    allSeen: real.every((one) => one.seen),
  };
}
