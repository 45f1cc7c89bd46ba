// paper.js - on which paper: what a sheet loses at its edges, what is on the shelf and what is missing, one paper
// against another as the job would turn out.

import { h } from './draw.js';
import { word, choices, pressable, sentence } from './ask.js';
import { PAPERS, paperText } from './stock.js';
import { findings } from './findings.js';
import { pilesOf } from './piles.js';
import { count, sheetSize, isMetric, seamLength, time } from './words.js';

export const paper = {
  id: 'paper',
  question: 'On which paper?',
  needs: ['sheets'],
  sight: () => 'shelf',
  hint: () => '',
  short: (app) => {
    const missing = ((app.state.bill && app.state.bill.buy) || []).filter((one) => one.have !== null && one.need > one.have);
    return missing.length ? `Buy ${missing.map((one) => `${one.need - one.have} more ${nameOf(app, one)}`).join(', ')}.` : null;
  },

  docket(app) {
    return [
      usable(app),
      layers(app),
      findings(app, ['two-tools', 'not-drawn', 'layer-unmarked'], 'About these papers'),
      buy(app),
      compare(app),
      shelf(app),
    ];
  },
};

function nameOf(app, one) {
  const layer = (app.state.layers || []).find((known) => known.colour === one.colour);
  return layer ? layer.name : one.colour || one.paper;
}

function usable(app) {
  const metric = isMetric(app.state.settings);
  const seen = new Map();
  for (const pile of pilesOf(app)) if (pile.usable) seen.set(sheetSize(pile.size, metric), sheetSize(pile.usable.slice(2), metric));
  return h(
    'div',
    { key: 'usable' },
    [...seen].map(([size, rest]) =>
      h(
        'p',
        { key: size, class: 'sentence' },
        `Of a sheet of ${size}, ${rest} can be cut: the grey rim is what the cutter and its mat lose.`,
      ),
    ),
  );
}

// Which colour is cut from which paper, one sentence a layer.
function layers(app) {
  const list = app.state.layers || [];
  return h(
    'ul',
    { key: 'layers', class: 'colours' },
    list.map((layer) => {
      const id = `sheet-${layer.id}`;
      const put = (words) => app.decide({ edit: 'sheet', colour: layer.colour, paper: words.replace(/\s*([x×])\s*/g, 'x') });
      return h(
        'li',
        { key: layer.id, class: 'colour' },
        h(
          'p',
          { class: 'sentence' },
          h(
            'svg',
            { class: 'sample', viewBox: '0 0 30 22', 'aria-hidden': 'true' },
            h('path', { d: 'M1 1H29V17L25 21H1Z', fill: layer.colour }),
          ),
          h(
            'span',
            null,
            `${layer.id}, ${layer.name}: `,
            layer.sheets ? `${count(layer.sheets, 'sheet')} of ` : '',
            word(app, id, paperText(layer.paper || 'letter'), { what: `Paper of ${layer.name}` }),
            '.',
          ),
        ),
        choices(
          app,
          id,
          `From which paper is ${layer.name} cut?`,
          PAPERS.map((one) => ({ label: one.label, note: one.note, on: layer.paper === one.words, pick: () => put(one.words) })),
          { label: 'Another: measure a sheet; weight and pack if you like', example: '11x24, 65lb, 25 for 8.99', done: put },
        ),
      );
    }),
  );
}

function buy(app) {
  const list = (app.state.bill && app.state.bill.buy) || [];
  if (!list.length) return null;
  const known = list.some((one) => one.have !== null && one.have !== undefined);
  return h(
    'section',
    { key: 'buy', 'aria-labelledby': 'buy-head' },
    h('h3', { id: 'buy-head' }, 'What it takes, spare sheets included'),
    h(
      'ul',
      { class: 'buy' },
      list.map((one, i) => {
        const short = one.have === null || one.have === undefined ? null : one.need - one.have;
        const there = one.on_shelf ? ` of ${one.on_shelf}` : '';
        return h(
          'li',
          { key: i },
          h('span', { class: 'tally' }, `${one.need} ${nameOf(app, one)}`),
          short === null
            ? there && ` on the shelf, not counted: ${one.on_shelf}`
            : short > 0
              ? h('strong', null, ` buy ${short} more (${one.have}${there} on the shelf)`)
              : ` on the shelf: ${one.have}${there}, enough`,
        );
      }),
    ),
    !known && h('p', { class: 'note' }, 'Nothing of it is counted on your shelf, further down.'),
  );
}

