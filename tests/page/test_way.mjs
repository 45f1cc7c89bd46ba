// test_way.mjs - the whole way, with the program itself: a picture is laid on the table, things are decided and undone,
// the kit is taken and proved by the program. With the demo, with two other pictures, and once by keyboard alone.

import { execFileSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { DEMO, PROGRAM, SHARED, WORK, ask, check, newPage, openProgram, run, shot } from './support.mjs';

const SLOW = { timeout: 90000 };

const settled = (page) =>
  page.waitForFunction(
    () => document.querySelector('#bill .says:not(.stale)') && !document.querySelector('.work .bar') && document.querySelector('.pile'),
    null,
    SLOW,
  );
const says = (page) => page.textContent('.says');
const lines = (page) => page.locator('.lines li .line-says').allTextContents();

async function changed(page, act) {
  const before = await page.locator('.decided .lines li').count();
  await act();
  await page.waitForFunction((count) => document.querySelectorAll('.decided .lines li').length > count, before, SLOW);
  await settled(page);
}

// The zip behind a link, taken apart and proved by the program.
async function proveZip(page, link, name) {
  const [download] = await Promise.all([page.waitForEvent('download'), page.click(link)]);
  const zip = join(WORK, `${name}.zip`);
  await download.saveAs(zip);
  const folder = join(WORK, `${name}-kit`);
  execFileSync('python3', ['-m', 'zipfile', '-e', zip, folder]);
  const kit = existsSync(join(folder, 'kit.json')) ? folder : join(folder, execFileSync('ls', [folder]).toString().trim().split('\n')[0]);
  const proof = execFileSync(PROGRAM, ['prove', kit]).toString();
  check(/holds what it promises/.test(proof), 'the program proves what came out of the zip');
  return proof;
}

async function takeKit(page, name) {
  await ask(page, 'take');
  await page.click('#make-kit');
  await page.waitForSelector('.ready .proof', SLOW);
  check(/holds what it promises/.test(await page.textContent('.proof')), 'the proof says that the kit holds what it promises');
  await page.waitForSelector('.ready .read-me', SLOW); // a file of its own: it comes a moment after the proof
  check(/ten minutes/i.test(await page.textContent('.read-me')), 'the next ten minutes are told');
  await proveZip(page, '.ready a.main', name);
}

// What the kit leaves of its sheets lies on the shelf, and the next change of mind cuts from it.
async function useRests(page) {
  check(/rests? (is|are) left/.test(await page.textContent('.ready')), 'what is left of the sheets is told');
  await page.click('#keep-rests');
  await page.waitForSelector('#rests-kept');
  await ask(page, 'paper');
  await changed(page, () => page.click('button:has-text("Use it up") >> nth=0'));
  check(/^1 offcut of /.test(await page.textContent('.decided .lines .line-says')), 'the offcut is in the docket');
}

// What is spoiled comes once more, as a folder of its own.
async function cutAgain(page, name) {
  await page.click('#mark-spoiled');
  await page.waitForSelector('#mark-spoiled[aria-pressed=true]', SLOW);
  await settled(page);
  await page.click('#cut-again');
  await page.waitForSelector('a[download$="-recut.zip"]', SLOW);
  check(/^Recut +1 of/m.test(await proveZip(page, 'a[download$="-recut.zip"]', `${name}-recut`)), 'one piece is cut again');
}

async function wayOf(picture, name) {
  const { address, child } = await openProgram();
  const page = await newPage(address);
  await page.setInputFiles('#choose', picture);
  await page.waitForSelector('.strip', SLOW);
  check((await page.textContent('.verdict')).length > 20, 'the verdict is a sentence');
  check((await page.locator('.word.unsaid').count()) === 3, 'height, cutter and paper are asked first');
  await settled(page);
  await changed(page, async () => {
    await page.click('#word-height');
    await page.fill('#say-height', '3 ft');
    await page.press('#say-height', 'Enter');
  });
  await changed(page, async () => {
    await page.click('#word-cutter');
    await page.click('#choices-cutter .tab >> nth=0');
  });
  check((await page.locator('.word.unsaid').count()) === 1, 'what was said is no guess any more');
  await shot(page, `way-${name}`);
  await takeKit(page, name);
  if (name === 'fox') await useRests(page);
  check(!page.complaints.length, page.complaints.join('; '));
  await page.context().close();
  child.kill('SIGTERM');
}

await run({
  'the demo, every question': async () => {
    const { address } = await openProgram();
    const page = await newPage(address);
    await page.click('#demo');
    await settled(page);
    const first = await says(page);
    // colours: one is the same as another, and it is undone by striking the line out
    await ask(page, 'colours');
    await changed(page, async () => {
      await page.locator('.colour .word').last().click();
      await page.click('.choices .tab:has-text("The same as") >> nth=0');
    });
    check((await says(page)) !== first, 'the bill is another one');
    await page.locator('.decided .lines button').first().click();
    await page.waitForSelector('.lines li.struck');
    await settled(page);
    check((await says(page)) === first, 'a line that is struck out counts as not there');
    // a hole becomes paper by one press in the list of areas
    const at = await page.evaluate(() =>
      [...document.querySelectorAll('[data-region]')].findIndex((area) => area.classList.contains('wall')),
    );
    check(at >= 0, 'the demo has holes that show the wall');
    await changed(page, async () => {
      await page.evaluate((number) => {
        const area = document.querySelector(`[data-region="${number}"]`);
        const box = area.getBoundingClientRect();
        const probe = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
        window.hole = [box.x + box.width / 2, box.y + box.height / 2, probe === area];
      }, at);
      const [x, y, hits] = await page.evaluate(() => window.hole);
      if (hits) await page.mouse.click(x, y);
      else
        await page.evaluate(() => {
          const next = document.getElementById('area-next');
          for (let i = 0; i < 400 && !/wall shows here/.test(document.querySelector('.areas').textContent); i++) next.click();
        });
      if (!hits) await page.waitForTimeout(100);
      if (!hits) await page.click('#area-flip');
    });
    // order and border
    await ask(page, 'order');
    await changed(page, async () => {
      await page.click('#word-border');
      await page.click('#choices-border .tab >> nth=1');
    });
    check((await page.locator('#word-border').textContent()) === 'a border of 6 mm', 'the border is in the sentence');
    // seams: one is pinned, then its pin is pulled
    await ask(page, 'seams');
    await page.waitForSelector('.seam', { ...SLOW, state: 'attached' });
    await page.click('#seam-next');
    await changed(page, () => page.click('#seam-pin'));
    await page.waitForSelector('.pin.pinned', { ...SLOW, state: 'attached' });
    // sheets: a thread from a piece to its place
    await ask(page, 'sheets');
    await page.click('#pile-0');
    await page.click('.sheet-list button');
    await page.waitForSelector('.thread .here', { state: 'attached' });
    // another piece is laid elsewhere: where it would lie is dotted on the sheets
    const buttons = page.locator('.sheet-list button');
    for (let i = 0; i < (await buttons.count()); i++) {
      if ((await buttons.nth(i).getAttribute('aria-pressed')) !== 'true') await buttons.nth(i).click();
      await page.waitForFunction(() => !/being looked for/.test(document.querySelector('#a-sheets').textContent), null, SLOW);
      if (await page.locator('#elsewhere-0').count()) break;
    }
    check((await page.locator('path.elsewhere').count()) === (await page.locator('[id^=elsewhere-]').count()), 'each place is dotted');
    await changed(page, () => page.locator('[id^=elsewhere-]').last().click());
    check(/on its sheet/.test(await page.locator('.lines .line-says').first().textContent()), 'the docket says where it lies now');
    await takeKit(page, 'demo');
    // together: what is cut is ticked
    await ask(page, 'together');
    await page.click('#what-next');
    await page.waitForSelector('.next');
    await page.click('#mark-cut');
    await page.waitForSelector('#mark-cut[aria-pressed=true]', SLOW);
    await cutAgain(page, 'demo');
    check((await lines(page)).length >= 4, 'all of it stands in the docket');
    check(!page.complaints.length, page.complaints.join('; '));
    await page.context().close();
  },
  'a fox': () => wayOf(join(SHARED, 'data/pictures/fox/fox-2048-white.png'), 'fox'),
  'a castle': () => wayOf(join(SHARED, 'data/pictures/castle/castle-2048-alpha.png'), 'castle'),
  'by keyboard alone': async () => {
    const { address } = await openProgram();
    const page = await newPage(address);
    const tabTo = async (selector) => {
      for (let i = 0; i < 250; i++) {
        if (await page.evaluate((wanted) => document.activeElement.matches(wanted), selector)) return;
        await page.keyboard.press('Tab');
      }
      throw new Error(`the Tab key never comes to ${selector}`);
    };
    const press = async (selector, key = 'Enter') => {
      await tabTo(selector);
      await page.keyboard.press(key);
    };
    await press('#demo');
    await settled(page);
    await changed(page, async () => {
      await press('#word-height');
      await tabTo('#say-height');
      await page.keyboard.type('3ft');
      await page.keyboard.press('Enter');
    });
    check((await page.evaluate(() => document.activeElement.id)) === 'word-height', 'the keyboard goes back to the word');
    if ((await page.getAttribute('#q-seams', 'aria-expanded')) !== 'true') await press('#q-seams', ' ');
    await page.waitForSelector('.seam', { ...SLOW, state: 'attached' });
    await press('#seam-next');
    await page.waitForSelector('.pin.chosen');
    // a pin slides by arrow keys and is set by Enter
    await changed(page, async () => {
      await tabTo('.pin');
      for (let i = 0; i < 4; i++) await page.keyboard.press('ArrowRight');
      await page.waitForSelector('.laying', { state: 'attached' });
      await page.keyboard.press('Enter');
    });
    // a place is kept clear: arrows move the ring
    await changed(page, async () => {
      await press('#clear-add');
      await page.waitForSelector('.ring-draft');
      await page.keyboard.press('ArrowUp');
      await page.keyboard.press('-');
      await page.keyboard.press('Enter');
    });
    // the last decision is struck out
    await press('.decided .lines button');
    await page.waitForSelector('.lines li.struck');
    await settled(page);
    await press('#q-take');
    await press('#make-kit');
    await page.waitForSelector('.ready .proof', SLOW);
    await tabTo('.ready a.main');
    check(!page.complaints.length, page.complaints.join('; '));
    await page.context().close();
  },
  'a job goes on where it was': async () => {
    const { address, child, home } = await openProgram();
    let page = await newPage(address);
    await page.setInputFiles('#choose', DEMO);
    await page.waitForSelector('.strip', SLOW);
    await page.click('#word-height');
    await page.click('#choices-height .tab >> nth=2');
    await page.waitForSelector('.decided .lines li');
    const before = await lines(page);
    child.kill('SIGKILL');
    await page.waitForSelector('.gone', SLOW);
    check(/The program has ended/.test(await page.textContent('.gone')), 'the page says that the program has ended');
    await page.context().close();
    const again = await openProgram([], home);
    page = await newPage(again.address);
    await page.click('.jobs .tab');
    await page.waitForSelector('.decided .lines li', SLOW);
    check((await lines(page)).join() === before.join(), 'the decision of before is there');
    await page.context().close();
  },
});
