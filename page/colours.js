// colours.js - what is cut from what: each colour's fate, holes that show the wall, places too thin or too small to cut.

import { h } from './draw.js';
import { word, choices, sentence, pressable, waiting } from './ask.js';
import { share, count } from './words.js';
import { findings, showPlace } from './findings.js';

const MOST_AREAS = 12; // of a colour that goes at once: each becomes a line of the docket
const FATES = { paper: 'its own paper', same: 'the same as', 'left-out': 'left out' };

export const colours = {
  id: 'colours',
  question: 'What is cut from what?',
  needs: ['picture', 'thin'],
  sight: (app) =>
    app.state.settings && app.ui.colour === null && !app.ui.region && app.state.missing && app.state.missing.length ? 'whole' : 'piece',
  hint: () => 'Press a hole to fill it with paper. Press paper twice, and the wall shows there.',
  short: (app) => {
    const kept = (app.state.colours || []).filter((colour) => colour.fate === 'paper' || !colour.fate).length;
    const thin = thinPlaces(app).length;
    return kept ? `${count(kept, 'colour')}${thin ? `, ${count(thin, 'place')} hard to cut` : ''}.` : null;
  },

  docket(app) {
    const list = app.state.colours || [];
    if (!list.length) return waiting(app, 'The colours are being looked for …');
    return [
      h(
        'ul',
        { key: 'colours', class: 'colours' },
        list.map((colour) => colourView(app, colour, list)),
      ),
      ground(app),
      areas(app),
      places(app),
      thicken(app),
      findings(app, ['edge-colour', 'photograph', 'soft-shading', 'colour-joined', 'fewer-colours', 'thickened', 'specks-joined'], 'Good to know'),
    ];
  },

  scene(app) {
    const regions = (app.views.picture && app.views.picture.regions) || [];
    const chosen = app.ui.colour;
    return {
      on: regions.map((region, i) =>
        h('path', {
          key: i,
          d: region.path,
          'data-region': i,
          class: [
            'area',
            region.ground ? 'wall' : '',
            chosen && region.colour !== chosen && !region.ground ? 'bleached' : '',
            app.ui.region === i ? 'chosen' : '',
          ].join(' '),
        }),
      ),
      over: rings(app),
    };
  },

  press(app, target, at) {
    const number = target.dataset.region;
    if (number === undefined) return;
    const region = app.views.picture.regions[Number(number)];
    // A hole is filled by one press. Paper wants two: the first shows which area it is, so that nothing is lost by curiosity.
    if (region.ground || app.ui.region === Number(number)) flip(app, region, at);
    else app.set({ region: Number(number), colour: region.colour });
  },
};

function colourView(app, colour, all) {
  const id = `fate-${colour.colour.slice(1)}`;
  const chosen = app.ui.colour === colour.colour;
  const other = all.find((one) => one.colour === colour.same_as);
  const edit = (line) => () => app.decide(line);
  const others = all.filter((one) => one.colour !== colour.colour && (one.fate === 'paper' || !one.fate));
  return h(
    'li',
    { key: colour.colour, class: chosen ? 'colour chosen' : 'colour' },
    h(
      'p',
      { class: 'sentence' },
      h(
        'button',
        {
          type: 'button',
          class: 'sample',
          'aria-pressed': chosen ? 'true' : 'false',
          'aria-label': `Show where ${colour.name} is`,
          title: 'Show where it is',
          onclick: () => app.set({ colour: chosen ? null : colour.colour, region: null }),
        },
        h('svg', { viewBox: '0 0 30 22', 'aria-hidden': 'true' }, h('path', { d: 'M1 1H29V17L25 21H1Z', fill: colour.colour })),
      ),
      h(
        'span',
        null,
        `${colour.name}, ${share(colour.share)}: `,
        word(app, id, fateText(colour, other), { what: `What becomes of ${colour.name}` }),
        colour.regions ? `, ${count(colour.regions, 'area')}.` : '.',
      ),
    ),
    choices(
      app,
      id,
      `What becomes of ${colour.name}?`,
      [
        { label: 'Its own paper', on: colour.fate === 'paper', pick: () => colour.line && app.strike(colour.line, true) },
        {
          label: 'Left out',
          note: 'its neighbours close over it',
          on: colour.fate === 'left-out',
          pick: edit({ edit: 'leave-out', colour: colour.colour }),
        },
        ...notCut(app, colour),
        ...others.map((one) => ({
          label: `The same as ${one.name}`,
          picture: sampleOf(one.colour),
          on: colour.same_as === one.colour,
          pick: edit({ edit: 'same', colour: colour.colour, as: one.colour }),
        })),
      ],
      {
        label: 'Or call it something else',
        value: '',
        example: colour.name,
        done: (name) => app.decide({ edit: 'name', colour: colour.colour, name }),
      },
    ),
  );
}

// Ground is said area by area: a colour in a few of them can go all at once.
function notCut(app, colour) {
  const regions = ((app.views.picture && app.views.picture.regions) || []).filter((region) => region.colour === colour.colour);
  if (!regions.length || regions.length > MOST_AREAS) return [];
  return [
    {
      label: 'Not cut',
      note: 'the wall shows there',
      pick: () => app.decide(regions.map((region) => ({ edit: 'ground', at_mm: region.at_mm }))),
    },
  ];
}

function sampleOf(colour) {
  return h('svg', { viewBox: '0 0 30 22', 'aria-hidden': 'true' }, h('path', { d: 'M1 1H29V17L25 21H1Z', fill: colour }));
}

