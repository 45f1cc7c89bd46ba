// docket.js - the slip beside the table: what the job is, in sentences; its questions; what was decided.

import { h } from './draw.js';
import { word, choices, refusal, sentence } from './ask.js';
import { count, list, longLength, isMetric } from './words.js';
import { QUESTIONS } from './questions.js';
import { CUTTERS, PAPERS, cutterText, paperText, cutterForm, fetchShelf, shelfCutters, shelfPapers } from './stock.js';
import { start, fetchJobs, jobList } from './start.js';
import { findings } from './findings.js';

/** The whole slip. */
export function docket(app, gone) {
  const trouble = gone && h('p', { key: 'gone', class: 'refusal gone', role: 'alert' }, gone);
  if (!app.state || !app.state.job) return [trouble, start(app)];
  return [
    trouble,
    heading(app),
    refusal(app, null),
    refusal(app, 'picture'),
    troubleOf(app),
    jobSentence(app),
    h(
      'div',
      { key: 'questions', class: 'questions' },
      QUESTIONS.map((question) => questionView(app, question)),
    ),
    decided(app),
    foot(app),
  ];
}

function heading(app) {
  const { job, verdict } = app.state;
  return h(
    'header',
    { key: 'head' },
    h('h1', null, job.name),
    verdict && h('p', { class: `verdict ${verdict.kind}` }, sentence(verdict.text)),
    !verdict && !app.state.error && h('p', { class: 'verdict' }, 'Looking at the picture …'),
  );
}

// The engine's no to the docket as it stands, with the line that caused it.
function troubleOf(app) {
  const { error } = app.state;
  if (!error) return null;
  const line = app.state.docket.find((entry) => entry.id === error.line);
  return h(
    'div',
    { key: 'trouble', class: 'refusal', role: 'alert' },
    h('p', null, sentence(error.text)),
    line &&
      !line.struck &&
      h('button', { type: 'button', class: 'plain', onclick: () => app.strike(line.id, true) }, `Strike out “${line.says}”`),
  );
}

function jobSentence(app) {
  if (app.ui.shelf === null) fetchShelf(app);
  const { missing, finished_mm: finished } = app.state;
  const settings = app.state.settings || {};
  const unsaid = new Set(missing || []);
  const metric = isMetric(settings);
  const common = settings.papers && settings.papers.find((paper) => !paper.layer);
  const single = settings.papers ? settings.papers.filter((paper) => paper.layer) : [];
  const put = (set) => (to) => app.decide({ set, to: to.replace(/\s*([x×])\s*/g, 'x') }, 'job');
  const colours = (app.state.colours || []).filter((colour) => colour.fate === 'paper' || !colour.fate).length;
  const heights = metric ? ['60cm', '90cm', '120cm', '150cm', '180cm'] : ['2ft', '32in', '3ft', '4ft', '5ft', '6ft'];
  return h(
    'section',
    { key: 'job', class: 'job', 'aria-label': 'The job in a sentence' },
    h(
      'p',
      { class: 'sentence' },
      'It stands ',
      word(app, 'height', settings.height || 'as it likes', { unsaid: unsaid.has('height'), what: 'How tall' }),
      ' tall',
      finished ? ` and ${longLength(finished.width, metric)} wide` : '',
      ', cut with ',
      word(app, 'cutter', cutterText(settings.cutter), { unsaid: unsaid.has('cutter'), what: 'What you cut with' }),
      ', from ',
      word(app, 'paper', common ? paperText(common.words) : 'paper', { unsaid: unsaid.has('paper'), what: 'What paper you have' }),
      single.length ? ` (${list(single.map((paper) => `${paper.layer}: ${paperText(paper.words)}`))})` : '',
      ', in ',
      word(app, 'count', colours ? count(colours, 'colour') : 'as many colours as it has', { what: 'How many colours' }),
      '.',
    ),
    unsaid.size > 0 && h('p', { class: 'note', id: 'guess-note' }, 'A word with a question mark is a guess: press it and say how it is.'),
    refusal(app, 'job'),
    choices(
      app,
      'height',
      'How tall shall it stand, border included?',
      heights.map((to) => ({ label: to.replace(/(\d)([a-z])/, '$1 $2'), on: settings.height === to, pick: () => put('height')(to) })),
      { label: 'Or in your own words', example: '4ft 6in, 81cm', done: put('height') },
    ),
    choices(
      app,
      'cutter',
      'What do you cut with?',
      [...shelfCutters(app), ...CUTTERS].map((cutter) => ({
        label: cutter.label,
        note: cutter.note,
        on: settings.cutter === cutter.words,
        pick: () => put('cutter')(cutter.words),
      })),
      null,
      [
        cutterForm(app, (words) => {
          put('cutter')(words);
          if (!shelfCutters(app).some((one) => one.words === words))
            app.act('shelf-add', { cutter: words }, 'job').then((reply) => reply && app.set({ shelf: reply }));
        }),
        h('p', { class: 'note' }, 'No cutter? Leave this open: the kit has its sheets to print as well, for scissors and a craft knife.'),
      ],
    ),
    choices(
      app,
      'paper',
      'What paper have you?',
      [...shelfPapers(app), ...PAPERS].map((paper) => ({
        label: paper.label,
        note: paper.note,
        on: Boolean(common) && common.words === paper.words,
        pick: () => put('paper')(paper.words),
      })),
      { label: 'Another: measure a sheet, width × height', example: '30x40cm, 11.7x16.5in', done: put('paper') },
    ),
    choices(
      app,
      'count',
      'How many colours shall it have?',
      [
        { label: 'As many as the picture has', pick: () => app.decide({ set: 'colours', to: 0 }, 'job') },
        ...[3, 4, 5, 6, 8].map((n) => ({ label: `At most ${n}`, pick: () => app.decide({ set: 'colours', to: n }, 'job') })),
      ],
      null,
    ),
  );
}

