// main.js - the page as a whole: what is known, which question is open, and when what is asked anew.
// The maker's decisions go to the engine as docket lines; what comes back is drawn. Nothing is worked out here.

import { patchAll } from './draw.js';
import { openTalk, Refusal } from './talk.js';
import { openTable } from './table.js';
import { scene, sights } from './scene.js';
import { docket } from './docket.js';
import { bill } from './bill.js';
import { QUESTIONS } from './questions.js';
import { ask as askPlaces } from './elsewhere.js';
import { openDrop } from './drop.js';

const GONE = 'The program has ended. Start it again with "papermason open"; ';

const VIEWS_AFTER = ['colours', 'first', 'whole'];

// Which views there are once so much is known.
const KNOWN = {
  colours: ['picture', 'thin'],
  first: ['picture', 'borders', 'layers', 'pieces', 'seams', 'thin'],
  whole: ['picture', 'borders', 'layers', 'pieces', 'seams', 'sheets', 'thin'],
};

// What is chosen, shown and held, before anything has been touched.
function untouched() {
  return {
    word: null, // the sentence's word whose choices are open
    colour: null,
    region: null,
    ring: null, // a place that is shown
    pair: null, // two layers that meet
    layer: null, // whose seams are shown
    seam: null,
    view: null, // 'far': from six feet
    pile: null,
    piece: null,
    places: null, // where else the chosen piece would lie
    next: null, // the engine's answer to "what next?"
    section: null, // where it is cut across, as a share of the height
    lifted: false,
    behind: false,
    tool: null, // what the hand sets: a 'seam', a 'ring'
    draft: null, // what it holds
    readme: undefined, // of the last kit
    jobsHere: false,
  };
}

const app = {
  state: null,
  views: {}, // the newest of each view that came
  kept: null, // the bill of the last whole answer before the newest change
  gone: false,
  refusal: null, // {text, near}: the engine's no, and the question beside which it is shown
  carrying: null, // the name of a picture on its way
  ui: { ...untouched(), open: location.hash.slice(1), jobs: null, shelf: null },
};

const floor = document.getElementById('floor');
const talk = openTalk(take, (there) => {
  app.gone = !there;
  if (there) refresh(true);
  draw();
});
app.talk = talk;
app.table = openTable(floor, document.getElementById('nearby'), app, () => draw());

// ---- what comes from the engine

let asking = false;
let again = null;

function take(name, event) {
  if (name === 'work' && app.state) {
    app.state.work = { busy: true, stage: event.stage, share: event.share };
    draw();
  } else if (name === 'answer' && event.answer === 'places') askPlaces(app);
  else {
    refresh(name === 'open' || (name === 'answer' && VIEWS_AFTER.includes(event.answer)));
    if (event.answer === 'whole') askPlaces(app); // where a piece fits has changed
  }
}

/** Asks for the state, and for the views too when an answer has come: one round at a time. */
async function refresh(viewsToo) {
  again = { views: viewsToo || Boolean(again && again.views) };
  if (asking) return;
  asking = true;
  while (again) {
    const round = again;
    again = null;
    try {
      await learn(round.views);
    } catch (refusal) {
      if (!(refusal instanceof Refusal)) throw refusal;
      if (refusal.kind !== 'gone') app.refusal = { text: refusal.message, near: null };
      draw();
    }
  }
  asking = false;
}

async function learn(viewsToo) {
  const { state } = await talk.ask('state');
  settle(state);
  draw();
  if (!state.job || (!viewsToo && !missingViews().length)) return;
  const wanted = viewsToo ? neededViews() : missingViews();
  for (const what of wanted) {
    app.views[what] = await talk.ask('view', { what }).catch((refusal) => {
      if (refusal.kind === 'gone') throw refusal;
      return app.views[what] || null;
    });
    draw();
  }
}

function settle(state) {
  const before = app.state;
  const sameJob = before && before.job && state.job && before.job.file === state.job.file;
  if (!sameJob) {
    app.views = {};
    app.kept = null;
    app.was = null;
    if (before && before.job) app.ui = { ...app.ui, ...untouched() };
    document.getElementById('docket').scrollTop = 0;
  } else if (before.answer === 'whole' && !before.stale && before.bill && state.stale) app.was = before.bill;
  else if (state.answer === 'whole' && !state.stale && app.was) {
    app.kept = app.was;
    app.was = null;
  }
  if (app.ui.places && state.answer !== 'whole') app.ui.places = null; // they were of the answer before
  app.state = state;
  if (!QUESTIONS.some((question) => question.id === app.ui.open)) app.ui.open = state.job ? 'colours' : '';
  if (!sameJob && state.job) app.table.home();
}

function openQuestion() {
  return QUESTIONS.find((question) => question.id === app.ui.open) || null;
}

