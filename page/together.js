// together.js - putting it together: the picture is the progress. What next, what is this in my hand, where does it go.

import { h } from './draw.js';
import { sentence, waiting } from './ask.js';
import { roomFor } from './seams.js';
import { count } from './words.js';

const MARKS = [
  ['cut', 'Cut'],
  ['taped', 'Taped'],
  ['glued', 'Glued'],
  ['spoiled', 'Spoiled, cut it again'],
];
const DONE = { cut: 'cut', taped: 'taped', glued: 'glued', spoiled: 'spoiled' };

export const together = {
  id: 'together',
  question: 'Put together',
  needs: ['pieces', 'seams'],
  sight: () => 'bare',
  hint: () => 'Press a piece to say that you hold it.',
  short: (app) => {
    const done = Object.values(app.state.ticks || {}).filter((mark) => mark === 'glued').length;
    return done ? `${count(done, 'piece')} glued.` : null;
  },

  docket(app) {
    const pieces = (app.views.pieces && app.views.pieces.pieces) || [];
    if (!pieces.length) return waiting(app, 'The pieces are not known yet …');
    return [
      progress(app, pieces),
      ask(app, pieces),
      answer(app),
      marks(app),
      again(app),
      h(
        'p',
        { key: 'behind', class: 'row' },
        h(
          'button',
          {
            type: 'button',
            id: 'together-behind',
            class: 'plain',
            'aria-pressed': app.ui.behind ? 'true' : 'false',
            onclick: () => app.set({ behind: !app.ui.behind }),
          },
          app.ui.behind ? 'Look from the front' : 'Look from behind',
        ),
      ),
      list(app, pieces),
    ];
  },

  scene(app) {
    const pieces = (app.views.pieces && app.views.pieces.pieces) || [];
    const colours = new Map((app.state.layers || []).map((layer) => [layer.id, layer.colour]));
    const ticks = app.state.ticks || {};
    const held = app.ui.piece;
    const order = app.ui.behind ? [...pieces].reverse() : pieces;
    const named = pieces.find((piece) => piece.id === held);
    const table = (app.ui.next && app.ui.next.table) || [];
    return {
      noStrips: true,
      noDimensions: true,
      instead: order.map((piece) => {
        const mark = DONE[ticks[piece.id]] || 'bare';
        return h(
          'path',
          { key: piece.id, class: `part ${mark}`, d: piece.outline, style: { '--part': colours.get(piece.layer) }, 'data-piece': piece.id },
          h('title', null, `${piece.id}, ${mark === 'bare' ? 'to cut' : mark}`),
        );
      }),
      on: [
        taped(app, ticks),
        h(
          'g',
          { key: 'laid-out' },
          pieces
            .filter((piece) => table.includes(piece.id) && piece.id !== held)
            .map((piece) => [
              h('path', { key: piece.id, class: 'outlined laid-out', d: piece.outline }),
              h(
                'text',
                {
                  key: `n${piece.id}`,
                  class: 'name fitted',
                  style: { '--most': String(roomFor(piece)) },
                  transform: `translate(${piece.at_mm[0]} ${piece.at_mm[1]}) scale(${app.ui.behind ? -1 : 1} 1)`,
                },
                piece.id,
              ),
            ]),
        ),
        named &&
          h(
            'g',
            { key: 'held' },
            h('path', { class: 'outlined held', d: named.outline }),
            h(
              'text',
              { class: 'name held-name', transform: `translate(${named.at_mm[0]} ${named.at_mm[1]}) scale(${app.ui.behind ? -1 : 1} 1)` },
              named.id,
            ),
          ),
      ],
    };
  },

  press(app, target) {
    const piece = target.closest && target.closest('[data-piece]');
    if (piece) hold(app, piece.dataset.piece);
  },
};

function taped(app, ticks) {
  const list = (app.views.seams && app.views.seams.seams) || [];
  const is = (id) => ticks[id] === 'taped' || ticks[id] === 'glued';
  return h(
    'g',
    { key: 'tape', class: 'tape' },
    list
      .filter((seam) => seam.pieces.every(is))
      .map((seam) => h('path', { key: seam.id, d: `M${seam.points.map((p) => p.join(' ')).join('L')}` })),
  );
}

async function hold(app, piece) {
  app.set({ piece, next: null });
  const reply = await app.act('next', { hand: piece });
  if (reply && app.ui.piece === piece) app.set({ next: reply });
}

async function whatNext(app) {
  const reply = await app.act('next', {});
  if (reply) app.set({ next: reply, piece: reply.piece || null });
}

function progress(app, pieces) {
  const ticks = app.state.ticks || {};
  const sum = (mark) => pieces.filter((piece) => ticks[piece.id] === mark).length;
  const parts = [
    `${count(pieces.length - sum('cut') - sum('taped') - sum('glued'), 'piece')} to cut`,
    sum('cut') && `${sum('cut')} cut`,
    sum('taped') && `${sum('taped')} taped`,
    sum('glued') && `${sum('glued')} glued`,
  ].filter(Boolean);
  return h(
    'p',
    { key: 'progress', class: 'sentence' },
    `${parts.join(', ')}. In the picture: bare is to cut, pale is cut, full colour is glued.`,
  );
}

