// seams.js - where the paper may be divided: threads between pins. A pin slides along the outline, the engine lays the
// thread; a pinned seam stays, an unpinned one is free.

import { h, kept } from './draw.js';
import { word, choices, waiting } from './ask.js';
import { seamLength, isMetric, count } from './words.js';
import { polylines } from './along.js';
import { findings } from './findings.js';
import { slidePin, slideKeys, ringGrip, ringKeys, ringPoints, newSeamPress, pinKeysFor } from './pins.js';
import { clearView, clearAreas, clearPress, clearPlaces } from './clear.js';

const EYE_TO_SCREEN = 0.6; // metres: common practice, no source
const SIX_FEET = 1.83; // metres
const PIXEL_MM = 25.4 / 96; // CSS Values and Units: 96 px an inch

export const seams = {
  id: 'seams',
  question: 'Where may it be divided?',
  needs: ['picture', 'pieces', 'seams', 'sheets'],
  sight: () => 'piece',
  short: (app) => {
    const sum = app.state.bill;
    return sum && sum.pieces
      ? `${count(sum.pieces, 'piece')}, ${seamLength(sum.visible_seam_mm || 0, isMetric(app.state.settings))} of seam in sight.`
      : null;
  },
  hint: (app) => {
    if (app.ui.tool === 'ring')
      return 'Drag the ring, then “Keep it clear”. By keyboard: arrows, plus, minus.';
    if (app.ui.tool === 'region') return 'Press an area, and once more to keep it clear.';
    if (app.ui.tool === 'seam')
      return app.ui.draft && app.ui.draft.from
        ? 'Now press the outline where the seam shall end.'
        : 'Press the outline where a seam shall begin.';
    if (app.ui.view === 'far') return 'From 6 ft it looks as large as this. Drag it about.';
    return app.ui.behind ? 'From behind: where tape and strips go.' : 'Slide a pin along the outline: the thread follows.';
  },

  docket(app) {
    const list = seamsOf(app);
    if (!list.length && !(app.state.bill && app.state.answer !== 'colours'))
      return waiting(app, 'The places to divide are being looked for …');
    return [counts(app), which(app), views(app), chosenSeam(app), add(app), clearView(app), findings(app, ['narrow-piece'], 'Narrow pieces')];
  },

  scene(app) {
    const list = shown(app);
    const far = app.ui.view === 'far';
    const draft = app.ui.draft;
    const moving = draft && draft.seam ? draft.seam.id : null;
    const { layer, seam, behind: back, tool } = app.ui;
    const { seams: all, pieces, layers } = app.views;
    return {
      instead: app.ui.behind ? behind(app) : null,
      noStrips: far || back,
      on: [
        kept('g', { key: 'bleach' }, [layers, layer, far, back], () =>
          layer && !far && !back ? layersBut(app).map((one) => h('path', { key: one.id, class: 'bleached', d: one.outline })) : null,
        ),
        h('g', { key: 'sheets' }, draft && draft.seam ? blanks(app, draft.seam) : null),
        kept('g', { key: 'threads', class: far ? 'threads far' : 'threads' }, [all, layer, seam, back, far, moving], () =>
          list.map((one) => thread(app, one, far)),
        ),
        kept('g', { key: 'names', class: 'names' }, [pieces, all, layer, seam, back, far], () => (far ? null : names(app))),
        kept('g', { key: 'pins', class: 'pins' }, [all, layer, seam, back, far, tool, moving], () =>
          far || back || tool ? null : list.map((one) => pinsOf(app, one)),
        ),
        h('g', { key: 'clear' }, clearPlaces(app)),
        h('g', { key: 'clear-areas' }, clearAreas(app)),
        h('g', { key: 'draft', class: 'draft' }, draft ? draftView(app, draft) : null),
      ],
    };
  },

  grip(app, target, at, scale) {
    if (app.ui.tool === 'ring') return ringGrip(app, at, scale);
    const pin = target.closest && target.closest('[data-pin]');
    return pin ? slidePin(app, seamOf(app, pin.dataset.pin), Number(pin.dataset.end)) : null;
  },

  press(app, target, at) {
    if (app.ui.tool === 'seam') return newSeamPress(app, at);
    if (app.ui.tool === 'region') return clearPress(app, target);
    const seam = target.closest && target.closest('[data-seam]');
    if (seam) app.set({ seam: seam.dataset.seam });
    return null;
  },

  key(app, event, scale) {
    if (app.ui.tool === 'region') return event.key === 'Escape' && (app.set({ tool: null, region: null }), true);
    if (app.ui.tool === 'ring') return ringKeys(app, event, scale);
    if (app.ui.tool === 'seam') return pinKeysFor(app, event, scale);
    const pin = event.target.closest('[data-pin]');
    return pin ? slideKeys(app, event, seamOf(app, pin.dataset.pin), Number(pin.dataset.end), scale) : false;
  },
};