function neededViews() {
  const question = openQuestion();
  const known = KNOWN[app.state.known] || [];
  const all = ['picture', 'layers', 'sheets', ...(question ? question.needs : [])];
  return [...new Set(all)].filter((what) => known.includes(what));
}

function missingViews() {
  return neededViews().filter((what) => !app.views[what]);
}

// ---- what the maker does

app.act = async (what, keys, near) => {
  app.refusal = null;
  try {
    const reply = await talk.ask(what, keys);
    if (reply.state) {
      app.laid = null;
      settle(reply.state);
    }
    refresh(Boolean(reply.state));
    return reply;
  } catch (refusal) {
    if (!(refusal instanceof Refusal)) throw refusal;
    if (refusal.kind !== 'gone') app.refusal = { text: refusal.message, near: near === undefined ? app.ui.open : near };
    draw();
    app.reveal('.refusal');
    return null;
  }
};

/** Decides something: one docket line, or several at once. */
app.decide = (line, near) => {
  app.ui.word = null;
  draw();
  return app.act('change', Array.isArray(line) ? { lines: line } : { line }, near);
};

app.strike = (id, struck) => app.act('strike', { id, struck }, 'lines');

// Ctrl+Z strikes out the newest line that counts.
addEventListener('keydown', (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.key !== 'z' || event.target.matches('input') || !app.state || !app.state.job) return;
  const line = app.state.docket.filter((one) => !one.struck).pop();
  if (!line) return;
  event.preventDefault();
  app.strike(line.id, true);
  app.say(`Struck out: ${line.says}`);
});

app.lay = async (file) => {
  app.refusal = null;
  app.carrying = file.name;
  draw();
  try {
    const reply = await talk.picture(file);
    app.ui.open = 'colours';
    if (app.laid) URL.revokeObjectURL(app.laid);
    app.laid = file.type.startsWith('image/') ? URL.createObjectURL(file) : null; // as it is, until it has been looked at
    if (reply.state) settle(reply.state);
    refresh(true);
  } catch (refusal) {
    if (!(refusal instanceof Refusal)) throw refusal;
    app.refusal = { text: refusal.message, near: 'picture' };
  }
  app.carrying = null;
  draw();
};

app.open = (id, more) => {
  app.ui = { ...app.ui, word: null, tool: null, draft: null, region: null, behind: false, lifted: false, ...more, open: id };
  history.replaceState(null, '', `${location.pathname}${location.search}${id ? `#${id}` : ''}`);
  draw();
  app.table.home();
  if (id) app.reveal(`#q-${id}`, 'start');
  if (app.state && app.state.job && missingViews().length) refresh(false);
};

/** Brings a part of the slip into sight, once it is drawn; `block` as for scrollIntoView. */
app.reveal = (selector, block = 'nearest') => {
  const calm = matchMedia('(prefers-reduced-motion: reduce)').matches;
  const show = () => {
    const part = document.querySelector(selector);
    if (part) part.scrollIntoView({ block, behavior: calm ? 'auto' : 'smooth' });
  };
  requestAnimationFrame(() => requestAnimationFrame(show)); // the first one draws
};

app.set = (changes) => {
  Object.assign(app.ui, changes);
  draw();
};

/** What is in the hand has moved: only the table is drawn anew. */
app.hand = (draft) => {
  app.ui.draft = draft;
  if (waiting || moving) return;
  moving = true;
  requestAnimationFrame(() => {
    moving = false;
    patchAll([[floor, scene(app)]]);
  });
};

app.say = (text) => {
  document.getElementById('said').textContent = text;
};

app.question = openQuestion;
app.sights = () => sights(app);

// ---- drawing

let waiting = false;
let moving = false;

function draw() {
  if (waiting) return;
  waiting = true;
  requestAnimationFrame(() => {
    waiting = false;
    const page = document.getElementById('page');
    page.dataset.open = app.ui.open || 'start';
    page.toggleAttribute('data-job', Boolean(app.state && app.state.job));
    document.title = app.state && app.state.job ? `${app.state.job.name}: papermason` : 'papermason: the worktable';
    patchAll([
      [floor, scene(app)],
      [document.getElementById('docket'), docket(app, goneSentence())],
      [document.getElementById('bill'), bill(app)],
      [document.getElementById('nearby'), app.table.buttons()],
      [document.getElementById('hint'), [hint()]],
    ]);
    app.table.settle();
  });
}
app.draw = draw;

function goneSentence() {
  if (!app.gone) return null;
  const job = app.state && app.state.job;
  return GONE + (job ? `your job is kept in ${job.path || job.file} and goes on where it was.` : 'nothing of yours was lost.');
}

function hint() {
  const question = openQuestion();
  if (!app.state || !app.state.job || !question || !question.hint) return '';
  return question.hint(app) || '';
}

openDrop(app);
draw();
refresh(true);
