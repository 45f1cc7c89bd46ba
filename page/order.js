// order.js - what lies on what: a relation between two neighbours, shown as paper cut through; base, border, ways to stack.

import { h, kept } from './draw.js';
import { word, choices, sentence, waiting } from './ask.js';
import { count, isMetric, list, seamLength } from './words.js';

export const order = {
  id: 'order',
  question: 'What lies on what?',
  needs: ['borders'],
  sight: (app) => (app.ui.lifted ? 'lifted' : app.ui.section ? 'cut' : 'piece'),
  hint: () => 'Press the border between two colours to say which lies over the other.',
  short: (app) =>
    (app.state.layers || []).length ? `${app.state.layers.length} layers; ${nameOf(app, app.state.layers[0])} at the back.` : null,

  docket(app) {
    const layers = app.state.layers || [];
    if (!layers.length) return waiting(app, 'The layers are being laid over one another …');
    return [pair(app, layers), stackOf(app, layers), ways(app), costs(app), base(app, layers), lifted(app)];
  },

  scene(app, { width, height }) {
    const borders = (app.views.borders && app.views.borders.borders) || [];
    return {
      on: [
        chosenPair(app),
        app.ui.lifted
          ? null
          : kept('g', { key: 'borders' }, [app.views.borders], () =>
              borders.map((border, i) => h('path', { key: i, class: 'border', d: border.path, 'data-border': i })),
            ),
      ],
      over: [app.ui.section ? section(app, width, height) : null],
      noStrips: Boolean(app.ui.section),
    };
  },

  press(app, target) {
    const border = app.views.borders && app.views.borders.borders[Number(target.dataset.border)];
    if (!border) return;
    const ids = border.colours.map((colour) => idOf(app, colour)).filter(Boolean);
    if (ids.length === 2) app.set({ pair: ids });
  },
};

function idOf(app, colour) {
  const layer = app.state.layers.find((one) => one.colour === colour);
  return layer && layer.id;
}

function nameOf(app, layer) {
  return layer ? layer.name : '';
}

function pair(app, layers) {
  const ids = app.ui.pair || (layers.length > 1 ? [layers[1].id, layers[0].id] : null);
  if (!ids) return null;
  const [one, two] = ids.map((id) => layers.find((layer) => layer.id === id)).filter(Boolean);
  if (!one || !two || one === two) return null;
  const pick = (place) => (other) => ({
    label: other.name,
    on: ids[place] === other.id,
    pick: () => app.set({ pair: place === 0 ? [other.id, ids[1]] : [ids[0], other.id] }),
  });
  const [over, under] = one.order > two.order ? [one, two] : [two, one];
  const way = (app.state.settings || {}).stack;
  const based = one.base || two.base;
  const flush = !based && (way === 'inlay' || isInlaid(app, one, two));
  // The base always lies lowest: what shall lie below it becomes the base.
  const lay = (a, b) => () => app.decide(a.base ? { edit: 'base', colour: b.colour } : { edit: 'over', colour: a.colour, other: b.colour });
  const turns = (a, b) => (a.base ? `${b.name} becomes the base` : null);
  return h(
    'section',
    { key: 'pair', class: 'pair', 'aria-label': 'Two neighbours' },
    h(
      'p',
      { class: 'sentence' },
      'Where ',
      word(app, 'one', one.name, { what: 'The one colour' }),
      ' meets ',
      word(app, 'two', two.name, { what: 'The other colour' }),
      ':',
    ),
    choices(app, 'one', 'The one colour', layers.filter((layer) => layer !== two).map(pick(0)), null),
    choices(app, 'two', 'The other colour', layers.filter((layer) => layer !== one).map(pick(1)), null),
    h(
      'ul',
      { class: 'tabs' },
      sectionTab('over', `${one.name} over ${two.name}`, cut(one, two, 'over'), over === one && !flush, lay(one, two), turns(one, two)),
      sectionTab('under', `${two.name} over ${one.name}`, cut(two, one, 'over'), over === two && !flush, lay(two, one), turns(two, one)),
      !based &&
        sectionTab(
          'butt',
          'edge to edge',
          cut(one, two, 'butt'),
          flush,
          () => app.decide({ edit: 'inlay', colour: one.colour, other: two.colour }),
          way === 'inlay' ? 'as all neighbours do' : 'these two alone',
        ),
    ),
  );
}

// The last word on the two: edge to edge, or one over the other.
function isInlaid(app, one, two) {
  const of = (line) => line.line && ['over', 'inlay'].includes(line.line.edit) && [line.line.colour, line.line.other].sort().join();
  const both = [one.colour, two.colour].sort().join();
  const last = app.state.docket.filter((line) => !line.struck && of(line) === both).pop();
  return Boolean(last) && last.line.edit === 'inlay';
}