function fateText(colour, other) {
  if (colour.fate === 'same') return `${FATES.same} ${other ? other.name : 'another'}`;
  return FATES[colour.fate] || FATES.paper;
}

function ground(app) {
  const ground = app.state.ground && app.state.ground.colour;
  return h(
    'p',
    { key: 'ground', class: 'sentence' },
    ground
      ? `The ground (${ground}) is not cut: there the wall shows, in the holes too.`
      : 'What is see-through in the picture is not cut: there the wall shows.',
  );
}

// One area after the other, for those who do not point: the same that pressing one in the picture does.
function areas(app) {
  const regions = (app.views.picture && app.views.picture.regions) || [];
  if (!regions.length) return null;
  const wanted = regions
    .map((region, i) => ({ region, i }))
    .filter(({ region }) => !app.ui.colour || region.colour === app.ui.colour || region.ground);
  const at = wanted.findIndex(({ i }) => i === app.ui.region);
  const go = (step) =>
    app.set({ region: wanted[(at < 0 ? (step > 0 ? 0 : wanted.length - 1) : at + step + wanted.length) % wanted.length].i });
  const chosen = at >= 0 ? wanted[at].region : null;
  const names = new Map((app.state.colours || []).map((colour) => [colour.colour, colour.name]));
  return h(
    'div',
    { key: 'areas', class: 'areas', role: 'group', 'aria-label': 'Area by area' },
    h(
      'p',
      { class: 'sentence' },
      chosen
        ? `Area ${at + 1} of ${wanted.length}: ${chosen.ground ? 'the wall shows here.' : `${names.get(chosen.colour) || chosen.colour} paper.`}`
        : 'Where the wall shows, one press makes it paper; where there is paper, a second press makes it wall.',
    ),
    h(
      'p',
      { class: 'row' },
      h('button', { type: 'button', id: 'area-before', class: 'plain', onclick: () => go(-1) }, 'Area before'),
      h('button', { type: 'button', id: 'area-next', class: 'plain', onclick: () => go(1) }, 'Next area'),
      chosen &&
        h(
          'button',
          { type: 'button', id: 'area-flip', class: 'plain', onclick: () => flipChosen(app, chosen) },
          chosen.ground ? 'Make it paper' : 'Make it wall',
        ),
    ),
  );
}

function flipChosen(app, region) {
  flip(app, region, region.at_mm);
}

function flip(app, region, at) {
  app.decide({ edit: region.ground ? 'paper' : 'ground', at_mm: at });
  app.say(region.ground ? 'Paper again.' : 'Now the wall shows there.');
}

export function thinPlaces(app) {
  return ((app.views.thin && app.views.thin.places) || app.state.findings || []).filter(
    (place) => place.at_mm && /thin|speck|tiny|narrow/.test(place.kind || ''),
  );
}

function places(app) {
  const list = thinPlaces(app);
  if (!list.length) return null;
  return h(
    'section',
    { key: 'places', 'aria-labelledby': 'places-head' },
    h('h3', { id: 'places-head' }, 'Hard to cut'),
    h(
      'ul',
      { class: 'places' },
      list.slice(0, 40).map((place, i) =>
        h(
          'li',
          { key: `${place.kind}${place.at_mm}` },
          pressable(
            { class: 'number', onclick: () => showPlace(app, place.at_mm) },
            `${String.fromCharCode(97 + (i % 26))}. ${sentence(place.text)}`,
          ),
          /speck|tiny/.test(place.kind) &&
            /^speck-joined$|tiny/.test(place.kind) &&
            h(
              'span',
              { class: 'row' },
              [
                ['keep', 'Keep it'],
                ['enlarge', 'Enlarge it'],
                ['pen', 'Draw it by pen'],
              ].map(([fate, label]) =>
                h(
                  'button',
                  { key: fate, type: 'button', class: 'plain', onclick: () => app.decide({ edit: 'tiny', at_mm: place.at_mm, fate }) },
                  label,
                ),
              ),
            ),
        ),
      ),
    ),
    list.length > 40 && h('p', { class: 'note' }, `And ${list.length - 40} more, ringed in the picture.`),
  );
}

function thicken(app) {
  const thin = thinPlaces(app).some((place) => /thin/.test(place.kind));
  if (!thin) return null;
  const set = (to) => ({
    on: false,
    label: to === 0 ? 'Leave them as drawn' : `Thicken to ${to.replace('mm', ' mm')}`,
    pick: () => app.decide({ set: 'thicken', to }),
  });
  return h(
    'div',
    { key: 'thicken' },
    h('p', { class: 'sentence' }, 'Thin lines stay ', word(app, 'thicken', 'as they are', { what: 'Thin lines' }), '.'),
    choices(app, 'thicken', 'Thin lines and necks', [set(0), set('2mm'), set('3mm'), set('4mm')], {
      label: 'Or thicken to',
      example: '2.5mm',
      done: (to) => app.decide({ set: 'thicken', to }),
    }),
  );
}

function rings(app) {
  const r = 9;
  return thinPlaces(app)
    .slice(0, 200)
    .map((place, i) => {
      const [x, y] = place.at_mm;
      const here = app.ui.ring && app.ui.ring[0] === x && app.ui.ring[1] === y;
      return h(
        'g',
        { key: `ring${i}`, class: here ? 'ring chosen' : 'ring', transform: `translate(${x} ${y})` },
        h('circle', { class: 'halo', r }),
        h('circle', { r }),
        h('title', null, place.text),
      );
    });
}
