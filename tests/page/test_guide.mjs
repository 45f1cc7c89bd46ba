// test_guide.mjs - guide.html from the disk, with no network: the whole is put together by it, ticks stay, it asks for
// nothing; three sizes, light and dark: nothing that keeps anybody out (axe), nothing wider than the screen.

import { execFileSync } from 'node:child_process';
import { readFileSync, writeFileSync, statSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { pathToFileURL } from 'node:url';
import { AXE, DEMO, PROGRAM, SIZES, WORK, check, newPage, run, shot } from './support.mjs';

const MOST_BYTES = 400 * 1024;
const READY = '#live:not([hidden])';
const axe = readFileSync(AXE, 'utf8');

function guideOf(folder, ...more) {
  const kit = join(WORK, folder);
  execFileSync(PROGRAM, ['build', DEMO, '--paper', 'letter', '--cutter', '12x12,score', '--formats', 'svg', '-o', kit, ...more], { stdio: 'ignore' });
  return join(kit, 'guide.html');
}

const FILE = guideOf('large', '--height', '5ft');
const SMALL = guideOf('small', '--height', '20in');
const address = (file) => pathToFileURL(file).href;

async function open(file = FILE, more = {}) {
  const page = await newPage(address(file), { ready: READY, ...more });
  await page.context().setOffline(true);
  return page;
}

const says = (page) => page.locator('#says').textContent();
const marks = (page) => page.locator('#picture').evaluate((picture) => [...picture.querySelectorAll('#layers path')].map((path) => path.getAttribute('class').replace('part ', '')));
const same = (a, b) => JSON.stringify(a) === JSON.stringify(b);

async function done(page) {
  check(!page.complaints.length, page.complaints.join('\n'));
  await page.context().close();
}

async function keepsNobodyOut(page, where) {
  await page.evaluate(axe);
  const { violations } = await page.evaluate(() =>
    window.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }),
  );
  check(!violations.length, `${where}: ${violations.map((one) => `${one.id}: ${one.help}: ${one.nodes.slice(0, 3).map((node) => `${node.html} ${node.failureSummary}`).join(' | ')}`).join('; ')}`);
  const wide = await page.evaluate(() => ['html', '#slip'].flatMap((what) => [document.querySelector(what).scrollWidth, document.querySelector(what).clientWidth]));
  for (let i = 0; i < wide.length; i += 2) check(wide[i] <= wide[i + 1], `${where}: ${wide[i]} px wide in ${wide[i + 1]}`);
}

async function looks(size, dark) {
  const page = await open(FILE, { size, dark });
  const where = `${size}-${dark ? 'dark' : 'light'}`;
  await keepsNobodyOut(page, where);
  await shot(page, `guide-${where}-start`);
  for (const box of await page.locator('.sheet input').all()) await box.evaluate((node) => node.click());
  for (let i = 0; i < 7; i++) await page.click('#do-it');
  await shot(page, `guide-${where}-step`);
  await page.fill('#hand', 'b1');
  await page.press('#hand', 'Enter');
  await keepsNobodyOut(page, `${where} in hand`);
  await shot(page, `guide-${where}-hand`);
  await page.click('#behind');
  await page.click('#closer');
  for (const part of await page.locator('details').all()) await part.evaluate((node) => (node.open = true));
  await keepsNobodyOut(page, `${where} from behind, all open`);
  await shot(page, `guide-${where}-behind`);
  await page.locator('#all-steps').evaluate((node) => node.scrollIntoView());
  await shot(page, `guide-${where}-steps`);
  await done(page);
}

