// measure_report.mjs REPORT.html [SCREENSHOTS]: opens the report in Chromium and pans and scales its plan; prints seconds
// of the clock and of the page's own thread as JSON. The thread's time is what a busy machine leaves alone.
import path from 'node:path';
import process from 'node:process';
import { openPage } from '../browser/page.mjs';

const [report, pictures] = process.argv.slice(2);
const { browser, page, messages } = await openPage('about:blank');
const session = await page.context().newCDPSession(page);
await session.send('Performance.enable', { timeDomain: 'threadTicks' });
const busy = async () => (await session.send('Performance.getMetrics')).metrics.find((m) => m.name === 'TaskDuration').value;
const opened = Date.now();
await page.goto('file://' + path.resolve(report));
await page.waitForSelector('html[data-map=ready]', { timeout: 300000 });
await page.waitForFunction(() => document.querySelectorAll('.leaflet-tile-loaded').length > 0);
const result = { open_s: (Date.now() - opened) / 1000, open_thread_s: await busy() };
async function picture(name) {
  if (pictures) await page.locator('#map').screenshot({ path: path.join(pictures, name) });
}
await picture('far.png');
for (let i = 0; i < 4; ++i) await page.click('#zoom-in');
await page.waitForTimeout(500);
await picture('near.png');
const box = await page.locator('#map').boundingBox();
const before = await busy();
const began = Date.now();
await page.mouse.move(box.x + 700, box.y + 150);
await page.mouse.down();
const steps = 60;
for (let i = 1; i <= steps; ++i) {
  await page.mouse.move(box.x + 700 - 8 * i, box.y + 150 + 2 * i);
  await page.evaluate(() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done))));
}
await page.mouse.up();
result.pan_step_ms = (Date.now() - began) / steps;
result.pan_step_thread_ms = 1000 * (await busy() - before) / steps;
result.messages = messages.length;
console.log(JSON.stringify(result));
await browser.close();
