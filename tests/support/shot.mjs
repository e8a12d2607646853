// One picture of a page: node shot.mjs FILE.html#PLACE OUT.png light|dark WIDTH HEIGHT
// CHROMIUM names the browser; puppeteer-core is found beside PAGE_TOOLS/package.json.
import { createRequire } from "node:module";
import { pathToFileURL } from "node:url";

const puppeteer = createRequire(process.env.PAGE_TOOLS + "/package.json")("puppeteer-core");
const [where, out, scheme, width, height] = process.argv.slice(2);
const [file, place] = where.split("#");
const browser = await puppeteer.launch({ executablePath: process.env.CHROMIUM, args: ["--no-sandbox"] });
const page = await browser.newPage();
await page.setViewport({ width: Number(width), height: Number(height), deviceScaleFactor: 1.5 });
await page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
await page.goto(`${pathToFileURL(file).href}#${place}`);
await new Promise((done) => setTimeout(done, 300));
await page.screenshot({ path: out });
await browser.close();
