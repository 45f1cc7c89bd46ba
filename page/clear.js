// clear.js - places that stay clear of seams in sight: an area of the picture, or a ring of one's own.

import { h } from './draw.js';
import { newRing, ringPoints } from './pins.js';

/** The two ways to say it, and what is in the hand. */
export function clearView(app) {
  const { tool, draft, region } = app.ui;
  const regions = regionsOf(app);
  return h(
    'div',
    { key: 'clear', class: 'areas', role: 'group', 'aria-label': 'Keep clear' },
    h('p', { class: 'sentence' }, 'No seam in sight shall cross:'),
    h('p', { class: 'row' }, way(app, 'region', 'clear-region', 'an area of the picture'), way(app, 'ring', 'clear-add', 'a ring that I draw')),
    tool === 'region' &&
      h(
        'p',
        { class: 'row' },
        step(app, regions, -1, 'Area before'),
        step(app, regions, 1, 'Next area'),
        regions[region] && done(() => keep(app, { at_mm: regions[region].at_mm })),
      ),
    tool === 'ring' && draft && h('p', { class: 'row' }, done(() => keep(app, { points_mm: ringPoints(draft.ring) }))),
  );
}

function regionsOf(app) {
  return ((app.views.picture && app.views.picture.regions) || []).filter((region) => !region.ground);
}

function way(app, tool, id, label) {
  const on = app.ui.tool === tool;
  return h(
    'button',
    { type: 'button', id, class: 'plain', 'aria-pressed': on ? 'true' : 'false', onclick: () => begin(app, on ? null : tool) },
    on ? 'Leave it' : label,
  );
}

function begin(app, tool) {
  app.set({ tool, region: null, draft: tool === 'ring' ? { ring: newRing(app) } : null, behind: false, view: null });
  if (tool) document.getElementById('floor').focus();
}

function step(app, regions, by, label) {
  const at = app.ui.region;
  const next = at === null || !regions[at] ? (by > 0 ? 0 : regions.length - 1) : (at + by + regions.length) % regions.length;
  return h('button', { type: 'button', id: by > 0 ? 'clear-next' : 'clear-before', class: 'plain', onclick: () => app.set({ region: next }) }, label);
}

function done(onclick) {
  return h('button', { type: 'button', id: 'clear-done', class: 'main', onclick }, 'Keep it clear');
}

function keep(app, where) {
  app.set({ tool: null, draft: null, region: null });
  app.decide({ edit: 'keep-clear', ...where });
}

/** The areas, to be pressed; once an area is shown, a second press on it decides. */
export function clearAreas(app) {
  if (app.ui.tool !== 'region') return null;
  return regionsOf(app).map((region, i) =>
    h('path', { key: i, d: region.path, 'data-clear': i, class: app.ui.region === i ? 'area chosen' : 'area' }),
  );
}

/** A press on the table while an area is asked for. */
export function clearPress(app, target) {
  const number = target.dataset.clear;
  if (number === undefined) return;
  const at = Number(number);
  if (app.ui.region === at) keep(app, { at_mm: regionsOf(app)[at].at_mm });
  else app.set({ region: at });
}

/** What is kept clear already, hatched: rings as they were drawn, areas as they are now. */
export function clearPlaces(app) {
  const frame = app.state.figure_mm;
  if (!frame || app.ui.view === 'far' || app.ui.behind) return null;
  const place = ([x, y]) => [frame.left + x * frame.height, frame.top + y * frame.height];
  return app.state.docket
    .filter((entry) => !entry.struck && entry.line && entry.line.edit === 'keep-clear')
    .map(({ id, line }) => {
      const d = line.points ? `M${line.points.map((p) => place(p).join(' ')).join('L')}Z` : nearestArea(app, place(line.at));
      return d ? h('path', { key: id, class: 'clear-place', d }) : null;
    });
}

// An area was named by a place well inside it, and is found by the same.
function nearestArea(app, [x, y]) {
  let best = null;
  let least = Infinity;
  for (const region of regionsOf(app)) {
    const off = Math.hypot(region.at_mm[0] - x, region.at_mm[1] - y);
    if (off < least) [best, least] = [region.path, off];
  }
  return best;
}
