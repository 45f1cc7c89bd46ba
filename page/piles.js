// piles.js - the paper that the job takes: piles on shelf boards, as high as they have sheets; an open pile hangs in one
// wrapping line in cutting order. All at the table's own scale.

import { h } from './draw.js';
import { dotted } from './elsewhere.js';
import { inkOn } from './words.js';

const BETWEEN_MM = 90; // room for a pile's name and for a hand
const LEFT_MM = 170; // between the piece and the line
const LEAF_MM = 3.2; // a sheet in a pile, thickness exaggerated about twelve times
const FALLBACK_MM = [215.9, 279.4]; // letter: ANSI/ASME Y14.1; until the engine has said which

/** Piles by paper and colour, in the order of the layers: {key, name, colour, size, usable, sheets, count}. */
export function pilesOf(app) {
  const view = app.views.sheets && app.views.sheets.sheets;
  if (!view || !view.length) return [];
  const found = new Map();
  for (const sheet of view) {
    const key = `${sheet.paper}|${sheet.colour}`;
    if (!found.has(key))
      found.set(key, {
        key,
        colour: sheet.colour,
        paper: sheet.paper,
        size: sheet.size_mm || FALLBACK_MM,
        usable: sheet.usable_mm,
        sheets: [],
      });
    found.get(key).sheets.push(sheet);
  }
  const names = new Map((app.state.layers || []).map((layer) => [layer.colour, layer.name]));
  return [...found.values()].map((pile) => ({ ...pile, name: names.get(pile.colour) || pile.paper, count: pile.sheets.length }));
}

function layout(app, { width, height }) {
  const all = pilesOf(app);
  const columns = Math.min(4, Math.max(2, Math.ceil(all.length / 3)));
  const open = app.ui.open === 'sheets' && all.find((pile) => pile.key === app.ui.pile);
  const line = open ? hanging(open, width + LEFT_MM, { height }) : null;
  const x0 = line ? line.x + line.w + 180 : width + Math.max(160, height * 0.12);
  const cellWidth = Math.max(0, ...all.map((pile) => pile.size[0] + pile.count * LEAF_MM)) + BETWEEN_MM;
  const rows = [];
  for (let i = 0; i < all.length; i += columns) rows.push(all.slice(i, i + columns));
  let board = height;
  const placed = rows.flatMap((row) => {
    const y = board;
    const deep = Math.max(...row.map((pile) => pile.size[1] + pile.count * LEAF_MM)) + BETWEEN_MM;
    board -= deep + 30;
    return row.map((pile, i) => ({ ...pile, x: x0 + 40 + i * cellWidth, y: y - 46, board: y }));
  });
  const box = all.length
    ? { x: x0, y: board + 30, w: Math.min(columns, all.length) * cellWidth + 20, h: height - board }
    : { x: width, y: height, w: 0, h: 0 };
  return { placed, box, line };
}

/** The place of the shelf. */
export function shelfBox(app, size) {
  return layout(app, size).box;
}

/** Boxes to look at: the open pile with the piece beside it, so that the thread between them is seen. */
export function piles(app, size) {
  const { line } = layout(app, size);
  if (!line) return { sights: {} };
  return {
    sights: {
      line: {
        x: -size.height * 0.13,
        y: Math.min(line.y, -size.height * 0.1),
        w: line.x + line.w + size.height * 0.13,
        h: size.height * 1.12 - Math.min(line.y, -size.height * 0.1),
      },
    },
  };
}

// How an open pile hangs: rows of sheets that are as wide as they are high together, more or less.
function hanging(pile, x, { height }) {
  const [w, d] = [pile.size[0] + 36, pile.size[1] + 90];
  const across = Math.max(1, Math.min(pile.count, Math.ceil(Math.sqrt((pile.count * d * 0.9) / w))));
  const down = Math.ceil(pile.count / across);
  const y = Math.min(-height * 0.02, height - down * d - 40);
  return { x, y, w: across * w + 60, h: down * d, across, down, step: [w, d] };
}

/** Boards with piles, and the open pile's line. */
export function shelfView(app, { width, height }) {
  const { placed, box, line } = layout(app, { width, height });
  const boards = [...new Set(placed.map((pile) => pile.board))];
  const open = line && placed.find((pile) => pile.key === app.ui.pile);
  return [
    h(
      'g',
      { key: 'boards' },
      boards.map((y) => h('path', { key: y, class: 'board', d: `M${box.x} ${y - 30}h${box.w}v14h${-box.w}z` })),
    ),
    placed.map((pile) => pileView(app, pile)),
    open && h('g', { key: 'line', class: 'hanging' }, hangingView(app, open, line)),
  ];
}