const parts = {
  'is small': async () => {
    for (const file of [FILE, SMALL]) check(statSync(file).size <= MOST_BYTES, `${file} has ${statSync(file).size} bytes`);
  },

  'puts the whole together, step by step': async () => {
    const page = await open(SMALL);
    const seen = new Set();
    for (let i = 0; i < 400 && !(await says(page)).startsWith('Everything is in its place.'); i++) {
      const now = await says(page);
      check(/^(Cut |Join |Part |Glue |Turn |Press |Lay )/.test(now), `it says "${now}"`);
      check(!seen.has(now), `it says twice: "${now}"`);
      seen.add(now);
      await page.press('#do-it', 'Enter');
    }
    check((await says(page)).startsWith('Everything is in its place. Done when '), await says(page));
    check((await marks(page)).every((mark) => mark === 'glued'), 'every piece is glued in the end');
    check((await page.locator('.step:not(.done)').count()) === 0, 'every step is done in the end');
    const steps = await page.locator('.step h4').allTextContents();
    for (const step of steps) check(seen.has(`${step.replace(/^\d+\. /, '')}.`), `it never said "${step}"`);
    await done(page);
  },

  'keeps ticks when it is opened again, and apart from another kit': async () => {
    const page = await open();
    for (let sheet = 0; sheet < 2; sheet++) await page.click('#do-it'); // A1 may be alone on the first
    await page.fill('#hand', 'A1');
    await page.click('#i-hold');
    await page.click('#mark-spoiled');
    const before = await marks(page);
    check(before.includes('cut') && before.includes('spoiled'), 'there are ticks');
    check((await says(page)).startsWith('Cut A1 again: it lies on sheet '), await says(page));
    await page.reload();
    check(same(await marks(page), before), 'they stay');
    const [other] = await Promise.all([page.context().waitForEvent('page'), page.evaluate((place) => window.open(place), address(SMALL))]);
    await other.waitForSelector(READY);
    check((await marks(other)).every((mark) => mark === 'bare'), 'another kit has none of them');
    await done(page);
  },

  'takes back, one by one': async () => {
    const page = await open();
    const bare = await marks(page);
    await page.click('#do-it');
    const one = await marks(page);
    await page.click('#do-it');
    await page.click('#take-back');
    check(same(await marks(page), one), 'the last is taken back');
    await page.click('#take-back');
    check(same(await marks(page), bare), 'the first as well');
    check((await page.locator('#take-back').count()) === 0, 'there is nothing more to take back');
    await done(page);
  },

  'takes ticks along as text': async () => {
    const page = await open();
    await page.click('#do-it');
    await page.click('#do-it');
    const before = await marks(page);
    await page.click('#along summary');
    const text = await page.inputValue('#ticks');
    await done(page);
    const other = await open();
    check((await marks(other)).every((mark) => mark === 'bare'), 'a browser that has never seen it has no ticks');
    await other.click('#along summary');
    await other.fill('#ticks', 'cut A1');
    await other.click('#take');
    check((await other.locator('#taken').textContent()).startsWith('This text has no ticks'), 'a text that is none is refused');
    check((await marks(other)).every((mark) => mark === 'bare'), 'and changes nothing');
    await other.fill('#ticks', `${text}cut Z99\n`);
    await other.click('#take');
    check(same(await marks(other), before), 'they are there');
    check((await other.locator('#taken').textContent()).includes('1 name is not known'), 'what it does not know is told');
    await done(other);
  },

  'a piece in the hand': async () => {
    const page = await open();
    await page.fill('#hand', 'q77');
    await page.press('#hand', 'Enter');
    check((await page.locator('#no-piece').textContent()).startsWith('There is no piece Q77.'), 'an unknown piece is told');
    await page.fill('#hand', 'c1');
    await page.press('#hand', 'Enter');
    check((await says(page)).startsWith('Cut C1: it lies on sheet '), await says(page));
    await page.click('#mark-cut');
    check(/C1/.test(await says(page)) && !/^Cut/.test(await says(page)), `it is told where it goes: ${await says(page)}`);
    check((await page.locator('#held .in-hand').count()) === 1, 'it is shown in the picture');
    check((await page.locator('#more figure .in-hand').count()) === 1, 'and seen from behind');
    const place = () => page.locator('#held .in-hand').evaluate((path) => (path.getBoundingClientRect().left + path.getBoundingClientRect().right) / 2);
    const whole = await page.locator('#picture').evaluate((svg) => svg.getBoundingClientRect().left + svg.getBoundingClientRect().right);
    const front = await place();
    await page.click('#behind');
    check(Math.abs(front + (await place()) - whole) < 2, 'from behind it lies mirrored');
    await page.click('#mark-glued');
    check((await says(page)) === 'C1 is in its place.', await says(page));
    await done(page);
  },

  'a browser that keeps nothing says so': async () => {
    const page = await newPage('about:blank', { ready: 'html' });
    await page.addInitScript(() => Object.defineProperty(window, 'localStorage', { get: () => { throw new Error('no'); } }));
    await page.goto(address(SMALL));
    await page.waitForSelector('#keeps:not([hidden])');
    await page.click('#do-it');
    check((await marks(page)).includes('cut'), 'it can be ticked all the same');
    await page.context().close();
  },

  'allows no script but its own': async () => {
    const folder = join(WORK, 'changed');
    mkdirSync(folder);
    const file = join(folder, 'guide.html');
    writeFileSync(file, readFileSync(SMALL, 'utf8').replace('</main>', '<img src=x onerror="window.bad=1"><script>window.bad = 1</script></main>'));
    const page = await newPage(address(file), { ready: READY });
    check((await page.evaluate(() => window.bad)) === undefined, 'a script that was put in does not run');
    check(page.complaints.some((one) => /Content Security Policy/.test(one)), 'and the browser says why');
    await page.context().close();
  },

  'reads without scripts': async () => {
    const page = await open();
    const context = await page.context().browser().newContext({ javaScriptEnabled: false });
    const plain = await context.newPage();
    await plain.goto(address(SMALL));
    check(await plain.locator('.step').first().isVisible(), 'the steps are there');
    check(await plain.locator('noscript p').first().isVisible(), 'and why nothing can be ticked');
    await context.close();
    await done(page);
  },
};

for (const size of Object.keys(SIZES)) for (const dark of [false, true]) parts[`looks: ${size}, ${dark ? 'dark' : 'light'}`] = () => looks(size, dark);

run(parts);
