// support.mjs - a browser, a kit for the stand-in, a running program, and how a test says what went wrong.

import { createRequire } from 'node:module';
import { execFileSync, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, mkdirSync, existsSync, readdirSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, dirname } from 'node:path';
import { fileURLToPath } from 'node:url';
import { standIn } from './stand_in.mjs';

const require = createRequire(join(process.env.PM_PAGE_MODULES, 'x.js'));
const { chromium } = require('playwright-core');
export const AXE = require.resolve('axe-core/axe.min.js');
export const ROOT = join(dirname(fileURLToPath(import.meta.url)), '../..');
export const PAGE = process.env.PM_PAGE || join(ROOT, 'page');
export const PROGRAM = process.env.PM_PROGRAM;
export const DEMO = join(ROOT, 'demo/nordersand.png');
export const SHARED = process.env.PM_SHARED;
export const WORK = mkdtempSync(join(tmpdir(), 'papermason-page-'));
export const SIZES = { phone: [390, 844], tablet: [1024, 768], desk: [1920, 1080] };
export const QUESTIONS = ['colours', 'paper', 'order', 'seams', 'sheets', 'take', 'together'];

const cleanups = [() => rmSync(WORK, { recursive: true, force: true })];
let checks = 0;

/** Stops the test with a sentence when it does not hold. */
export function check(holds, sentence) {
  checks++;
  if (!holds) throw new Error(sentence);
}

/** Runs the test's parts one after the other; every browser and program it started is ended. */
export async function run(parts) {
  let failed = 0;
  for (const [name, part] of Object.entries(parts)) {
    const begin = Date.now();
    try {
      await part();
      console.log(`ok      ${name} (${((Date.now() - begin) / 1000).toFixed(1)} s)`);
    } catch (error) {
      failed++;
      console.log(`FAILED  ${name}: ${error.stack}`);
    }
  }
  for (const end of cleanups.reverse()) await end();
  console.log(`${checks} checks, ${failed} of ${Object.keys(parts).length} parts failed`);
  process.exit(failed ? 1 : 0);
}

let browser = null;

/** A page of its own: no traces of the one before. Complaints of the browser end up in page.complaints. */
export async function newPage(
  address,
  { size = 'tablet', dark = false, still = true, zoom = 1, width = SIZES[size][0], height = SIZES[size][1], ready = '#docket h1' } = {},
) {
  if (!browser) {
    browser = await chromium.launch({
      executablePath: process.env.PM_CHROMIUM || '/usr/bin/chromium',
      args: [
        '--no-sandbox',
        '--disable-gpu',
        '--disable-quic',
        '--no-first-run',
        '--disable-background-networking',
        '--disable-component-update',
        '--disable-sync',
      ],
    });
    cleanups.push(() => browser.close());
  }
  const context = await browser.newContext({
    viewport: { width: Math.round(width / zoom), height: Math.round(height / zoom) },
    deviceScaleFactor: zoom,
    colorScheme: dark ? 'dark' : 'light',
    reducedMotion: still ? 'reduce' : 'no-preference',
    hasTouch: size !== 'desk',
    acceptDownloads: true,
  });
  const page = await context.newPage();
  page.complaints = [];
  page.setDefaultTimeout(30000);
  page.on('pageerror', (error) => page.complaints.push(error.stack));
  page.on('console', (message) => message.type() === 'error' && page.complaints.push(message.text()));
  page.on(
    'request',
    (request) =>
      !(request.isNavigationRequest() && request.url().startsWith('file:')) && !/^(http:\/\/127\.0\.0\.1|data:|blob:)/.test(request.url()) && page.complaints.push(`asked elsewhere: ${request.url()}`),
  );
  await page.goto(address);
  await page.waitForSelector(ready);
  return page;
}

/** The stand-in desk with a kit of the demo that the program has just built. */
export async function standInPage() {
  const kit = join(WORK, 'kit');
  if (!existsSync(kit))
    execFileSync(PROGRAM, ['build', DEMO, '--height', '4ft', '--paper', 'letter', '--cutter', '12x12,score', '-o', kit], {
      stdio: 'ignore',
    });
  const stand = await standIn(kit, PAGE);
  cleanups.push(() => stand.close());
  return stand;
}

/** The program itself, serving the page; its jobs lie in a folder of the test's own. */
export function openProgram(more = [], home = mkdtempSync(join(WORK, 'home-'))) {
  const child = spawn(PROGRAM, ['open', '--no-browser', ...more], {
    cwd: home,
    env: { ...process.env, HOME: home, XDG_DATA_HOME: join(home, 'data'), XDG_CONFIG_HOME: join(home, 'config') },
  });
  cleanups.push(() => child.kill('SIGKILL'));
  return new Promise((resolve, reject) => {
    let said = '';
    const listen = (part) => {
      said += part;
      const address = said.match(/http:\/\/127\.0\.0\.1:\d+\/\S*/);
      if (address) resolve({ address: address[0], child, home });
    };
    child.stdout.on('data', listen);
    child.stderr.on('data', listen);
    child.on('exit', (code) => reject(new Error(`the program ended with ${code}: ${said}`)));
  });
}

/** Opens one of the docket's questions and waits until the table has come to rest. */
export async function ask(page, question) {
  const heading = page.locator(`#q-${question}`);
  if ((await heading.getAttribute('aria-expanded')) !== 'true') await heading.press('Enter');
  await page.waitForSelector(`#a-${question}`);
  await page.waitForTimeout(350);
}

/** A picture of the view, for people to look at. */
export async function shot(page, name) {
  if (!process.env.PM_SHOTS) return;
  mkdirSync(process.env.PM_SHOTS, { recursive: true });
  await page.screenshot({ path: join(process.env.PM_SHOTS, `${name}.png`) });
}

/** The page's parts with their sizes. */
export function pageFiles() {
  return readdirSync(PAGE).map((name) => join(PAGE, name));
}
