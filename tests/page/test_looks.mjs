// test_looks.mjs - every view at three sizes, in light and dark: nothing that keeps anybody out (axe), nothing wider than
// the screen, all of it small; pictures of each view for people to look at.

import { readFileSync, statSync } from 'node:fs';
import { AXE, PAGE, QUESTIONS, SIZES, ask, check, newPage, pageFiles, run, shot, standInPage } from './support.mjs';

const MOST_BYTES = 300 * 1024;
const axe = readFileSync(AXE, 'utf8');

async function fits(page, where) {
  const wide = await page.evaluate(() => [
    document.documentElement.scrollWidth,
    document.documentElement.clientWidth,
    ...['docket', 'bill'].map((id) => document.getElementById(id)).flatMap((part) => [part.scrollWidth, part.clientWidth]),
  ]);
  for (let i = 0; i < wide.length; i += 2) check(wide[i] <= wide[i + 1], `${where}: ${wide[i]} px wide in ${wide[i + 1]}`);
}

async function keepsNobodyOut(page, where) {
  await page.evaluate(axe);
  const { violations } = await page.evaluate(() =>
    window.axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] }),
  );
  check(
    !violations.length,
    `${where}: ${violations
      .map(
        (one) =>
          `${one.id}: ${one.help}: ${one.nodes
            .slice(0, 3)
            .map((node) => `${node.html} ${node.failureSummary}`)
            .join(' | ')}`,
      )
      .join('; ')}`,
  );
}

async function views(stand, size, dark, zoom) {
  stand.desk.reset();
  const page = await newPage(stand.address, { size, dark, zoom });
  const name = `${size}${dark ? '-dark' : ''}${zoom > 1 ? '-zoomed' : ''}`;
  const look = async (view) => {
    await fits(page, `${name} ${view}`);
    await keepsNobodyOut(page, `${name} ${view}`);
    await shot(page, `${name}-${view}`);
  };
  await look('start');
  await page.click('#demo');
  await page.waitForSelector('.layer');
  await page.waitForTimeout(200);
  await look('job');
  await page.click('#word-cutter');
  await look('cutter');
  await page.keyboard.press('Escape');
  for (const question of QUESTIONS) {
    await ask(page, question);
    if (question === 'colours') await page.click('.sample >> nth=2');
    if (question === 'seams') await page.click('#seam-next');
    if (question === 'sheets') await page.click('#pile-0');
    if (question === 'sheets') await page.click('.sheet-list button');
    if (question === 'take') await page.click('#make-kit');
    if (question === 'take') await page.waitForSelector('.proof');
    if (question === 'together') await page.click('#what-next');
    if (question === 'together') await page.waitForSelector('.next');
    await page.waitForTimeout(150);
    await look(question);
  }
  check(!page.complaints.length, `${name}: ${page.complaints.join('; ')}`);
  await page.context().close();
}

const parts = {
  'the page is small': async () => {
    const bytes = pageFiles().reduce((sum, file) => sum + statSync(file).size, 0);
    console.log(`        ${Math.round(bytes / 1024)} KB in ${pageFiles().length} files`);
    check(bytes <= MOST_BYTES, `the page has ${bytes} bytes`);
    for (const file of pageFiles())
      check(!/https?:\/\/(?!www\.w3\.org\/2000\/svg)/.test(readFileSync(file, 'utf8')), `${file} names another address than its own`);
    check(PAGE.length > 0, 'there is a page');
  },
};
let stand = null;
const begin = async () => (stand = stand || (await standInPage()));
for (const size of Object.keys(SIZES)) {
  parts[`every view, ${size}`] = async () => views(await begin(), size, false, 1);
}
for (const size of Object.keys(SIZES)) parts[`every view, ${size}, dark`] = async () => views(await begin(), size, true, 1);
parts['every view, zoomed to 200 %'] = async () => views(await begin(), 'tablet', false, 2);
await run(parts);
