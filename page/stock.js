// stock.js - cutters and papers in the maker's terms, and the engine's words for them (as on the command line).

import { h } from './draw.js';

export const CUTTERS = [
  { words: '12x12,score', label: 'A 12 × 12 in mat', note: 'blade and score tool' },
  { words: '12x24,score', label: 'A 12 × 24 in mat', note: 'blade and score tool' },
  { words: '12x12,pen', label: 'A 12 × 12 in mat with a pen', note: 'blade and pen' },
  { words: 'a3,score', label: 'A mat of A3 size', note: 'blade and score tool' },
  { words: 'roll 24in,pen', label: 'A cutter that takes a roll', note: '24 in wide, blade and pen' },
];

export const PAPERS = [
  { words: 'letter', label: 'Letter', note: '8.5 × 11 in' },
  { words: 'a4', label: 'A4', note: '21 × 29.7 cm' },
  { words: '12x12', label: '12 × 12 in', note: 'as in scrapbook packs' },
  { words: 'tabloid', label: 'Tabloid', note: '11 × 17 in' },
  { words: '12x24', label: '12 × 24 in', note: 'long sheets' },
  { words: 'a3', label: 'A3', note: '29.7 × 42 cm' },
];

/** "a 12 × 12 in mat, with blade and score tool". */
export function cutterText(words) {
  if (!words) return 'any cutter that takes it';
  const known = CUTTERS.find((cutter) => cutter.words === words);
  if (known) return `${known.label.charAt(0).toLowerCase()}${known.label.slice(1)}${/pen$/.test(known.label) ? '' : ` (${known.note})`}`;
  const [mat, ...rest] = words.split(',').map((part) => part.trim());
  const name = mat.startsWith('roll') ? `a cutter that takes a ${mat}` : `a mat of ${mat.replace('x', ' × ')}`;
  const tools = rest.filter((part) => part === 'score' || part === 'pen');
  return `${name}${tools.length ? ` with ${tools.join(' and ')}` : ', the blade alone'}`;
}

/** "letter paper, 250gsm". */
export function paperText(words) {
  const [size, ...rest] = words.split(',').map((part) => part.trim());
  const known = PAPERS.find((paper) => paper.words === size);
  const name = known
    ? /^[\d]/.test(known.label)
      ? `${known.label} paper`
      : `${known.label === 'A4' || known.label === 'A3' ? known.label : known.label.toLowerCase()} paper`
    : `${size.replace('x', ' × ')} paper`;
  return [name, ...rest].join(', ');
}

/** A cutter in its owner's terms: how wide, how long, which tools, what is lost. */
export function cutterForm(app, put) {
  const field = (id, label, value, width) =>
    h(
      'label',
      { class: 'field' },
      label,
      h('input', { name: id, type: 'text', value, size: width, autocomplete: 'off', placeholder: id === 'loss' ? '1/4in' : null }),
    );
  return h(
    'form',
    {
      class: 'say own',
      onsubmit: (event) => {
        event.preventDefault();
        const { wide, long, unit, score, pen, loss } = event.target.elements;
        const mat = long.value.trim() ? `${wide.value.trim()}x${long.value.trim()}${unit.value}` : `roll ${wide.value.trim()}${unit.value}`;
        put(
          [mat, score.checked && 'score', pen.checked && 'pen', loss.value.trim() && `loss ${loss.value.trim()}`].filter(Boolean).join(','),
        );
      },
    },
    h('p', { class: 'choices-title' }, 'Or measure yours'),
    h(
      'p',
      { class: 'fields' },
      field('wide', 'How wide does it take paper?', '12', 5),
      field('long', 'How long is the mat? (empty: no mat)', '12', 5),
      h(
        'label',
        { class: 'field' },
        'in',
        h('select', { name: 'unit' }, h('option', { value: 'in' }, 'inches'), h('option', { value: 'cm' }, 'centimetres')),
      ),
    ),
    h(
      'p',
      { class: 'fields' },
      h('label', { class: 'tick' }, h('input', { type: 'checkbox', name: 'score', checked: true }), 'It has a score tool'),
      h('label', { class: 'tick' }, h('input', { type: 'checkbox', name: 'pen' }), 'It holds a pen'),
      field('loss', 'Lost at each edge', '', 6),
    ),
    h('button', { type: 'submit', class: 'plain' }, 'That is my cutter'),
  );
}

/** Asks once what is on the maker's shelf. */
export function fetchShelf(app) {
  app.ui.shelf = { papers: [], cutters: [] };
  app.talk
    .ask('shelf')
    .then((reply) => app.set({ shelf: reply }))
    .catch(() => {}); // without a shelf the usual papers are there
}

/** What is on the shelf as choices, each kind once. */
export function shelfPapers(app) {
  return choicesOf((app.ui.shelf || {}).papers, PAPERS, paperText);
}

/** The same of cutters. */
export function shelfCutters(app) {
  return choicesOf((app.ui.shelf || {}).cutters, CUTTERS, cutterText);
}

function choicesOf(list, usual, text) {
  const seen = new Set(usual.map((one) => one.words));
  return (list || [])
    .filter((one) => !seen.has(one.words) && seen.add(one.words))
    .map((one) => ({ words: one.words, label: one.name || text(one.words), note: 'on your shelf' }));
}
