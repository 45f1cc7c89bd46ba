// bill.js - the foot of the slip, below the docket: what it comes to, in the engine's own words. Each part leads to its place.

import { h } from './draw.js';
import { pressable, sentence } from './ask.js';
import { showPlace } from './findings.js';
import { count, isMetric, seamLength } from './words.js';

/** The bill; nothing before there is a job. */
export function bill(app) {
  const { state } = app;
  if (!state || !state.job) return null;
  const { bill: sum, work } = state;
  const busy = work && work.busy;
  const folded = app.ui.folded === undefined ? matchMedia('(max-width: 56rem), (max-height: 52rem)').matches : app.ui.folded;
  const more = sum && (sum.worry || (sum.offers && sum.offers.length));
  return [
    h(
      'h2',
      { key: 'head' },
      more
        ? h(
            'button',
            { type: 'button', id: 'bill-fold', 'aria-expanded': folded ? 'false' : 'true', onclick: () => app.set({ folded: !folded }) },
            folded ? `What it comes to; ${hidden(sum).join(', ')}` : 'What it comes to',
          )
        : 'What it comes to',
    ),
    busy
      ? h(
          'p',
          { key: 'work', class: 'work' },
          h('span', { class: 'bar', 'aria-hidden': 'true', style: { '--share': String(work.share || 0) } }),
          doing(work),
        )
      : null,
    sum
      ? h(
          'p',
          { key: 'says', class: state.stale ? 'says stale' : 'says' },
          clauses(sum.says).map((clause, i) => [
            i > 0 && ', ',
            pressable(
              { key: i, id: `bill-${i}`, class: 'number', onclick: () => app.open(clause.place), title: clause.title },
              clause.text,
            ),
          ]),
          '.',
        )
      : h('p', { key: 'says', class: 'says stale' }, 'Nothing is known yet.'),
    state.stale && sum && h('p', { key: 'old', class: 'note' }, 'Still the figures of before.'),
    !folded && !state.stale && app.kept && sum && !lastIsCut(state) && h('p', { key: 'change', class: 'note' }, difference(app, app.kept, sum)),
    !folded &&
      sum &&
      sum.worry &&
      h(
        'p',
        { key: 'worry', class: 'worry' },
        'Biggest worry: ',
        pressable(
          { id: 'bill-worry', class: 'number', onclick: () => showWorry(app, sum.worry) },
          sentence(sum.worry.text).replace(/\.$/, ''),
        ),
        '.',
      ),
    !folded &&
      sum &&
      sum.offers &&
      sum.offers.length > 0 &&
      h(
        'ul',
        { key: 'offers', class: 'offers' },
        sum.offers.map((offer, i) =>
          h(
            'li',
            { key: i },
            sentence(offer.says),
            ' ',
            h('button', { type: 'button', class: 'plain', onclick: () => app.decide(offer.line, 'bill') }, 'Do that'),
          ),
        ),
      ),
  ];
}

// What is below the fold.
function hidden(sum) {
  const offers = (sum.offers || []).length;
  return [sum.worry && 'a worry', offers && count(offers, 'offer')].filter(Boolean);
}

const STAGES = {
  picture: 'looking at the picture',
  separation: 'finding the colours',
  colours: 'finding the colours',
  outline: 'drawing the outlines',
  outlines: 'drawing the outlines',
  stack: 'laying layers over one another',
  layers: 'laying layers over one another',
  seam: 'finding where to divide',
  seams: 'finding where to divide',
  mark: 'placing lines and letters',
  marks: 'placing lines and letters',
  nest: 'laying pieces on sheets',
  sheets: 'laying pieces on sheets',
  kit: 'writing the kit',
  files: 'writing the kit',
  proof: 'proving the kit',
};

function doing(work) {
  return `${sentence(STAGES[work.stage] || work.stage || 'working').replace(/\.$/, '')} …`;
}

function clauses(says) {
  return (says || '')
    .replace(/\.$/, '')
    .split(/,\s+|;\s+/)
    .filter(Boolean)
    .map((text) => ({ text, ...leadsTo(text) }));
}

function leadsTo(text) {
  if (/sheet/.test(text)) return { place: 'sheets', title: 'shows how they lie on the sheets' };
  if (/piece|seam/.test(text)) return { place: 'seams', title: 'shows where it is divided' };
  if (/cutting|putting/.test(text)) return { place: 'together', title: 'shows how it goes together' };
  return { place: 'paper', title: 'shows the paper' };
}

function lastIsCut(state) {
  const last = state.docket[state.docket.length - 1];
  return Boolean(last && last.line && last.line.edit === 'frozen');
}

function difference(app, before, now) {
  const metric = isMetric(app.state.settings);
  const parts = [];
  const tell = (a, b, one, many) =>
    a !== b && parts.push(`${Math.abs(b - a)} ${b > a ? 'more' : 'fewer'} ${Math.abs(b - a) === 1 ? one : many}`);
  tell(before.sheets, now.sheets, 'sheet', 'sheets');
  tell(before.pieces, now.pieces, 'piece', 'pieces');
  const seen = (now.visible_seam_mm || 0) - (before.visible_seam_mm || 0);
  if (Math.abs(seen) >= 10) parts.push(`${seamLength(Math.abs(seen), metric)} of seam ${seen > 0 ? 'more' : 'less'} in sight`);
  return parts.length ? `The last change made it ${parts.join(', ')}.` : 'The last change left the figures as they were.';
}

// A wish that could not be kept stands among the decisions, everything else is a place in the picture.
function showWorry(app, worry) {
  if (/wish/.test(worry.text)) return document.getElementById('decided-head').scrollIntoView({ block: 'start' });
  app.open('colours', { colour: null });
  return worry.at_mm && setTimeout(() => showPlace(app, worry.at_mm), 60); // after the question has looked at its own place
}