function ask(app, pieces) {
  const known = new Map(pieces.map((piece) => [piece.id.toUpperCase(), piece.id]));
  return h(
    'form',
    {
      key: 'ask',
      class: 'say',
      onsubmit: (event) => {
        event.preventDefault();
        const said = event.target.elements.hand.value.trim().toUpperCase();
        if (!said) return whatNext(app);
        if (known.has(said)) return hold(app, known.get(said));
        app.refusal = { text: `There is no piece ${said}; the last one is ${pieces[pieces.length - 1].id}`, near: 'together' };
        return app.draw();
      },
    },
    h(
      'p',
      { class: 'fields' },
      h(
        'label',
        { class: 'field' },
        'In your hand',
        h('input', {
          id: 'hand',
          name: 'hand',
          type: 'text',
          size: 5,
          autocomplete: 'off',
          autocapitalize: 'characters',
          placeholder: 'C7',
          value: app.ui.piece || '',
        }),
      ),
      onTable(app),
    ),
    h(
      'p',
      { class: 'row' },
      h('button', { type: 'submit', id: 'i-hold', class: 'plain' }, 'Where does it go?'),
      h('button', { type: 'button', id: 'what-next', class: 'main', onclick: () => whatNext(app) }, 'What next?'),
    ),
  );
}

// What the piece in the hand is joined to, or glued on; those that are still to be cut are said to be.
function onTable(app) {
  const { next } = app.ui;
  if (!next || !next.table || !next.table.length) return null;
  const ticks = app.state.ticks || {};
  const open = next.table.filter((id) => !['cut', 'taped', 'glued'].includes(ticks[id]));
  return h(
    'div',
    { class: 'field on-table', role: 'group', 'aria-labelledby': 'on-table' },
    h('span', { id: 'on-table' }, 'On the table'),
    h(
      'span',
      { class: 'laid-out' },
      next.table.map((id) => [pieceButton(app, id), ' ']),
    ),
    open.length > 0 && h('span', { class: 'note' }, open.length === next.table.length ? 'still to be cut' : `still to be cut: ${open.join(', ')}`),
  );
}

function pieceButton(app, id) {
  return h(
    'button',
    {
      key: id,
      type: 'button',
      class: `number mark-${(app.state.ticks || {})[id] || 'none'}`,
      'aria-pressed': app.ui.piece === id ? 'true' : 'false',
      onclick: () => hold(app, id),
    },
    id,
  );
}

function answer(app) {
  const { next } = app.ui;
  if (!next) return null;
  return h(
    'div',
    { key: 'answer', class: 'next', role: 'status' },
    h('p', { class: 'sentence' }, sentence(next.says)),
    next.lines &&
      next.lines.length > 0 &&
      h(
        'ul',
        { class: 'step-lines' },
        next.lines.map((line, i) => h('li', { key: i }, sentence(line))),
      ),
    next.caution && h('p', { class: 'caution' }, h('strong', null, 'Care: '), sentence(next.caution)),
  );
}

function marks(app) {
  const id = app.ui.piece;
  if (!id) return null;
  const now = (app.state.ticks || {})[id];
  const tick = async (mark) => {
    const done = await app.act('tick', { piece: id, mark: now === mark ? 'none' : mark });
    if (!done) return;
    app.say(`${id}: ${now === mark ? 'not any more' : mark}`);
    if (mark === 'glued' && now !== mark) whatNext(app);
    else hold(app, id);
  };
  return h(
    'div',
    { key: 'marks', role: 'group', 'aria-label': `Piece ${id} is` },
    h('p', { class: 'sentence' }, `Piece ${id} is:`),
    h(
      'p',
      { class: 'row big' },
      MARKS.map(([mark, label]) =>
        h(
          'button',
          {
            key: mark,
            type: 'button',
            id: `mark-${mark}`,
            class: 'plain',
            'aria-pressed': now === mark ? 'true' : 'false',
            onclick: () => tick(mark),
          },
          label,
        ),
      ),
    ),
    now &&
      now !== 'spoiled' &&
      h('p', { class: 'note' }, 'A piece that is cut stays as it is, whatever else you change. Press again to take the word back.'),
  );
}

// What is spoiled, once more: on a sheet of its own, while the rest of the kit stays.
function again(app) {
  const ticks = app.state.ticks || {};
  const spoiled = Object.keys(ticks).filter((id) => ticks[id] === 'spoiled');
  if (!spoiled.length) return null;
  const recut = app.state.recut || {};
  const is = recut.ready && recut.pieces.join() === spoiled.join();
  return h(
    'div',
    { key: 'again', class: 'ready' },
    h('p', { class: 'sentence' }, `To cut again: ${spoiled.join(', ')}.`),
    h(
      'p',
      { class: 'row' },
      is
        ? h('a', { href: app.talk.address('recut.zip'), class: 'main', download: `${app.state.job.name}-recut.zip` }, 'Save the sheet (zip)')
        : h(
            'button',
            { type: 'button', id: 'cut-again', class: 'plain', disabled: Boolean(recut.busy), onclick: () => app.act('recut', {}) },
            recut.busy ? 'Making and proving it …' : 'Make a fresh sheet of them',
          ),
    ),
    recut.error && h('p', { class: 'refusal', role: 'alert' }, sentence(recut.error.text)),
  );
}

function list(app, pieces) {
  const layers = app.state.layers || [];
  return h(
    'div',
    { key: 'list' },
    layers.map((layer) =>
      h(
        'p',
        { key: layer.id, class: 'pieces-of' },
        h('span', null, `${layer.id} ${layer.name}: `),
        pieces
          .filter((piece) => piece.layer === layer.id)
          .map((piece) => [pieceButton(app, piece.id), ' ']),
      ),
    ),
  );
}