function compare(app) {
  const table = app.state.compare;
  const metric = isMetric(app.state.settings);
  const ask = () =>
    app.act('compare', {
      papers: [
        ...new Set([
          ...((app.state.settings || {}).papers || []).filter((one) => !one.layer).map((one) => one.words),
          ...PAPERS.map((one) => one.words),
        ]),
      ].slice(0, 6),
    });
  return h(
    'section',
    { key: 'compare', 'aria-labelledby': 'compare-head' },
    h('h3', { id: 'compare-head' }, 'One paper against another'),
    h(
      'p',
      { class: 'row' },
      h(
        'button',
        { type: 'button', id: 'compare', class: 'plain', disabled: Boolean(table && table.busy), onclick: ask },
        table && table.busy ? 'Working them out …' : 'Work out how each would turn out',
      ),
    ),
    table &&
      table.rows &&
      table.rows.length > 0 &&
      h(
        'div',
        { class: 'wide', tabindex: 0, role: 'group', 'aria-label': 'Papers compared' },
        h(
          'table',
          null,
          h(
            'thead',
            null,
            h(
              'tr',
              null,
              ['Paper', 'Sheets', 'Pieces', 'In sight', 'To cut', 'To join'].map((head) =>
                h('th', { key: head, scope: 'col' }, head),
              ),
            ),
          ),
          h(
            'tbody',
            null,
            table.rows
              .filter((row) => row.paper)
              .map((row) =>
                h(
                  'tr',
                  { key: row.paper },
                  h(
                    'th',
                    { scope: 'row' },
                    pressable(
                      {
                        class: 'number',
                        'aria-label': `Take ${paperText(row.paper)}`,
                        onclick: () => app.decide({ set: 'paper', to: row.paper }),
                      },
                      paperText(row.paper).replace(/ paper\b/, ''),
                    ),
                  ),
                  row.error || !row.totals
                    ? h('td', { colspan: 5, class: 'note' }, sentence((row.error || 'not known yet').split('; ')[0]))
                    : [
                        cell(row, 'sheets', row.totals.sheets),
                        cell(row, 'pieces', row.totals.pieces),
                        cell(row, 'visible_seam_mm', seamLength(row.totals.visible_seam_mm, metric)),
                        cell(row, 'cutting_minutes', time(row.totals.cutting_minutes)),
                        cell(row, 'assembly_minutes', time(row.totals.assembly_minutes)),
                      ],
                ),
              ),
          ),
        ),
      ),
    table &&
      table.rows &&
      table.rows.length > 0 &&
      h('p', { class: 'note' }, 'In sight: how long its seams are that stay in sight. In bold: the best of each column. Press a paper to take it.'),
  );
}

function cell(row, key, text) {
  const best = (row.best || []).includes(key);
  return h('td', { key, class: best ? 'best' : '' }, best ? h('strong', null, String(text)) : String(text));
}

function useForAll(app, one) {
  return h(
    'button',
    {
      type: 'button',
      class: 'plain',
      'aria-label': `Use ${one.name || one.words} for all`,
      onclick: () => app.decide({ set: 'paper', to: one.words }),
    },
    'Use it',
  );
}

// An offcut is of one colour: the layer of that colour, or the one that is picked.
const useFor = (app, one, layer) => app.decide({ edit: 'offcut', colour: layer.colour, paper: one.words, count: one.count || 1 });

function cutFirst(app, one) {
  const layer = (app.state.layers || []).find((known) => known.colour === one.colour);
  const id = `offcut-${one.id}`;
  const open = app.ui.word === id;
  const ask = () => app.set({ word: open ? null : id });
  return h(
    'button',
    {
      type: 'button',
      id: `word-${id}`,
      class: 'plain',
      'aria-label': `Cut from the offcut ${one.words}${layer ? ` for ${layer.name}` : ''}`,
      'aria-expanded': layer ? null : open ? 'true' : 'false',
      onclick: () => (layer ? useFor(app, one, layer) : ask()),
    },
    'Use it up',
  );
}

