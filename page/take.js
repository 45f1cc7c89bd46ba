// take.js - the kit leaves the table: what is it opened with, is it proven, and what are the next ten minutes.

import { h } from './draw.js';
import { sentence } from './ask.js';
import { count } from './words.js';

const WAYS = [
  { with: 'svg', label: 'A cutter’s program that knows lines by their colour', note: 'the usual one; start here' },
  { with: 'svg-strokes', label: 'One that ignores colours', note: 'cut, score and pen each in a file of its own' },
  { with: 'svg-objects', label: 'One that goes piece by piece', note: 'each piece is a thing of its own' },
  { with: 'print', label: 'Nothing: I print it and cut by hand', note: 'scissors and a craft knife' },
];

export const take = {
  id: 'take',
  question: 'Take the kit',
  needs: ['sheets'],
  sight: () => 'whole',
  hint: () => '',
  short: (app) => (app.state.kit && app.state.kit.ready ? 'Proven and ready.' : null),

  docket(app) {
    const kit = app.state.kit || {};
    if (kit.ready && app.ui.readme === undefined) fetchReadMe(app);
    return [
      opened(app),
      make(app, kit),
      kit.error && h('p', { key: 'error', class: 'refusal', role: 'alert' }, sentence(kit.error.text)),
      kit.ready && !kit.busy && ready(app, kit),
    ];
  },
};

function opened(app) {
  const chosen = app.ui.with || 'svg';
  return h(
    'div',
    { key: 'opened' },
    h('p', { class: 'sentence', id: 'with-head' }, 'What do you open the sheets with?'),
    h(
      'ul',
      { class: 'tabs', 'aria-labelledby': 'with-head' },
      WAYS.map((way) =>
        h(
          'li',
          { key: way.with },
          h(
            'button',
            {
              type: 'button',
              id: `with-${way.with}`,
              class: 'tab',
              'aria-pressed': chosen === way.with ? 'true' : 'false',
              onclick: () => app.set({ with: way.with }),
            },
            h('span', { class: 'tab-label' }, way.label),
            h('span', { class: 'note' }, way.note),
          ),
        ),
      ),
    ),
  );
}

function make(app, kit) {
  const go = () => {
    app.ui.readme = undefined;
    app.act('take', { open_with: app.ui.with || 'svg' });
  };
  return h(
    'p',
    { key: 'make', class: 'row' },
    h(
      'button',
      {
        type: 'button',
        id: 'make-kit',
        class: kit.ready ? 'plain' : 'main',
        disabled: Boolean(kit.busy) || !['first', 'whole'].includes(app.state.known),
        onclick: go,
      },
      kit.busy ? 'Making and proving the kit …' : kit.ready || kit.older ? 'Make it anew' : 'Make the kit and prove it',
    ),
    kit.older && !kit.busy && h('span', { class: 'note' }, 'The last kit is older than your last decision.'),
  );
}

function fetchReadMe(app) {
  app.ui.readme = null;
  app.talk
    .text('READ-ME-FIRST.txt')
    .then((text) => app.set({ readme: text }))
    .catch(() => {});
}

function ready(app, kit) {
  const link = (name, text, more) =>
    h(
      'a',
      {
        href: app.talk.address(name),
        class: more || 'plain',
        ...(name.endsWith('.zip') ? { download: `${app.state.job.name}.zip` } : { target: '_blank', rel: 'noopener' }),
      },
      text,
    );
  return h(
    'div',
    { key: 'ready', class: 'ready' },
    h(
      'p',
      { class: 'row' },
      link('kit.zip', 'Save the kit (zip)', 'main'),
      link('guide.pdf', 'Open the guide'),
      link('key-plan.svg', 'Open the key plan'),
    ),
    rests(app, kit),
    kit.proof && [h('h3', null, 'The proof'), h('pre', { class: 'proof', tabindex: 0, 'aria-label': 'The proof' }, kit.proof)],
    app.ui.readme && h('div', { class: 'read-me' }, tenMinutes(app.ui.readme)),
  );
}

// What is left of the last sheets of each paper goes back to the shelf as offcuts.
function rests(app, kit) {
  if (!kit.rests) return null;
  const keep = async () => {
    const reply = await app.act('shelf-keep');
    if (reply && reply.papers) app.set({ shelf: reply });
  };
  return h(
    'p',
    { key: 'rests', class: 'row' },
    h('span', null, `When all is cut, ${count(kit.rests, 'large rest')} ${kit.rests === 1 ? 'is' : 'are'} left of the sheets. `),
    kit.rests_kept
      ? h('span', { class: 'note', id: 'rests-kept' }, 'On your shelf as offcuts.')
      : h('button', { type: 'button', id: 'keep-rests', class: 'plain', onclick: keep }, 'Put on the shelf'),
  );
}

// READ-ME-FIRST.txt as headings, paragraphs and steps: its headings stand in capitals, its lines end at the 78th letter.
function tenMinutes(text) {
  return text
    .split(/\n\s*\n/)
    .slice(1)
    .map((part, i) => {
      const flat = part.trim();
      if (/^[A-Z][A-Z ,'-]+$/.test(flat)) return h(i === 0 ? 'h3' : 'h4', { key: i }, flat.charAt(0) + flat.slice(1).toLowerCase());
      return unwrapped(part).map((line, k) => h('p', { key: `${i}.${k}`, class: line.kind }, line.text));
    });
}

// A line that begins a step, or is a row of a table, stands alone; others go on where the one before ended.
function unwrapped(part) {
  const lines = [];
  for (const line of part.split('\n')) {
    const text = line.trim();
    const row = /\S {2,}\S/.test(text) || /^sheets\//.test(text);
    if (/^(\d+\.|-) /.test(text)) lines.push({ kind: text.startsWith('-') ? 'substep' : 'step', text });
    else if (row || !lines.length || lines[lines.length - 1].kind === 'row' || /^Then |^Go on /.test(text))
      lines.push({ kind: row ? 'row' : 'text', text });
    else lines[lines.length - 1].text += ` ${text}`;
  }
  return lines;
}