function sectionTab(key, label, picture, on, pick, note) {
  return h(
    'li',
    { key },
    h(
      'button',
      { type: 'button', class: 'tab drawn', 'aria-pressed': on ? 'true' : 'false', onclick: pick },
      picture,
      h('span', { class: 'tab-label' }, label),
      note && h('span', { class: 'note' }, note),
    ),
  );
}

// Paper cut through, seen edge-on: the wall below, two sheets that meet.
function cut(top, low, way) {
  const slab = (x, y, w, layer) => h('rect', { x, y, width: w, height: 9, fill: layer.colour, class: 'slab' });
  const sheets =
    way === 'butt'
      ? [slab(4, 18, 40, top), slab(45, 18, 41, low)]
      : way === 'under'
        ? [slab(4, 18, 56, low), slab(30, 8, 56, top)]
        : [slab(4, 18, 52, low), slab(38, 8, 48, top)];
  return h(
    'svg',
    { class: 'section', viewBox: '0 0 90 36', 'aria-hidden': 'true' },
    sheets,
    h('path', { class: 'wall-line', d: 'M2 31H88' }),
  );
}

function stackOf(app, layers) {
  return h('p', { key: 'stack', class: 'sentence' }, 'From the wall: ', list(layers.map((layer) => `${layer.id} ${layer.name}`)), '.');
}

function ways(app) {
  const settings = app.state.settings || {};
  const reach = settings.underlap_mm === null || settings.underlap_mm === undefined ? 6 : settings.underlap_mm;
  const shown = isMetric(settings) ? `${reach} mm` : `${Number((reach / 25.4).toFixed(2))} in`;
  return h(
    'div',
    { key: 'ways' },
    h(
      'p',
      { class: 'sentence' },
      settings.stack === 'inlay' ? 'Neighbours lie ' : 'Each layer reaches ',
      word(app, 'way', settings.stack === 'inlay' ? 'edge to edge on the base' : `${shown} under the next`, { what: 'How layers meet' }),
      '.',
    ),
    choices(
      app,
      'way',
      'How do layers meet?',
      [
        {
          label: 'A little under the next',
          note: 'forgives a slip of the hand',
          picture: cut({ colour: '#8d8478' }, { colour: '#c9bfb0' }, 'over'),
          on: settings.stack === 'underlap',
          pick: () => app.decide({ edit: 'stack', way: 'underlap' }),
        },
        {
          label: 'Edge to edge on the base',
          note: 'flat, wants exact hands',
          picture: cut({ colour: '#8d8478' }, { colour: '#c9bfb0' }, 'butt'),
          on: settings.stack === 'inlay',
          pick: () => app.decide({ edit: 'stack', way: 'inlay' }),
        },
      ],
      {
        label: 'Or reach this far under (mm)',
        example: '8',
        done: (text) => app.decide({ edit: 'underlap', mm: Number(text.replace(/mm$/, '').replace(',', '.')) }),
      },
    ),
  );
}

const WAYS = [
  { edit: 'stack', way: 'underlap' },
  { edit: 'stack', way: 'inlay' },
];

// What each way would come to: the engine tries them when it is asked.
function costs(app) {
  const table = app.state.compare;
  const rows = ((table && table.rows) || []).filter((row) => row.line && row.line.edit === 'stack');
  const metric = isMetric(app.state.settings);
  return h(
    'div',
    { key: 'costs' },
    h(
      'p',
      { class: 'row' },
      h(
        'button',
        {
          type: 'button',
          id: 'costs',
          class: 'plain',
          disabled: Boolean(table && table.busy),
          onclick: () => app.act('compare', { lines: WAYS }),
        },
        table && table.busy ? 'Working them out …' : 'Work out what each way comes to',
      ),
    ),
    rows.length > 0 &&
      h(
        'ul',
        { class: 'buy' },
        rows.map((row) =>
          h(
            'li',
            { key: row.line.way },
            `${row.line.way === 'inlay' ? 'Edge to edge' : 'A little under'}: `,
            row.totals
              ? `${count(row.totals.sheets, 'sheet')}, ${count(row.totals.pieces, 'piece')}, ${seamLength(row.totals.visible_seam_mm, metric)} of seam in sight.`
              : sentence(row.error || 'not known yet'),
          ),
        ),
      ),
  );
}