function questionView(app, question) {
  const open = app.ui.open === question.id;
  return h(
    'section',
    { key: question.id, class: open ? 'question open' : 'question', 'aria-labelledby': `q-${question.id}` },
    h(
      'h2',
      null,
      h(
        'button',
        {
          type: 'button',
          id: `q-${question.id}`,
          'aria-expanded': open ? 'true' : 'false',
          'aria-controls': open ? `a-${question.id}` : null,
          onclick: () => app.open(open ? '' : question.id),
        },
        question.question,
      ),
    ),
    open
      ? h('div', { id: `a-${question.id}`, class: 'answer' }, refusal(app, question.id), question.docket(app))
      : question.short && shortLine(app, question),
  );
}

function shortLine(app, question) {
  const text = question.short(app);
  return text ? h('p', { class: 'short' }, text) : null;
}

// Every decision stands here, newest first; striking one out undoes it. Pieces that are cut come from ticks: in one line.
function decided(app) {
  const all = [...app.state.docket].reverse();
  const isCut = (line) => line.line && line.line.edit === 'frozen';
  const [lines, cut] = [all.filter((line) => !isCut(line)), all.filter((line) => isCut(line) && !line.struck)];
  return h(
    'section',
    { key: 'decided', class: 'decided', 'aria-labelledby': 'decided-head' },
    h('h2', { id: 'decided-head' }, 'What was decided'),
    refusal(app, 'lines'),
    all.length === 0 &&
      h(
        'p',
        { class: 'note' },
        'Nothing yet: the program goes on with usual values. Each decision becomes a line here, and a line that is struck out counts as not there.',
      ),
    lines.length > 0 &&
      h(
        'ul',
        { class: 'lines' },
        lines.map((line) => lineView(app, line)),
      ),
    findings(
      app,
      ['edit-not-kept', 'edit-without-target'].filter(() => !lines.some((line) => line.finding && !line.struck)),
      'What could not be done as asked',
    ),
    cut.length > 0 &&
      h(
        'details',
        { class: 'lines' },
        h('summary', null, cut.length === 1 ? '1 piece is cut already and stays as it is' : `${cut.length} pieces are cut already and stay as they are`),
        h(
          'ul',
          null,
          cut.map((line) => lineView(app, line)),
        ),
      ),
  );
}

function lineView(app, line) {
  return h(
    'li',
    { key: line.id, class: line.struck || line.replaced ? 'struck' : '' },
    h(
      'span',
      { class: 'line-says' },
      h(line.struck ? 's' : 'span', null, sentence(line.says)),
      line.replaced && !line.struck && h('span', { class: 'note' }, ' A later line took its place.'),
    ),
    line.finding && !line.struck && h('span', { class: 'finding' }, sentence(line.finding)),
    h(
      'button',
      {
        type: 'button',
        class: 'plain',
        id: `line-${line.id}`,
        'aria-label': `${line.struck ? 'Let count again' : 'Strike out'}: ${line.says}`,
        onclick: () => app.strike(line.id, !line.struck),
      },
      line.struck ? 'Let it count' : 'Strike out',
    ),
  );
}

function foot(app) {
  const { job } = app.state;
  return h(
    'footer',
    { key: 'foot', class: 'foot' },
    h('p', null, job.saved === false ? 'Being kept …' : `Kept after every change in ${job.path || job.file}.`),
    h(
      'p',
      null,
      h(
        'a',
        { class: 'plain', id: 'take-along', href: app.talk.address('job.pmason'), download: `${job.name}.pmason` },
        'Take the job along as one file',
      ),
    ),
    h(
      'form',
      {
        class: 'say',
        onsubmit: (event) => {
          event.preventDefault();
          const name = event.target.elements.name.value.trim();
          if (name) app.act('save-as', { name }, 'foot');
        },
      },
      h('label', { for: 'keep-as' }, 'Go on under another name'),
      h(
        'span',
        { class: 'say-row' },
        h('input', { id: 'keep-as', name: 'name', type: 'text', autocomplete: 'off', placeholder: `${job.name} for a friend` }),
        h('button', { type: 'submit', class: 'plain' }, 'Copy the job'),
      ),
    ),
    refusal(app, 'foot'),
    app.ui.jobs && app.ui.jobsHere
      ? jobList(app, 'Other jobs') || h('p', { class: 'note' }, 'There is no other job yet.')
      : h(
          'p',
          null,
          h(
            'button',
            { type: 'button', id: 'other-jobs', class: 'plain', onclick: () => (app.set({ jobsHere: true }), fetchJobs(app)) },
            'Look through the other jobs',
          ),
        ),
    h(
      'label',
      { class: 'plain file' },
      'Lay another picture on the table',
      h('input', {
        type: 'file',
        class: 'unseen',
        accept: 'image/*,.heic,.heif,.pmason',
        onchange: (event) => event.target.files.length && app.lay(event.target.files[0]),
      }),
    ),
    h('p', { class: 'note' }, 'Works with any cutter that opens SVG. Nothing is sent anywhere: picture, job and kit stay on this machine.'),
    h('p', { class: 'note' }, 'May this picture be used for what you plan? If it is not yours, ask its owner.'),
  );
}
