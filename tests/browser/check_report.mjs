// check_report.mjs REPORT.html HEATROW WORK: the report in a real browser, opened from a file, without a network.
// Filters, sorts, opens a finding, reviews by mouse and by keys, hands the decisions to `heatrow review apply`, and holds
// every page against axe-core. Exit code 77: not run, since a browser or its driver is not installed.
import { execFileSync } from 'node:child_process';
import { cpSync, existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import path from 'node:path';
import process from 'node:process';
import { openPage, skip } from './page.mjs';

const [report, program, work] = process.argv.slice(2);
const require = createRequire(import.meta.url);
let axe;
try { axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8'); } catch { skip('axe-core is not installed (npm ci in tests/browser)'); }

let failures = 0;
function check(words, actual, expected) {
  if (JSON.stringify(actual) === JSON.stringify(expected)) return;
  console.log(`FAILED: ${words}: ${JSON.stringify(actual)}, not ${JSON.stringify(expected)}`);
  ++failures;
}

// That messages would be noticed is tried on a page that speaks.
const speaking = path.join(work, 'spoken.html');
writeFileSync(speaking, '<!doctype html><script>console.error("spoken"); new Image().src = "http://example.invalid/x.png";</script>');
const spoken = await openPage(speaking);
await spoken.page.waitForTimeout(300);
check('messages of a page that speaks', spoken.messages.some((m) => m.includes('spoken')), true);
check('requests of a page that asks', spoken.outside.length, 1);
await spoken.browser.close();

const { browser, page, messages, outside } = await openPage(report);
await page.waitForSelector('html[data-map=ready]');
const rows = () => page.locator('#finding-table tbody tr').count();
const count = () => page.locator('#count').textContent();

async function holdAgainstAxe(name) {
  await page.evaluate(axe);
  const result = await page.evaluate(() => window.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'best-practice'] }));
  check(`axe-core ${name}`, result.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target.join(' ')).slice(0, 3).join(', ')}`), []);
  check(`axe-core ${name} tried rules`, result.passes.length > 15, true);
}

// The overview.
check('findings listed', await rows(), 8);
check('count in words', await count(), '8 of 8 findings shown');
check('elements from names', await page.locator('#finding-table b, #finding-table script').count(), 0);
check('a hostile name as text', await page.locator('#finding-table a', { hasText: '<b>"&,=cmd()\'' }).count() > 0, true);
check('tiles of the map', await page.locator('#map canvas').count() > 0, true);
// Marks are parted from a module of their own colour by a white rim: class 2 has no other white in it.
const rims = () => page.evaluate(() => {
  let white = 0;
  document.querySelectorAll('#map .leaflet-tile-pane > .leaflet-layer:nth-child(2) canvas').forEach((canvas) => {
    const pixels = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height).data;
    for (let i = 0; i < pixels.length; i += 4) if (pixels[i] + pixels[i + 1] + pixels[i + 2] + pixels[i + 3] === 1020) ++white;
  });
  return white;
});
await page.uncheck('input[name=class][value="3"]');
await page.waitForFunction(() => document.querySelectorAll('#finding-table tbody tr').length === 7);
await page.waitForTimeout(500);
check('white rims of the marks', await rims() > 100, true);
await page.click('#filters button[type=reset]');
await page.waitForFunction(() => document.querySelectorAll('#finding-table tbody tr').length === 8);
await holdAgainstAxe('on the overview');
await page.screenshot({ path: path.join(work, 'overview.png'), fullPage: true });

// Filters and order.
await page.selectOption('#pattern', 'hot_cell');
check('hot cells', await rows(), 5);
await page.uncheck('input[name=class][value="3"]');
check('hot cells below class 3', await rows(), 4);
await page.fill('#search', 'no such words');
check('nothing holds these words', await count(), '0 of 8 findings shown');
await page.click('#filters button[type=reset]');
await page.waitForFunction(() => document.querySelectorAll('#finding-table tbody tr').length === 8);
await page.fill('#string', 'S1');
check('findings of one string', await rows(), 4);
await page.fill('#string', '');
await page.selectOption('#flag', 'load unknown');
check('findings with a flag', await rows(), 8);
await page.selectOption('#verdict', 'rejected');
check('none rejected yet', await rows(), 0);
await page.click('#filters button[type=reset]');
await page.waitForFunction(() => document.querySelectorAll('#finding-table tbody tr').length === 8);
await page.click('#finding-table th:nth-child(8) button');
const hot = await page.locator('#finding-table tbody td:nth-child(8)').allTextContents();
check('sorted by temperature', hot, [...hot].sort((a, b) => Number(b) - Number(a)));
check('the order is told', await page.locator('#finding-table th:nth-child(8)').getAttribute('aria-sort'), 'descending');

// One finding.
await page.click('#finding-table tbody tr:first-child a');
await page.waitForSelector('#detail .drawing g.painted');
const first = await page.locator('#detail h1').textContent();
check('the hottest finding is open', first.includes('hot cell r4c4'), true);
check('the overview is away', await page.locator('#overview').isHidden(), true);
check('formula with its inputs', (await page.locator('.formula').textContent()).includes('= +31.0 K · (1000 / 838)1.0 = +36.8 ± 1.6 K'), true);
check('what to do is said', /^To do: \S.+\. \S/.test((await page.locator('p.todo').textContent()).trim()), true);
check('where work can stand', await page.locator('#decision-work option').allTextContents(),
  ['open', 'planned', 'repaired', 'verified', 'still there', 'accepted', 'not found']);
check('cells of the module', await page.locator('.chip g.painted path').count() > 0, true);
await holdAgainstAxe('on a finding');
await page.screenshot({ path: path.join(work, 'finding.png'), fullPage: true });

// Review: by mouse, with what is missing told; then by keys.
await page.fill('#review-form textarea', 'Leaf on the glass, gone on Friday');
await page.check('#review-form input[value=rejected]');
check('a name is asked for', (await page.locator('#decision-note').textContent()).includes('reviewer'), true);
await page.click('#detail >> text=All findings');
check('not to be saved without a name', await page.locator('#export').isDisabled(), true);
await page.fill('#reviewer', 'A. Reviewer');
await page.press('#reviewer', 'Tab');
check('to be saved with one', await page.locator('#export').isDisabled(), false);
check('decided here', await page.locator('#finding-table td.rejected').count(), 1);
await page.locator('#finding-table tbody tr:first-child a').click();
await page.waitForSelector('#detail:not([hidden])');  // a link turns the page after the click: a key pressed before goes to the list
await page.keyboard.press('n');
await page.waitForFunction((before) => document.querySelector('#detail h1').textContent !== before, first);
const second = (await page.locator('#detail h1').textContent()).trim();
await page.keyboard.press('c');
check('a key confirms', await page.locator('#review-form input[value=confirmed]').isChecked(), true);
await page.selectOption('#decision-pattern', 'shading');
await page.selectOption('#decision-work', 'repaired');
await page.reload();
await page.waitForSelector('#detail h1');
check('the same finding after a reload', (await page.locator('#detail h1').textContent()).trim(), second);
check('the decision is remembered', await page.locator('#review-form input[value=confirmed]').isChecked(), true);
await page.keyboard.press('l');
await page.waitForSelector('#overview:not([hidden])');
const [download] = await Promise.all([page.waitForEvent('download'), page.click('#export')]);
const decisions = path.join(work, 'report.decisions.json');
await download.saveAs(decisions);
const saved = JSON.parse(readFileSync(decisions, 'utf8'));
check('work handed over', saved.decisions.map((d) => d.work_status).sort(), ['open', 'repaired']);
check('decisions saved', saved.decisions.map((d) => d.verdict).sort(), ['confirmed', 'rejected']);
check('with the reviewer', saved.decisions.every((d) => d.reviewer === 'A. Reviewer' && /Z$/.test(d.reviewed_utc)), true);

// A string, and keys switched off.
await page.locator('.strings a').first().click();
await page.waitForSelector('#detail g.painted');
await holdAgainstAxe('on a string');
await page.screenshot({ path: path.join(work, 'string.png'), fullPage: true });
await page.goBack();
await page.waitForSelector('#overview:not([hidden])');
await page.uncheck('#keys');
await page.keyboard.press('/');
check('no key while they are off', await page.evaluate(() => document.activeElement.id === 'search'), false);
check('console messages', messages, []);
check('requests outside the page', outside, []);
await browser.close();

// The round trip: the record takes the decisions, and the new page shows them.
if (existsSync(program)) {
  const reviewed = path.join(work, 'reviewed');
  rmSync(reviewed, { recursive: true, force: true });
  execFileSync(program, ['review', 'apply', path.dirname(report), decisions, '--out', reviewed]);
  const again = await openPage(path.join(reviewed, 'report.html'));
  await again.page.waitForSelector('html[data-map=ready]');
  check('the record holds the verdicts', await again.page.locator('#finding-table td.rejected, #finding-table td.confirmed').count(), 2);
  const done = again.page.locator('#finding-table tr', { hasText: 'repaired' });
  check('the record holds where the work stands', await done.count(), 1);
  await done.locator('a').first().click();
  await again.page.waitForSelector('#detail .log li');
  check('the record says who decided', (await again.page.locator('#detail .log li').first().textContent()).includes('A. Reviewer'), true);
  check('the work field stands where it was left', await again.page.locator('#decision-work').inputValue(), 'repaired');
  await again.page.keyboard.press('l');
  await again.page.waitForSelector('#overview:not([hidden])');
  check('the summary says what was rejected',
    (await again.page.locator('#overview').textContent()).includes('1 finding rejected by the reviewer is listed, but not counted here.'), true);
  check('console messages of the reviewed page', again.messages, []);
  await again.browser.close();
}
if (failures) process.exit(1);
console.log('the report opens, filters, reviews and passes axe-core, offline and without a message');
