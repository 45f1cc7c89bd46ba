// readme_picture.mjs FILE.png - the worktable with the demo on it, for the README.

import { newPage, openProgram, run } from './support.mjs';

await run({
  'the worktable': async () => {
    const { address } = await openProgram();
    const page = await newPage(address, { size: 'desk', width: 1280, height: 760 });
    await page.click('#demo');
    await page.waitForSelector('#word-height');
    await page.click('#word-height');
    await page.click('#choices-height .tab:has-text("4 ft")');
    await page.waitForFunction(
      () => document.querySelector('#bill .says:not(.stale)') && !document.querySelector('.work .bar') && document.querySelector('.pile'),
      null,
      { timeout: 90000 },
    );
    await page.evaluate(() => document.activeElement.blur());
    await page.mouse.move(5, 5);
    await page.waitForTimeout(500);
    await page.screenshot({ path: process.argv[2] });
  },
});