export function seamsOf(app) {
  return (app.views.seams && app.views.seams.seams) || [];
}

function seamOf(app, id) {
  return seamsOf(app).find((seam) => seam.id === id);
}

function shown(app) {
  if (app.ui.view === 'far') return seamsOf(app);
  const only = app.ui.behind ? app.state.layers.find((layer) => layer.base) : null;
  return seamsOf(app).filter((seam) => (only ? seam.layer === only.id : !app.ui.layer || seam.layer === app.ui.layer));
}

function layersBut(app) {
  const layers = (app.views.layers && app.views.layers.layers) || [];
  const mine = layers.findIndex((layer) => layer.id === app.ui.layer);
  return layers.slice(mine + 1);
}

function thread(app, seam, far) {
  const chosen = app.ui.seam === seam.id;
  const moving = app.ui.draft && app.ui.draft.seam && app.ui.draft.seam.id === seam.id;
  return h(
    'g',
    {
      key: seam.id,
      'data-seam': seam.id,
      class: ['seam', chosen ? 'chosen' : '', moving ? 'moving' : '', seam.pinned ? 'pinned' : ''].join(' '),
    },
    !far && h('path', { class: 'reach', d: `M${seam.points.map((p) => p.join(' ')).join('L')}` }),
    seam.hidden && !far && [h('path', { class: 'edge under', d: seam.hidden }), h('path', { class: 'hidden', d: seam.hidden })],
    seam.visible && !far && [h('path', { class: 'edge', d: seam.visible }), h('path', { class: 'edge tick', d: seam.visible })],
    seam.visible && h('path', { class: 'visible', d: seam.visible }),
    seam.visible && !far && h('path', { class: 'ticks', d: seam.visible }),
    h('title', null, `${seam.id}: between ${seam.pieces.join(' and ')}`),
  );
}

function pinsOf(app, seam) {
  const chosen = app.ui.seam === seam.id;
  if (app.ui.draft && app.ui.draft.seam && app.ui.draft.seam.id === seam.id) return null; // in the hand: draftView
  return pins(seam, seam.ends, chosen);
}

function pins(seam, ends, chosen) {
  return ends.map((end, i) =>
    h(
      'g',
      {
        key: `${seam.id}-${i}`,
        class: ['pin', seam.pinned ? 'pinned' : '', chosen ? 'chosen' : ''].join(' '),
        transform: `translate(${end[0]} ${end[1]})`,
        'data-pin': seam.id,
        'data-end': i,
        ...(chosen
          ? {
              tabindex: 0,
              role: 'slider',
              id: `pin-${i}`,
              'aria-label': `Pin ${i + 1} of seam ${seam.id}`,
              'aria-valuenow': Math.round(end[0]),
              'aria-valuetext': seam.pinned ? 'pinned; arrow keys slide it, Enter sets it' : 'free; arrow keys slide it, Enter sets it',
            }
          : {}),
      },
      h('circle', { class: 'pin-reach' }),
      h('circle', { class: 'pin-head' }),
    ),
  );
}

function draftView(app, draft) {
  const at = (p) => h('g', { class: 'pin pinned chosen', transform: `translate(${p[0]} ${p[1]})` }, h('circle', { class: 'pin-head' }));
  if (draft.ring)
    return h('path', {
      class: 'ring-draft',
      d: `M${ringPoints(draft.ring)
        .map((p) => p.join(' '))
        .join('L')}Z`,
    });
  if (draft.points)
    return [
      h('path', { key: 'laying-edge', class: 'laying edge', d: `M${draft.points.map((p) => p.join(' ')).join('L')}` }),
      h('path', { key: 'laying', class: 'laying', d: `M${draft.points.map((p) => p.join(' ')).join('L')}` }),
      pins(draft.seam, [draft.points[0], draft.points[draft.points.length - 1]], true),
    ];
  return [draft.from && at(draft.from), draft.at && at(draft.at)];
}