function ofWhichColour(app, one) {
  return choices(
    app,
    `offcut-${one.id}`,
    'Of which colour is it?',
    (app.state.layers || []).map((layer) => ({ label: layer.name, id: layer.id, pick: () => useFor(app, one, layer) })),
  );
}

function shelf(app) {
  const { papers = [], cutters = [] } = app.ui.shelf || {};
  const change = async (what, keys) => {
    const reply = await app.act(what, keys);
    if (reply && reply.papers) app.set({ shelf: reply });
  };
  return h(
    'section',
    { key: 'shelf', 'aria-labelledby': 'shelf-head' },
    h('h3', { id: 'shelf-head' }, 'On your shelf'),
    papers.length + cutters.length === 0 && h('p', { class: 'note' }, 'Nothing yet. What lies in your drawer? Say it here, and the bill tells what is missing.'),
    h(
      'ul',
      { class: 'lines' },
      cutters.map((one) =>
        h(
          'li',
          { key: `c${one.id}` },
          h('span', { class: 'line-says' }, `Cutter: ${one.name ? `${one.name}, ` : ''}${one.words}`),
          h(
            'button',
            {
              type: 'button',
              class: 'plain',
              'aria-label': `Use the cutter ${one.words}`,
              onclick: () => app.decide({ set: 'cutter', to: one.words }),
            },
            'Use it',
          ),
        ),
      ),
      papers.map((one) =>
        h(
          'li',
          { key: `p${one.id}`, class: 'shelved' },
          h(
            'span',
            { class: 'line-says' },
            `${one.count === null || one.count === undefined ? '' : `${one.count} `}${one.name ? `${one.name}, ` : ''}${one.words}${one.offcut ? ', an offcut' : ''}`,
          ),
          one.offcut ? cutFirst(app, one) : useForAll(app, one),
          h(
            'button',
            {
              type: 'button',
              class: 'plain',
              'aria-label': `Take ${one.name || one.words} off the shelf`,
              onclick: () => change('shelf-remove', { id: one.id }),
            },
            'Take off',
          ),
          one.offcut && ofWhichColour(app, one),
        ),
      ),
    ),
    papers.some((one) => one.colour) &&
      h(
        'p',
        { class: 'row' },
        h(
          'button',
          { type: 'button', id: 'match-shelf', class: 'plain', onclick: () => app.decide({ edit: 'match', colours: 'shelf' }) },
          'Cut each colour from the nearest of these',
        ),
      ),
    h(
      'form',
      {
        class: 'say',
        onsubmit: (event) => {
          event.preventDefault();
          const { size, colour, number, offcut } = event.target.elements;
          const known = (app.state.layers || []).find((layer) => layer.id === colour.value);
          const keys = { paper: size.value.trim().replace(/\s*([x×])\s*/g, 'x') || 'letter' };
          if (known) Object.assign(keys, { colour: known.colour, name: known.name });
          if (number.value.trim()) keys.count = Number(number.value);
          if (offcut.checked) keys.offcut = true;
          change('shelf-add', keys);
        },
      },
      h(
        'p',
        { class: 'fields' },
        h('label', { class: 'field' }, 'How many sheets?', h('input', { name: 'number', type: 'number', min: 0, max: 100000, size: 5 })),
        h(
          'label',
          { class: 'field' },
          'Which colour?',
          h(
            'select',
            { name: 'colour' },
            h('option', { value: '' }, 'any'),
            (app.state.layers || []).map((layer) => h('option', { key: layer.id, value: layer.id }, layer.name)),
          ),
        ),
        h(
          'label',
          { class: 'field' },
          'Which size?',
          h('input', { name: 'size', type: 'text', value: 'letter', size: 9, autocomplete: 'off' }),
        ),
        h('label', { class: 'field tick' }, h('input', { name: 'offcut', type: 'checkbox' }), 'an offcut of a larger sheet'),
      ),
      h('button', { type: 'submit', class: 'plain' }, 'Put it on the shelf'),
    ),
  );
}
