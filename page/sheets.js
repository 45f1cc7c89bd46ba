// sheets.js - how the pieces lie on the sheets: piles by paper; an open pile hangs in one line; a thread leads from a
// piece to its place in the picture.

import { h } from './draw.js';
import { waiting } from './ask.js';
import { elsewhere, ask as askPlaces } from './elsewhere.js';
import { pilesOf } from './piles.js';
import { count } from './words.js';

export const sheets = {
  id: 'sheets',
  question: 'How does it lie on the sheets?',
  needs: ['sheets', 'pieces'],
  sight: (app) => (app.ui.pile ? 'line' : 'shelf'),
  hint: (app) =>
    app.ui.piece && app.ui.places && app.ui.places.length
      ? 'Press a dotted outline to lay the piece there.'
      : app.ui.pile
        ? 'Press a piece: a thread leads to its place in the picture.' : 'Press a pile to hang its sheets on the line.',
  short: (app) => (app.state.bill && app.state.bill.sheets ? `${count(app.state.bill.sheets, 'sheet')}.` : null),

  docket(app) {
    const piles = pilesOf(app);
    if (!piles.length) return waiting(app, 'The pieces are being laid on sheets …');
    const pile = piles.find((one) => one.key === app.ui.pile);
    return [
      h('p', { key: 'piles', class: 'sentence' }, 'The piles on the table are as high as they have sheets. Which one hangs on the line?'),
      h(
        'ul',
        { key: 'tabs', class: 'tabs' },
        piles.map((one, i) =>
          h(
            'li',
            { key: one.key },
            h(
              'button',
              {
                type: 'button',
                id: `pile-${i}`,
                class: 'tab drawn',
                'aria-pressed': one === pile ? 'true' : 'false',
                onclick: () => app.open('sheets', { pile: one === pile ? null : one.key, piece: null }),
              },
              h('svg', { viewBox: '0 0 30 22', 'aria-hidden': 'true' }, h('path', { d: 'M1 1H29V17L25 21H1Z', fill: one.colour })),
              h('span', { class: 'tab-label' }, one.name),
              h('span', { class: 'note' }, count(one.count, 'sheet')),
            ),
          ),
        ),
      ),
      pile && elsewhere(app, pile),
      pile && sheetList(app, pile),
    ];
  },

  scene: (app) => ({ on: found(app) }),

  press(app, target) {
    const place = target.dataset && target.dataset.place;
    if (place !== undefined && app.ui.places) return app.decide(app.ui.places[Number(place)].line);
    const piece = target.closest && target.closest('[data-piece]');
    return piece ? choose(app, piece.dataset.piece) : null;
  },
};

function found(app) {
  const piece = app.ui.piece && ((app.views.pieces && app.views.pieces.pieces) || []).find((one) => one.id === app.ui.piece);
  return piece ? h('path', { class: 'outlined', d: piece.outline }) : null;
}

function choose(app, id) {
  const piece = app.ui.piece === id ? null : id;
  app.set({ piece, places: null });
  if (piece) askPlaces(app);
}

function sheetList(app, pile) {
  return h(
    'section',
    { key: 'sheets', 'aria-label': `Sheets of ${pile.name}` },
    h(
      'ol',
      { class: 'sheet-list' },
      pile.sheets.map((sheet, i) =>
        h(
          'li',
          { key: sheet.id },
          h('span', null, `Sheet ${i + 1}: `),
          sheet.pieces.map((piece) => [
            h(
              'button',
              {
                key: piece.id,
                type: 'button',
                id: `piece-${piece.id}`,
                class: 'number',
                'aria-pressed': app.ui.piece === piece.id ? 'true' : 'false',
                onclick: () => choose(app, piece.id),
              },
              piece.id,
            ),
            ' ',
          ]),
        ),
      ),
    ),
  );
}
