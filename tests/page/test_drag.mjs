// test_drag.mjs - a pin dragged over a job of more than 300 pieces, and the table moved: no task over 50 ms.

import { check, newPage, run, standInPage, ask } from './support.mjs';

const MOST_MS = 50;

// Long tasks as the browser itself reports them (Long Tasks API, W3C: 50 ms and more).
async function longest(page, act) {
  await page.evaluate(() => {
    window.tasks = [];
    window.watch = new PerformanceObserver((list) => list.getEntries().forEach((entry) => window.tasks.push(entry.duration)));
    window.watch.observe({ entryTypes: ['longtask'] });
  });
  await act();
  await page.waitForTimeout(300);
  return page.evaluate(() => (window.watch.disconnect(), Math.max(0, ...window.tasks)));
}

await run({
  'dragging over 300 pieces': async () => {
    const stand = await standInPage();
    stand.desk.times(3);
    const page = await newPage(stand.address, { size: 'desk' });
    await page.click('#demo');
    await page.waitForSelector('.layer');
    await ask(page, 'seams');
    await page.waitForSelector('.pin');
    const pieces = await page.evaluate(() => document.querySelectorAll('.names text').length);
    check(pieces >= 300, `${pieces} pieces, 300 wanted`);
    const pin = await page.locator('.pin').first().boundingBox();
    const [x, y] = [pin.x + pin.width / 2, pin.y + pin.height / 2];
    await page.waitForTimeout(500);
    const tries = [];
    for (let attempt = 0; attempt < 3 && (attempt === 0 || Math.min(...tries) > MOST_MS); attempt++) { // the machine may be busy with something else
      tries.push(await longest(page, async () => {
        await page.mouse.move(x, y);
        await page.mouse.down();
        for (let i = 0; i < 60; i++) await page.mouse.move(x + Math.sin(i / 9) * 120, y + i * 3);
        await page.keyboard.press('Escape');
        await page.mouse.up();
      }));
      await page.waitForTimeout(200);
    }
    console.log(`        longest task while a pin moves: ${tries.map((ms) => `${ms.toFixed(0)} ms`).join(', ')} (0 = none over 50)`);
    check(Math.min(...tries) <= MOST_MS, `a task of ${Math.min(...tries)} ms`);
    check(stand.desk.asked.some((message) => message.ask === 'change' && message.line.edit === 'move-seam'), 'the engine was asked when the pin was let go');
  },
});