function base(app, layers) {
  const settings = app.state.settings || {};
  const back = layers.find((layer) => layer.base) || layers[0];
  const border = settings.border_mm;
  const mm = (text) => Number(text.replace(/\s*mm$/, '').replace(',', '.'));
  return h(
    'div',
    { key: 'base' },
    h(
      'p',
      { class: 'sentence' },
      'The base is ',
      word(app, 'base', back.name, { what: 'The base' }),
      ', with ',
      word(app, 'border', border ? `a border of ${border} mm` : 'no border', { what: 'The border' }),
      '.',
    ),
    choices(
      app,
      'base',
      'Which colour is the base?',
      (app.state.colours || [])
        .filter((colour) => colour.fate === 'paper' || !colour.fate)
        .map((colour) => ({
          label: colour.name,
          on: back.colour === colour.colour,
          pick: () => app.decide({ edit: 'base', colour: colour.colour }),
        })),
      null,
    ),
    choices(
      app,
      'border',
      'A border of the base, all round',
      [
        ['None', 0],
        ['6 mm (1/4 in)', 6],
        ['12 mm (1/2 in)', 12],
        ['20 mm (3/4 in)', 20],
      ].map(([label, size]) => ({ label, on: border === size, pick: () => setBorder(app, size) })),
      { label: 'Or as wide as this (mm)', example: '10', done: (text) => setBorder(app, mm(text)) },
    ),
  );
}

// No border is the border's line struck out: there is none to set.
function setBorder(app, mm) {
  if (mm > 0) return app.decide({ edit: 'border', mm });
  const lines = app.state.docket.filter((line) => !line.struck && line.line && line.line.edit === 'border');
  for (const line of lines) app.strike(line.id, true);
  return null;
}

function lifted(app) {
  return h(
    'p',
    { key: 'lifted', class: 'row' },
    h(
      'button',
      {
        type: 'button',
        id: 'lift',
        class: 'plain',
        'aria-pressed': app.ui.lifted ? 'true' : 'false',
        onclick: () => app.set({ lifted: !app.ui.lifted, section: null }),
      },
      app.ui.lifted ? 'Lay the layers down again' : 'Lift the layers off one another',
    ),
    h(
      'button',
      {
        type: 'button',
        id: 'section',
        class: 'plain',
        'aria-pressed': app.ui.section ? 'true' : 'false',
        onclick: () => app.set({ section: app.ui.section ? null : 0.5, lifted: false }),
      },
      app.ui.section ? 'Put the cut away' : 'Cut across and look edge-on',
    ),
    app.ui.section &&
      h(
        'button',
        { type: 'button', id: 'section-up', class: 'plain', onclick: () => app.set({ section: Math.max(0.02, app.ui.section - 0.04) }) },
        'Cut higher',
      ),
    app.ui.section &&
      h(
        'button',
        { type: 'button', id: 'section-down', class: 'plain', onclick: () => app.set({ section: Math.min(0.98, app.ui.section + 0.04) }) },
        'Cut lower',
      ),
  );
}

// Where the two meet, drawn wide.
function chosenPair(app) {
  if (!app.ui.pair || app.ui.lifted) return null;
  const borders = (app.views.borders && app.views.borders.borders) || [];
  return borders
    .filter((border) => border.colours.every((colour) => app.ui.pair.includes(idOf(app, colour))))
    .map((border, i) => [
      h('path', { key: `e${i}`, class: 'outlined edge-of', d: border.path }),
      h('path', { key: i, class: 'outlined', d: border.path }),
    ]);
}

// A line across the picture, and below it the stack as one would see it edge-on; thickness exaggerated.
function section(app, width, height) {
  const y = height * app.ui.section;
  const slab = (height * 0.16) / Math.max(6, (app.state.layers || []).length);
  const below = height * 1.23;
  const runs = crossings(width, y);
  return h(
    'g',
    { key: 'section', class: 'cut-across' },
    h('path', { class: 'cut-line', d: `M${-width * 0.04} ${y}H${width * 1.04}` }),
    runs.map(({ from, to, colour, level }, i) =>
      h('rect', { key: i, class: 'slab', x: from, y: below - (level + 1) * slab * 1.15, width: to - from, height: slab, fill: colour }),
    ),
    h('path', { class: 'wall-line', d: `M${-width * 0.02} ${below + slab * 0.5}H${width * 1.02}` }),
    h('text', { class: 'measure under', x: width / 2, y: below + slab * 0.6 }, 'seen edge-on, paper drawn thicker than it is'),
  );
}

function crossings(width, y) {
  const steps = 160;
  const found = [];
  const heights = new Array(steps).fill(0);
  for (const group of document.querySelectorAll('#floor [data-layer]')) {
    const shape = group.querySelector('.paper');
    const point = shape.ownerSVGElement.createSVGPoint();
    let run = null;
    for (let i = 0; i < steps; i++) {
      [point.x, point.y] = [((i + 0.5) / steps) * width, y];
      if (!shape.isPointInFill(point)) {
        run = null;
        continue;
      }
      if (run && run.level === heights[i]) run.to = ((i + 1) / steps) * width;
      else
        found.push(
          (run = { from: (i / steps) * width, to: ((i + 1) / steps) * width, colour: shape.getAttribute('fill'), level: heights[i] }),
        );
      heights[i]++;
    }
  }
  return found;
}
