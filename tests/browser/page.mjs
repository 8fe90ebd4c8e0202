// A page opened from a file in Chromium, with what it says and what it asks for.
import { execFileSync } from 'node:child_process';
import path from 'node:path';
import process from 'node:process';
import { pathToFileURL } from 'node:url';

export function skip(why) {
  console.log('not run: ' + why);
  process.exit(77);
}

function installed(names) {
  for (const name of names) {
    try { return execFileSync('which', [name], { encoding: 'utf8' }).trim(); } catch { /* the next one */ }
  }
  return skip('chromium is not installed');
}

export async function openPage(file, size = { width: 1400, height: 900 }) {
  let chromium;
  try { ({ chromium } = await import('playwright-core')); } catch { skip('playwright-core is not installed (npm ci in tests/browser)'); }
  const browser = await chromium.launch({
    executablePath: installed(['chromium', 'chromium-browser']),
    args: ['--no-sandbox', '--host-resolver-rules=MAP * ~NOTFOUND']
  });
  const page = await browser.newPage({ viewport: size });
  page.setDefaultTimeout(60000);
  const messages = [];
  const outside = [];
  page.on('console', (message) => { if (message.type() === 'error' || message.type() === 'warning') messages.push(message.text()); });
  page.on('pageerror', (error) => messages.push(String(error)));
  page.on('request', (request) => { if (!/^(file|data|blob|about):/.test(request.url())) outside.push(request.url()); });
  await page.goto(file === 'about:blank' ? file : pathToFileURL(path.resolve(file)).href);
  return { browser, page, messages, outside };
}