// A blank sheet of true size under each piece concerned: what sticks out is hatched and measured.
function blanks(app, seam) {
  const sheets = (app.views.sheets && app.views.sheets.sheets) || [];
  const pieces = (app.views.pieces && app.views.pieces.pieces) || [];
  const metric = isMetric(app.state.settings);
  return seam.pieces.map((id) => {
    const piece = pieces.find((one) => one.id === id);
    const sheet = piece && sheets.find((one) => one.id === piece.sheet);
    if (!sheet) return null;
    const box = boxOf(piece);
    let [w, d] = [sheet.usable_mm[2], sheet.usable_mm[3]];
    if (box.w > box.h !== w > d) [w, d] = [d, w];
    const [x, y] = [box.x + box.w / 2 - w / 2, box.y + box.h / 2 - d / 2];
    const out = Math.max(box.w - w, box.h - d);
    return h(
      'g',
      { key: id, class: 'blank' },
      h('rect', { x, y, width: w, height: d }),
      out > 0.5 && h('path', { class: 'excess', d: `M${box.x} ${box.y}h${box.w}v${box.h}h${-box.w}ZM${x} ${y}v${d}h${w}v${-d}Z` }),
      h(
        'text',
        { x: x + w / 2, y: y + d, class: 'blank-name' },
        out > 0.5 ? `${id}: ${seamLength(out, metric)} longer than the sheet, unless turned` : `${id} on its sheet`,
      ),
    );
  });
}

const boxes = new WeakMap();

function boxOf(piece) {
  if (!boxes.has(piece)) {
    const all = polylines(piece.outline).flat();
    const [xs, ys] = [all.map((p) => p[0]), all.map((p) => p[1])];
    const [x, y] = [Math.min(...xs), Math.min(...ys)];
    boxes.set(piece, { x, y, w: Math.max(...xs) - x, h: Math.max(...ys) - y });
  }
  return boxes.get(piece);
}

// How large its name may be, in mm: it stays inside, and is left out where it could not be read.
export function roomFor(piece) {
  const { w, h: deep } = boxOf(piece);
  return Math.round(Math.min(deep * 0.6, w / (0.75 * piece.id.length)));
}

// Names of one layer's pieces, or of those that meet at the chosen seam: all names at once lie over one another.
function names(app) {
  const layer = app.ui.behind ? app.state.layers.find((one) => one.base).id : app.ui.layer;
  const pieces = (app.views.pieces && app.views.pieces.pieces) || [];
  const flipped = app.ui.behind ? -1 : 1;
  const meeting = layer ? null : seamOf(app, app.ui.seam);
  return pieces
    .filter((piece) => (layer ? piece.layer === layer : meeting && meeting.pieces.includes(piece.id)))
    .map((piece) =>
      h(
        'text',
        {
          key: piece.id,
          transform: `translate(${piece.at_mm[0]} ${piece.at_mm[1]}) scale(${flipped} 1)`,
          class: 'name fitted',
          style: { '--most': String(roomFor(piece)) },
        },
        piece.id,
      ),
    );
}

// From behind one sees the base alone: its back, its seams, where the tape goes.
function behind(app) {
  const base = app.state.layers.find((layer) => layer.base);
  const pieces = ((app.views.pieces && app.views.pieces.pieces) || []).filter((piece) => piece.layer === base.id);
  return pieces.map((piece) => h('path', { key: piece.id, class: 'back', d: piece.outline }));
}

function counts(app) {
  const sum = app.state.bill;
  const metric = isMetric(app.state.settings);
  if (!sum) return null;
  const grid = sum.plain_grid;
  return h(
    'div',
    { key: 'counts' },
    h(
      'p',
      { class: 'sentence' },
      `${count(sum.pieces, 'piece')}, ${seamLength(sum.seam_mm || 0, metric)} of seams, ${seamLength(sum.visible_seam_mm || 0, metric)} of them in sight.`,
    ),
    grid &&
      h(
        'p',
        { class: 'note' },
        `A plain grid would have made ${count(grid.pieces, 'piece')}, with ${seamLength(grid.visible_seam_mm, metric)} in sight.`,
      ),
  );
}

function which(app) {
  const layers = (app.state.layers || []).filter((layer) => seamsOf(app).some((seam) => seam.layer === layer.id));
  const chosen = layers.find((layer) => layer.id === app.ui.layer);
  return h(
    'div',
    { key: 'which' },
    h(
      'p',
      { class: 'sentence' },
      'Shown: the seams of ',
      word(app, 'which', chosen ? chosen.name : 'every layer', { what: 'Whose seams are shown' }),
      '. In sight they are wide with ticks across, hidden under paper they are dashed.',
    ),
    choices(
      app,
      'which',
      'Whose seams?',
      [
        { label: 'Every layer', on: !chosen, pick: () => app.set({ layer: null, seam: null }) },
        ...layers.map((layer) => ({
          label: `${layer.id} ${layer.name}`,
          on: chosen === layer,
          pick: () => app.set({ layer: layer.id, seam: null }),
        })),
      ],
      null,
    ),
  );
}