function pileView(app, pile) {
  const [w, d] = pile.size;
  const leaves = [];
  for (let i = pile.count - 1; i > 0; i--)
    leaves.push(h('rect', { key: i, class: 'leaf', x: i * LEAF_MM, y: -d - i * LEAF_MM, width: w, height: d, fill: pile.colour }));
  const open = app.ui.open === 'sheets' && app.ui.pile === pile.key;
  const press = () => app.open('sheets', { pile: open ? null : pile.key, piece: null });
  return h(
    'g',
    {
      key: pile.key,
      class: open ? 'pile chosen' : 'pile',
      transform: `translate(${pile.x} ${pile.y + 16})`,
      'data-pile': pile.key,
      onclick: press,
    },
    leaves,
    h('rect', { key: 'top', class: 'leaf', x: 0, y: -d, width: w, height: d, fill: pile.colour }),
    pile.usable && h('path', { key: 'rim', class: 'rim', d: rim(pile.size, pile.usable), transform: `translate(0 ${-d})` }),
    h('text', { key: 'count', class: 'pile-count', x: w / 2, y: -d / 2, fill: inkOn(pile.colour) }, String(pile.count)),
  );
}

/** What cutter and paper lose at the edges of a sheet. */
export function rim([w, d], [x, y, uw, ud]) {
  return `M0 0H${w}V${d}H0ZM${x} ${y}V${y + ud}H${x + uw}V${y}Z`;
}

function hangingView(app, pile, line) {
  const [w, d] = line.step;
  const rows = [];
  for (let row = 0; row < line.down; row++) {
    const y = line.y + row * d + 40;
    rows.push(
      h('path', {
        key: `cord${row}`,
        class: 'cord',
        d: `M${line.x - 30} ${y - 16}Q${line.x + line.w / 2} ${y + 14} ${line.x + line.w} ${y - 16}`,
      }),
    );
  }
  const found = app.ui.piece;
  const sheets = pile.sheets.map((sheet, i) => {
    const [x, y] = [line.x + (i % line.across) * w + 20, line.y + Math.floor(i / line.across) * d + 44];
    return h(
      'g',
      { key: sheet.id, class: 'sheet', transform: `translate(${x} ${y})` },
      h('rect', { class: 'shadow', x: 3, y: 5, width: pile.size[0], height: pile.size[1] }),
      h('rect', { class: 'leaf', width: pile.size[0], height: pile.size[1], fill: pile.colour }),
      h('path', { class: 'rim', d: rim(pile.size, sheet.usable_mm || pile.usable) }),
      sheet.pieces.map((piece) =>
        h(
          'path',
          {
            key: piece.id,
            class: piece.id === found ? 'cut chosen' : 'cut',
            d: piece.outline,
            'data-piece': piece.id,
            stroke: inkOn(pile.colour),
            fill: pile.colour,
          },
          h('title', null, piece.id),
        ),
      ),
      dotted(app, sheet),
      h('path', { class: 'clip', d: `M${pile.size[0] / 2 - 9} -14h18l-4 34h-10z` }),
      h('text', { class: 'sheet-name', x: pile.size[0] / 2, y: pile.size[1] + 26 }, `sheet ${i + 1} of ${pile.count}`),
    );
  });
  return [...rows, ...sheets, thread(app, pile, line)];
}

// From the chosen piece on its sheet to its place in the picture.
function thread(app, pile, line) {
  const place = app.views.pieces && app.views.pieces.pieces.find((piece) => piece.id === app.ui.piece);
  const number = pile.sheets.findIndex((sheet) => sheet.pieces.some((piece) => piece.id === app.ui.piece));
  if (!place || number < 0) return null;
  const [w, d] = line.step;
  const start = pile.sheets[number].pieces.find((piece) => piece.id === app.ui.piece).outline.match(/^M\s*(-?[\d.]+)[ ,](-?[\d.]+)/);
  const from = [
    line.x + (number % line.across) * w + 20 + Number(start[1]),
    line.y + Math.floor(number / line.across) * d + 44 + Number(start[2]),
  ];
  const [x, y] = place.at_mm;
  const sag = Math.max(from[1], y) + 160;
  return h(
    'g',
    { key: 'thread', class: 'thread' },
    h('path', { d: `M${from[0]} ${from[1]}C${from[0] - 300} ${sag} ${x + 300} ${sag} ${x} ${y}` }),
    h('path', { class: 'here', d: place.outline }),
  );
}
