// elsewhere.js - a piece in the hand: where else on the sheets it would lie, as dotted outlines; pressing one lays it there.

import { h } from './draw.js';
import { count } from './words.js';

/** Asks where the chosen piece would lie as well; when it is not known yet, an event says so and this is asked again. */
export async function ask(app) {
  const { piece, open } = app.ui;
  if (!piece || open !== 'sheets') return;
  const reply = await app.talk.ask('find-places', { piece }).catch(() => null); // a piece that is gone lies nowhere
  if (app.ui.piece === piece) app.set({ places: reply ? reply.places : [] });
}

/** The places in words, for those who do not point. */
export function elsewhere(app, pile) {
  const { piece, places } = app.ui;
  if (!piece || !pile.sheets.some((sheet) => sheet.pieces.some((one) => one.id === piece))) return null;
  if (!places) return h('p', { key: 'elsewhere', class: 'note' }, `Where else ${piece} would lie is being looked for …`);
  if (!places.length) return h('p', { key: 'elsewhere', class: 'note' }, `${piece} lies nowhere else as the others lie.`);
  return h(
    'div',
    { key: 'elsewhere', class: 'areas', role: 'group', 'aria-label': `Where else ${piece} would lie` },
    h('p', { class: 'sentence' }, `${piece} would lie in ${count(places.length, 'other place')} as well, dotted on the sheets:`),
    h(
      'p',
      { class: 'row' },
      places.map((place, i) =>
        h(
          'button',
          { key: i, type: 'button', id: `elsewhere-${i}`, class: 'plain', onclick: () => app.decide(place.line) },
          `${i + 1}. on sheet ${1 + pile.sheets.findIndex((sheet) => sheet.id === place.sheet)}`,
        ),
      ),
    ),
  );
}

/** The dotted outlines on one sheet. */
export function dotted(app, sheet) {
  const { piece, places } = app.ui;
  const shape = piece && places && ((app.views.pieces && app.views.pieces.pieces) || []).find((one) => one.id === piece);
  if (!shape) return null;
  return places.map((place, i) =>
    place.sheet === sheet.id
      ? h(
          'g',
          { key: `place${i}`, transform: `matrix(${place.line.to_sheet.join(' ')})` },
          h('path', { class: 'elsewhere', d: shape.outline, 'data-place': i }, h('title', null, `lay ${piece} here (${i + 1})`)),
        )
      : null,
  );
}
