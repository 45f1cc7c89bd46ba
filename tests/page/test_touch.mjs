// test_touch.mjs - the table under fingers: two bring it nearer, one moves it, a tap presses; a hole is flipped by one tap,
// an area is kept clear by two; on a phone, with the program itself.

import { DEMO, ask, check, newPage, openProgram, run, shot } from './support.mjs';

const SLOW = { timeout: 90000 };
const settled = (page) =>
  page.waitForFunction(
    () => document.querySelector('#bill .says:not(.stale)') && !document.querySelector('.work .bar') && document.querySelector('.pile'),
    null,
    SLOW,
  );
const box = (page) => page.evaluate(() => document.getElementById('floor').getAttribute('viewBox').split(' ').map(Number));
const lines = (page) => page.locator('.decided .lines li').count();

/** Fingers down, along their ways in steps, and up again. */
async function fingers(page, ways, steps = 8) {
  const session = await page.context().newCDPSession(page);
  const at = (t) => ways.map(([from, to], id) => ({ x: from[0] + (to[0] - from[0]) * t, y: from[1] + (to[1] - from[1]) * t, id }));
  await session.send('Input.dispatchTouchEvent', { type: 'touchStart', touchPoints: at(0) });
  for (let i = 1; i <= steps; i++) await session.send('Input.dispatchTouchEvent', { type: 'touchMove', touchPoints: at(i / steps) });
  await session.send('Input.dispatchTouchEvent', { type: 'touchEnd', touchPoints: [] });
  await session.detach();
  await page.waitForTimeout(150);
}

/** A place on the screen where this part of the drawing is topmost, as soon as there is one; null when none comes. */
const placeOf = (page, selector) =>
  page
    .waitForFunction(
      (wanted) => {
        for (const part of document.querySelectorAll(wanted)) {
          const r = part.getBoundingClientRect();
          for (let i = 1; i < 12; i++)
            for (let k = 1; k < 12; k++) {
              const [x, y] = [r.x + (r.width * i) / 12, r.y + (r.height * k) / 12];
              const there = document.elementFromPoint(x, y);
              const seam = part.closest('.seam'); // in the middle of a level seam its own line lies over what can be touched
              if (there === part || (seam && seam.contains(there))) return [x, y];
            }
        }
        return null;
      },
      selector,
      { timeout: 20000 },
    )
    .then((place) => place.jsonValue())
    .catch(() => null);

await run({
  'two fingers, one finger, a tap': async () => {
    const { address } = await openProgram();
    const page = await newPage(address, { size: 'phone' });
    await page.setInputFiles('#choose', DEMO);
    await page.waitForSelector('.strip', SLOW);
    await settled(page);
    await ask(page, 'seams');
    const before = await box(page);
    await fingers(page, [[[170, 130], [120, 130]], [[220, 130], [270, 130]]]);
    const nearer = await box(page);
    check(nearer[2] < before[2] * 0.5 && nearer[2] > before[2] * 0.2, `two fingers three times as far apart: ${before[2]} mm became ${nearer[2]} mm`);
    await fingers(page, [[[200, 150], [120, 130]]]);
    const moved = await box(page);
    const mm = nearer[2] / 390;
    check(Math.abs(moved[0] - nearer[0] - 80 * mm) < 12 * mm && Math.abs(moved[2] - nearer[2]) < 1e-6, 'one finger moves the table with it');
    check((await page.evaluate(() => scrollY)) >= 0 && (await page.locator('.seam.chosen').count()) === 0, 'moving presses nothing');
    await fingers(page, [[[120, 130], [170, 130]], [[270, 130], [220, 130]]]);
    // a tap on a seam chooses it: with the whole piece in sight, for the part that was near may have none
    await page.click('button:has-text("The piece")');
    await page.waitForTimeout(400);
    const seam = await placeOf(page, '.seam .reach');
    check(seam, 'a seam can be touched');
    await page.touchscreen.tap(...seam);
    await page.waitForSelector('.seam.chosen', { ...SLOW, state: 'attached' });
    await shot(page, 'touch-seam');
    check(!page.complaints.length, page.complaints.join('; '));
    await page.context().close();
  },
  'a pin under a finger': async () => {
    const { address } = await openProgram();
    const page = await newPage(address, { size: 'tablet' });
    await page.setInputFiles('#choose', DEMO);
    await page.waitForSelector('.strip', SLOW);
    await settled(page);
    await ask(page, 'seams');
    await page.click('#seam-next');
    await page.waitForSelector('#pin-0', { state: 'attached' });
    const count = await lines(page);
    const at = await page.evaluate(() => {
      const r = document.querySelector('#pin-0 .pin-head').getBoundingClientRect();
      return [r.x + r.width / 2, r.y + r.height / 2];
    });
    const still = await box(page);
    await fingers(page, [[at, [at[0] + 22, at[1] + 4]]]);
    check((await box(page)).join() === still.join(), 'a finger on a pin leaves the table where it is');
    await page.waitForFunction((before) => document.querySelectorAll('.decided .lines li').length > before, count, SLOW);
    await page.context().close();
  },
  'one tap flips a hole, two keep an area clear': async () => {
    const { address } = await openProgram();
    const page = await newPage(address, { size: 'tablet' });
    await page.setInputFiles('#choose', DEMO);
    await page.waitForSelector('.strip', SLOW);
    await settled(page);
    await ask(page, 'colours');
    await page.click('#look-piece');
    await page.waitForTimeout(150);
    const hole = await placeOf(page, '.area.wall');
    check(hole, 'the demo has holes that show the wall');
    await page.touchscreen.tap(...hole);
    await page.waitForFunction(() => document.querySelectorAll('.decided .lines li').length === 1, null, SLOW);
    check(/paper at/i.test(await page.textContent('.lines .line-says')), 'the hole is paper now');
    await settled(page);
    await ask(page, 'seams');
    await page.click('#clear-region');
    const area = await placeOf(page, '[data-clear]');
    check(area, 'an area can be touched');
    await page.touchscreen.tap(...area);
    await page.waitForSelector('.area.chosen', { state: 'attached' });
    check((await lines(page)) === 1, 'the first tap shows which area it is');
    await page.touchscreen.tap(...area);
    await page.waitForFunction(() => document.querySelectorAll('.decided .lines li').length === 2, null, SLOW);
    await settled(page);
    await page.waitForSelector('.clear-place', { state: 'attached' });
    check(!page.complaints.length, page.complaints.join('; '));
    await page.context().close();
  },
});
