// test_errors.mjs - what goes wrong is told in a sentence, where it belongs, and nothing of the maker's is lost.

import { check, newPage, run, standInPage } from './support.mjs';

const PNG = { name: 'a.png', mimeType: 'image/png', buffer: Buffer.from('no picture at all') };
let stand = null;

async function fresh(refuse) {
  stand = stand || (await standInPage());
  stand.desk.reset();
  stand.desk.refuse = refuse || null;
  return newPage(stand.address);
}

async function says(page, text) {
  await page.waitForFunction(
    (wanted) => [...document.querySelectorAll('[role=alert]')].some((alert) => alert.textContent.includes(wanted)),
    text,
  );
}

await run({
  'not a picture': async () => {
    const page = await fresh({ ask: 'picture', error: { kind: 'input', text: 'a.png is no picture that can be read here' } });
    await page.setInputFiles('#choose', PNG);
    await says(page, 'A.png is no picture that can be read here.');
    check(await page.isVisible('#choose + *, #demo'), 'another picture can be chosen');
    await page.context().close();
  },
  'too large': async () => {
    const page = await fresh({ ask: 'picture', status: 413 });
    await page.setInputFiles('#choose', PNG);
    await says(page, 'larger than the program takes');
    await page.context().close();
  },
  'a no beside the word that caused it': async () => {
    const page = await fresh();
    await page.click('#demo');
    await page.click('#word-height');
    stand.desk.refuse = { ask: 'change', error: { kind: 'usage', text: 'a height of 4 is not known; say 4ft, 81cm' } };
    await page.fill('#say-height', '4');
    await page.press('#say-height', 'Enter');
    await says(page, 'A height of 4 is not known; say 4ft, 81cm.');
    check((await page.locator('.job .refusal').count()) === 1, 'it stands below the sentence');
    stand.desk.refuse = null;
    await page.click('#word-height');
    await page.fill('#say-height', '5ft');
    await page.press('#say-height', 'Enter');
    await page.waitForFunction(() => !document.querySelector('.job .refusal'));
    await page.context().close();
  },
  'paper too small: the line that caused it can be struck out there': async () => {
    const page = await fresh();
    await page.click('#demo');
    await page.click('#word-paper');
    await page.fill('#say-paper', '0.9x0.9in');
    await page.press('#say-paper', 'Enter');
    await page.waitForSelector('.lines li');
    Object.assign(stand.desk.state, {
      stale: true,
      error: {
        kind: 'job',
        text: 'paper "0.9x0.9in" is too small: half an inch of it is lost at the edges',
        line: stand.desk.state.docket[0].id,
      },
    });
    stand.desk.tell('error');
    await says(page, 'Paper "0.9x0.9in" is too small');
    check((await page.locator('.says.stale').count()) === 1, 'old figures look old');
    await page.click('.refusal button');
    await page.waitForSelector('.lines li.struck');
    await page.context().close();
  },
  'the disk is full': async () => {
    const page = await fresh();
    await page.click('#demo');
    await page.waitForSelector('#q-take');
    stand.desk.refuse = { ask: 'change', error: { kind: 'system', text: 'the job could not be kept: no space left on the disk' } };
    await page.click('#word-height');
    await page.click('#choices-height .tab');
    await says(page, 'no space left on the disk');
    await page.context().close();
  },
  'the program has ended, and is there again': async () => {
    const page = await fresh();
    await page.click('#demo');
    await page.waitForSelector('.layer');
    await page.route('**/message', (route) => route.abort());
    await page.click('#word-height');
    await page.click('#choices-height .tab');
    await says(page, 'The program has ended.');
    await says(page, 'nordersand.pmason');
    check((await page.locator('.layer').count()) > 0, 'what was known stays in sight');
    await page.unroute('**/message');
    await page.click('#word-height');
    await page.click('#choices-height .tab');
    await page.waitForFunction(() => !document.querySelector('.gone'));
    await page.context().close();
  },
  'what comes while somebody types takes nothing away': async () => {
    const page = await fresh();
    await page.click('#demo');
    await page.waitForSelector('.layer');
    await page.click('#word-height');
    await page.fill('#say-height', '4ft 6');
    for (let i = 0; i < 5; i++) stand.desk.tell('answer', { answer: 'whole' });
    await page.waitForTimeout(300);
    check((await page.inputValue('#say-height')) === '4ft 6', 'the half-typed word is still there');
    check((await page.evaluate(() => document.activeElement.id)) === 'say-height', 'and has the keyboard');
    await page.keyboard.press('Escape');
    await page.click('#word-cutter');
    await page.fill('#choices-cutter input[name=wide]', '15');
    await page.uncheck('#choices-cutter input[name=score]');
    await page.focus('#choices-cutter input[name=loss]');
    for (let i = 0; i < 5; i++) stand.desk.tell('answer', { answer: 'whole' });
    await page.waitForTimeout(300);
    check((await page.inputValue('#choices-cutter input[name=wide]')) === '15', 'a field that was filled in stays filled in');
    check(!(await page.isChecked('#choices-cutter input[name=score]')), 'and what was unticked stays so');
    await page.context().close();
  },
});
