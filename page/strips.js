// strips.js - each colour hangs as a strip of paper from the picture's lower edge, as wide as its share.

import { h } from './draw.js';
import { inkOn, share } from './words.js';

export const STRIP_SHARE = 0.085; // of the piece's height
const LEAST = 0.035; // of its width: narrower ones could not be pressed

/** The strips; the piece is `width` x `height` mm. */
export function strips(app, width, height) {
  const colours = (app.state.colours || []).filter((colour) => colour.fate === 'paper' || !colour.fate);
  const wide = colours.map((colour) => Math.max(colour.share, LEAST));
  const sum = wide.reduce((a, b) => a + b, 0) || 1;
  const deep = height * STRIP_SHARE;
  let x = 0;
  return h(
    'g',
    { key: 'strips', class: 'strips' },
    colours.map((colour, i) => {
      const w = (wide[i] / sum) * width;
      const chosen = app.ui.open === 'colours' && app.ui.colour === colour.colour;
      const long = deep * (chosen ? 1.14 : 1 - 0.06 * (i % 2));
      const d = tornStrip(x, height + deep * 0.1, w, long);
      const middle = x + w / 2;
      x += w;
      return h(
        'g',
        {
          key: colour.colour,
          class: chosen ? 'strip chosen' : 'strip',
          role: 'button',
          tabindex: 0,
          'aria-pressed': chosen ? 'true' : 'false',
          'aria-label': `${colour.name}, ${share(colour.share)} of the picture`,
          id: `strip-${colour.colour.slice(1)}`,
          'data-strip': colour.colour,
          onclick: () => choose(app, colour.colour),
          onkeydown: (event) => (event.key === 'Enter' || event.key === ' ') && (event.preventDefault(), choose(app, colour.colour)),
        },
        h('path', { class: 'shadow', d, transform: `translate(${height / 700} ${height / 440})` }),
        h('path', { class: 'paper', d, fill: colour.colour }),
        w > width * 0.013 * colour.name.length &&
          h(
            'text',
            {
              x: middle,
              y: height + deep * 0.62,
              fill: inkOn(colour.colour),
              class: 'strip-name',
              style: { '--most': String(Math.min(deep * 0.42, (w / Math.max(4, colour.name.length)) * 1.55)) },
            },
            colour.name,
          ),
      );
    }),
  );
}

function choose(app, colour) {
  const same = app.ui.open === 'colours' && app.ui.colour === colour;
  if (app.ui.open !== 'colours') app.open('colours', { colour });
  else app.set({ colour: same ? null : colour, region: null });
}

// The lower end is cut on the slant, as strips in a drawer of samples are.
function tornStrip(x, y, w, long) {
  const gap = w * 0.02;
  const cut = Math.min(w * 0.2, long * 0.16);
  return `M${x + gap} ${y}H${x + w - gap}V${y + long - cut}L${x + gap} ${y + long}Z`;
}