function views(app) {
  const far = app.ui.view === 'far';
  return h(
    'p',
    { key: 'views', class: 'row' },
    h(
      'button',
      { type: 'button', id: 'six-feet', class: 'plain', 'aria-pressed': far ? 'true' : 'false', onclick: () => fromSixFeet(app, !far) },
      far ? 'Come near again' : 'As seen from 6 ft',
    ),
    h(
      'button',
      {
        type: 'button',
        id: 'behind',
        class: 'plain',
        'aria-pressed': app.ui.behind ? 'true' : 'false',
        onclick: () => app.set({ behind: !app.ui.behind, tool: null, draft: null }),
      },
      app.ui.behind ? 'Look from the front' : 'Look from behind',
    ),
    far && h('span', { class: 'note' }, 'As large as it looks from there, with the screen two feet from your eyes.'),
  );
}

// As large on the screen as the piece looks from six feet away, with nothing but what one would see.
function fromSixFeet(app, far) {
  app.set({ view: far ? 'far' : null, tool: null, draft: null });
  if (!far) return app.table.home();
  const { width, height } = app.state.finished_mm;
  const unit = (PIXEL_MM * SIX_FEET) / EYE_TO_SCREEN;
  const floor = document.getElementById('floor');
  const [w, d] = [(floor.clientWidth * unit) / 1.1, (floor.clientHeight * unit) / 1.1];
  return setTimeout(() => app.table.look({ x: width / 2 - w / 2, y: height / 2 - d / 2, w, h: d }), 60);
}

function chosenSeam(app) {
  const list = shown(app);
  const seam = list.find((one) => one.id === app.ui.seam);
  const at = list.indexOf(seam);
  const go = (step) =>
    app.set({ seam: list[(at < 0 ? (step > 0 ? 0 : list.length - 1) : at + step + list.length) % list.length].id, draft: null });
  const metric = isMetric(app.state.settings);
  const layer = seam && app.state.layers.find((one) => one.id === seam.layer);
  return h(
    'div',
    { key: 'chosen', class: 'areas', role: 'group', 'aria-label': 'Seam by seam' },
    seam
      ? h(
          'p',
          { class: 'sentence' },
          `Seam ${seam.id} of ${layer.name}, between ${seam.pieces.join(' and ')}: ${seam.visible_mm > 0.5 ? `${seamLength(seam.visible_mm, metric)} in sight` : 'hidden'}, ${seam.pinned ? 'pinned by you.' : 'free: it may move when something else does.'}`,
        )
      : h('p', { class: 'sentence' }, 'Press a seam, or go through them one by one.'),
    h(
      'p',
      { class: 'row' },
      h('button', { type: 'button', id: 'seam-before', class: 'plain', disabled: !list.length, onclick: () => go(-1) }, 'Seam before'),
      h('button', { type: 'button', id: 'seam-next', class: 'plain', disabled: !list.length, onclick: () => go(1) }, 'Next seam'),
      seam &&
        !seam.pinned &&
        h(
          'button',
          {
            type: 'button',
            id: 'seam-pin',
            class: 'plain',
            onclick: () => app.decide({ edit: 'seam', colour: layer.colour, points_mm: seam.points }),
          },
          'Pin it as it runs',
        ),
      seam &&
        seam.pinned &&
        h('button', { type: 'button', id: 'seam-free', class: 'plain', onclick: () => app.strike(seam.pinned, true) }, 'Pull the pins out'),
      seam &&
        h(
          'button',
          {
            type: 'button',
            id: 'seam-none',
            class: 'plain',
            onclick: () => app.decide({ edit: 'no-seam', colour: layer.colour, points_mm: seam.points }),
          },
          'No seam here',
        ),
    ),
    seam &&
      h(
        'p',
        { class: 'note' },
        'Its pins take the keyboard: Tab to a pin in the picture, arrow keys slide it, Enter sets it, Escape lets it go back.',
      ),
  );
}

function add(app) {
  const on = app.ui.tool === 'seam';
  const layers = app.state.layers || [];
  const layer = layers.find((one) => one.id === app.ui.layer) || layers.find((one) => one.base);
  return h(
    'p',
    { key: 'add', class: 'row' },
    h(
      'button',
      {
        type: 'button',
        id: 'seam-add',
        class: 'plain',
        'aria-pressed': on ? 'true' : 'false',
        onclick: () => startSeam(app, on ? null : layer),
      },
      on ? 'Leave it' : `Add a seam of your own in ${layer ? layer.name : 'a layer'}`,
    ),
  );
}

function startSeam(app, layer) {
  app.set({
    tool: layer ? 'seam' : null,
    draft: layer ? { layer: layer.id, colour: layer.colour, from: null, at: null } : null,
    layer: layer ? layer.id : app.ui.layer,
    behind: false,
  });
  if (layer) document.getElementById('floor').focus();
}
