// scene.js - what stands and lies on the table, all at one scale: door, person, the piece, its strips, the paper.
// Millimetres of the finished piece; its lower edge stands on the floor.

import { h, kept } from './draw.js';
import { longLength, isMetric } from './words.js';
import { shelfView, shelfBox, piles } from './piles.js';
import { strips, STRIP_SHARE } from './strips.js';
import { door, person, DOOR_MM, PERSON_MM } from './people.js';

const BLANK = { width: 914.4, height: 1219.2 }; // an empty place of 3 x 4 ft, until there is a picture

function size(app) {
  const { state } = app;
  if (!state || !state.job) return BLANK;
  if (state.finished_mm) return state.finished_mm;
  const { width_px: width, height_px: height } = state.job.picture || {};
  const tall = (state.settings && state.settings.height_mm) || BLANK.height;
  return { width: width && height ? (tall * width) / height : tall * 0.75, height: tall };
}

/** Where what stands: named boxes {x, y, w, h} to look at. */
export function sights(app) {
  const { width, height } = size(app);
  const hasJob = Boolean(app.state && app.state.job);
  const stripHeight = height * STRIP_SHARE;
  const left = -(height * 0.16 + 180 + PERSON_MM.width + 160 + DOOR_MM.width);
  const shelf = hasJob ? shelfBox(app, size(app)) : { x: width, y: height, w: 0, h: 0 };
  const top = Math.min(-height * 0.1, height - DOOR_MM.height - 120, shelf.y);
  const whole = { x: left, y: top, w: shelf.x + shelf.w - left, h: height * 1.03 + stripHeight * 1.2 - top };
  const piece = { x: -height * 0.13, y: -height * 0.105, w: width + height * 0.16, h: height * 1.125 + stripHeight };
  const bare = { x: -width * 0.02, y: -height * 0.02, w: width * 1.04, h: height * 1.04 };
  return {
    whole,
    piece: hasJob ? piece : null,
    bare,
    lifted: { ...piece, y: -height * 0.34, h: height * 1.36 + stripHeight, w: piece.w + height * 0.24 },
    cut: { ...piece, h: height * 1.46 },
    shelf: {
      x: -height * 0.13,
      y: Math.min(shelf.y, -height * 0.1),
      w: shelf.x + shelf.w + height * 0.13,
      h: height * 1.03 + stripHeight - Math.min(shelf.y, -height * 0.1),
    },
    ...(hasJob ? piles(app, size(app)).sights : {}),
  };
}

/** Everything on the table. */
export function scene(app) {
  const { width, height } = size(app);
  const metric = isMetric(app.state && app.state.settings);
  const hasJob = Boolean(app.state && app.state.job);
  const question = app.question();
  const parts = hasJob && question && question.scene ? question.scene(app, { width, height, metric }) : {};
  const spot = height * 0.16 + 180 + PERSON_MM.width / 2;
  return [
    h(
      'defs',
      { key: 'defs' },
      h(
        'pattern',
        { id: 'hatch', width: 9, height: 9, patternUnits: 'userSpaceOnUse', patternTransform: 'rotate(45)' },
        h('path', { d: 'M0 0V9', class: 'hatch-line' }),
      ),
    ),
    h('rect', { key: 'boards', class: 'boards', x: -60000, y: height, width: 120000, height: 60000 }),
    h('path', { key: 'edge', class: 'skirting', d: `M-60000 ${height}H60000` }),
    kept('g', { key: 'door', transform: `translate(${-spot - PERSON_MM.width / 2 - 160 - DOOR_MM.width} ${height})` }, [], door),
    kept('g', { key: 'person', transform: `translate(${-spot} ${height})` }, [], person),
    hasJob && !app.ui.behind && !parts.noDimensions && dimensions(width, height, metric),
    hasJob ? piece(app, parts, width, height) : emptyPlace(width, height, app),
    hasJob && !parts.noStrips && strips(app, width, height),
    hasJob &&
      kept(
        'g',
        { key: 'shelf', class: app.state.stale ? 'shelf stale' : 'shelf' },
        [app.views.sheets, app.views.pieces, app.state.layers, app.ui.open, app.ui.pile, app.ui.piece, app.ui.places, width, height],
        () => shelfView(app, { width, height }),
      ),
    parts.over && h('g', { key: 'over', class: 'over' }, parts.over),
  ];
}

function emptyPlace(width, height, app) {
  return h(
    'g',
    { key: 'empty', class: 'empty' },
    h('rect', { x: 0, y: 0, width, height, rx: 4 }),
    (app.carrying ? ['Here it comes'] : ['A picture', 'can be', 'dropped here']).map((line, i) =>
      h('text', { key: i, x: width / 2, y: height * (0.42 + i * 0.12), class: 'big' }, line),
    ),
  );
}

// Dimension lines with oblique ticks, as on a technical drawing (ISO 129-1 allows them).
function dimensions(width, height, metric) {
  const off = height * 0.06;
  const tick = height * 0.012;
  const slash = (x, y) => `M${x - tick} ${y + tick}L${x + tick} ${y - tick}`;
  return h(
    'g',
    { key: 'dimensions', class: 'dimensions' },
    h('path', {
      d:
        `M${-off} 0V${height}M${-off - tick} 0H${-tick}M0 ${-off}H${width}M0 ${-off - tick}V${-tick}M${width} ${-off - tick}V${-tick}` +
        slash(-off, 0) +
        slash(-off, height) +
        slash(0, -off) +
        slash(width, -off),
    }),
    h('text', { class: 'measure', transform: `translate(${-off - tick * 1.6} ${height / 2}) rotate(-90)` }, longLength(height, metric)),
    h('text', { class: 'measure', x: width / 2, y: -off - tick * 1.6 }, longLength(width, metric)),
  );
}

function piece(app, parts, width, height) {
  const turned = app.ui.behind ? `translate(${width} 0) scale(-1 1)` : null;
  const layers = app.views.layers && app.views.layers.layers;
  const regions = app.views.picture && app.views.picture.regions;
  let drawn = null;
  if (parts.instead) drawn = parts.instead;
  else if (layers && layers.length) drawn = () => papers(app, layers, width, height);
  else if (regions && regions.length)
    drawn = regions
      .filter((region) => !region.ground)
      .map((region, i) => h('path', { key: i, d: region.path, fill: region.colour, class: 'area' }));
  else
    drawn = [
      h('rect', { key: 'wait', class: 'waiting', x: 0, y: 0, width, height }),
      app.laid && h('image', { key: 'laid', href: app.laid, x: 0, y: 0, width, height }),
    ];
  return h(
    'g',
    { key: 'piece', class: app.state.stale ? 'piece stale' : 'piece', transform: turned },
    typeof drawn === 'function'
      ? kept('g', { key: 'paper' }, [layers, app.ui.lifted, width, height], drawn)
      : h('g', { key: 'drawn' }, drawn),
    h('g', { key: 'on' }, parts.on || null),
  );
}

// Each layer throws a little shadow on the one below: that is how one sees that it is paper.
function papers(app, layers, width, height) {
  const deep = height / 700;
  return layers.map((layer, i) => {
    const lift = app.ui.lifted ? i * height * 0.035 : 0;
    return h(
      'g',
      { key: layer.id, class: 'layer', transform: lift ? `translate(${lift} ${-lift})` : null, 'data-layer': layer.id },
      h('path', { class: 'shadow', d: layer.outline, transform: `translate(${deep} ${deep * 1.6})` }),
      h('path', { class: 'paper', d: layer.outline, fill: layer.colour }),
    );
  });
}
