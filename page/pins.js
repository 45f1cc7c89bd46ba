// pins.js - pins in the hand: sliding one along its outline, setting two new ones, drawing a ring to keep clear.
// While the hand moves, only the thread is drawn anew; the engine is asked when it lets go.

import { polylines, nearest, slide } from './along.js';

const KEY_PX = 6; // how far one press of an arrow slides a pin
const known = new WeakMap(); // outlines as points, by layer of the newest view

function outlineOf(app, id) {
  const layer = ((app.views.layers && app.views.layers.layers) || []).find((one) => one.id === id);
  if (!layer) return [];
  if (!known.has(layer)) known.set(layer, polylines(layer.outline));
  return known.get(layer);
}

function colourOf(app, seam) {
  return app.state.layers.find((layer) => layer.id === seam.layer).colour;
}

function laid(seam, end, at) {
  const points = seam.points.length > 2 ? seam.points.map((p) => [...p]) : [seam.ends[0], seam.ends[1]];
  points[end === 0 ? 0 : points.length - 1] = at;
  return points;
}

function putDown(app, seam, points) {
  app.set({ draft: null, seam: null });
  app.say('The pin is set; the engine lays the thread.');
  return app.decide({ edit: 'move-seam', colour: colourOf(app, seam), from_mm: seam.points, points_mm: points });
}

/** A pin under a finger. */
export function slidePin(app, seam, end) {
  if (!seam) return null;
  const lines = outlineOf(app, seam.layer);
  app.set({ seam: seam.id, draft: { seam, end, points: laid(seam, end, seam.ends[end]) } });
  let points = null;
  return {
    move([x, y]) {
      const place = nearest(lines, x, y);
      if (!place) return;
      points = laid(seam, end, place.at);
      app.hand({ seam, end, points });
    },
    done(kept) {
      if (kept && points) putDown(app, seam, points);
      else app.set({ draft: null });
    },
  };
}

/** A pin that has the keyboard. */
export function slideKeys(app, event, seam, end, scale) {
  if (!seam) return false;
  const { draft } = app.ui;
  const mine = draft && draft.seam && draft.seam.id === seam.id && draft.end === end ? draft : null;
  if (event.key === 'Escape' && mine) return app.set({ draft: null }) || true;
  if (event.key === 'Enter' && mine) return putDown(app, seam, mine.points) && true;
  if (event.key === 'Delete' || event.key === 'Backspace') {
    app.decide({ edit: 'no-seam', colour: colourOf(app, seam), points_mm: seam.points });
    return true;
  }
  const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
  if (!step) return false;
  const lines = outlineOf(app, seam.layer);
  const place = (mine && mine.place) || nearest(lines, ...seam.ends[end]);
  if (!place) return true;
  const next = slide(lines, place, step * KEY_PX * scale * (event.shiftKey ? 5 : 1));
  app.hand({ seam, end, place: next, points: laid(seam, end, next.at), byKey: true });
  return true;
}

/** A new seam by pressing two places. */
export function newSeamPress(app, [x, y]) {
  const { draft } = app.ui;
  const place = nearest(outlineOf(app, draft.layer), x, y);
  if (!place) return;
  if (!draft.from) app.set({ draft: { ...draft, from: place.at, at: null, place: null } });
  else finishSeam(app, place.at);
}

function finishSeam(app, at) {
  const { draft } = app.ui;
  app.set({ tool: null, draft: null });
  app.decide({ edit: 'seam', colour: draft.colour, points_mm: [draft.from, at] });
}

/** A new seam by keyboard: arrows slide the pin, Enter sets it. */
export function pinKeysFor(app, event, scale) {
  const { draft } = app.ui;
  if (event.key === 'Escape') return app.set({ tool: null, draft: null }) || true;
  const lines = outlineOf(app, draft.layer);
  const place = draft.place || nearest(lines, ...(draft.from || [0, 0]));
  if (!place) return false;
  if (event.key === 'Enter') {
    if (draft.from) finishSeam(app, place.at);
    else app.set({ draft: { ...draft, from: place.at, at: null, place } });
    return true;
  }
  const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
  if (!step) return false;
  const next = slide(lines, place, step * KEY_PX * scale * (event.shiftKey ? 8 : 2));
  app.hand({ ...draft, at: next.at, place: next });
  return true;
}

// ---- a ring round a place that stays clear of seams

/** A ring in the middle of the piece. */
export function newRing(app) {
  const { width, height } = app.state.finished_mm;
  return { x: width / 2, y: height / 2, rx: height * 0.1, ry: height * 0.1 };
}

/** The ring as an area with sixteen corners. */
export function ringPoints({ x, y, rx, ry }) {
  return Array.from({ length: 16 }, (_, i) => [x + rx * Math.cos((i * Math.PI) / 8), y + ry * Math.sin((i * Math.PI) / 8)]);
}

/** A finger inside moves the ring, elsewhere it draws a new one. */
export function ringGrip(app, [x0, y0]) {
  const { ring } = app.ui.draft;
  const inside = ((x0 - ring.x) / ring.rx) ** 2 + ((y0 - ring.y) / ring.ry) ** 2 < 1;
  return {
    move([x, y]) {
      const moved = inside
        ? { ...ring, x: ring.x + x - x0, y: ring.y + y - y0 }
        : { x: (x + x0) / 2, y: (y + y0) / 2, rx: Math.max(4, Math.abs(x - x0) / 2), ry: Math.max(4, Math.abs(y - y0) / 2) };
      app.hand({ ring: moved });
    },
    done() {},
  };
}

/** The ring by keyboard. */
export function ringKeys(app, event, scale) {
  const { ring } = app.ui.draft;
  const step = 10 * scale;
  const changes = {
    ArrowLeft: { x: ring.x - step },
    ArrowRight: { x: ring.x + step },
    ArrowUp: { y: ring.y - step },
    ArrowDown: { y: ring.y + step },
    '+': { rx: ring.rx * 1.1, ry: ring.ry * 1.1 },
    '=': { rx: ring.rx * 1.1, ry: ring.ry * 1.1 },
    '-': { rx: ring.rx / 1.1, ry: ring.ry / 1.1 },
  }[event.key];
  if (event.key === 'Escape') return app.set({ tool: null, draft: null }) || true;
  if (event.key === 'Enter') {
    document.getElementById('clear-done').click();
    return true;
  }
  if (!changes) return false;
  app.hand({ ring: { ...ring, ...changes } });
  return true;
}
