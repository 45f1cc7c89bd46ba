// findings.js - what a maker should know, in the engine's words, beside the question that it belongs to.

import { h } from './draw.js';
import { pressable, sentence } from './ask.js';

const NEAR_MM = 110; // how much of the piece is shown round a place

/** Findings of these kinds as sentences; a place can be pressed and is shown. Nothing when there are none. */
export function findings(app, kinds, title) {
  const list = (app.state.findings || []).filter((one) => kinds.includes(one.kind));
  if (!list.length) return null;
  return h(
    'section',
    { key: `findings-${kinds[0]}`, class: 'findings', 'aria-label': title },
    h('h3', null, title),
    h(
      'ul',
      { class: 'places' },
      list
        .slice(0, 12)
        .map((one, i) =>
          h(
            'li',
            { key: i },
            one.at_mm ? pressable({ class: 'number', onclick: () => showPlace(app, one.at_mm) }, sentence(one.text)) : sentence(one.text),
          ),
        ),
    ),
    list.length > 12 && h('p', { class: 'note' }, `And ${list.length - 12} more like these.`),
  );
}

/** Brings a place of the piece near, and rings it. */
export function showPlace(app, at) {
  app.set({ ring: at });
  app.table.look({ x: at[0] - NEAR_MM, y: at[1] - NEAR_MM, w: 2 * NEAR_MM, h: 2 * NEAR_MM });
}
