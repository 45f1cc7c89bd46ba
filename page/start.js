// start.js - the empty table: lay a picture on it, look at the demo, or go on with a job.

import { h } from './draw.js';
import { refusal } from './ask.js';

/** The slip before there is a job. */
export function start(app) {
  if (app.ui.jobs === null && app.state) fetchJobs(app);
  return h(
    'div',
    { key: 'start', class: 'start' },
    h('h1', null, 'A big picture out of small sheets of paper'),
    h(
      'p',
      null,
      'Lay a picture in a few flat colours on the table. You get it back as a kit: sheets to cut, every piece named, and a guide to put it together, as tall as a door if you like.',
    ),
    refusal(app, 'picture'),
    refusal(app, null),
    refusal(app, ''),
    app.carrying ? h('p', { class: 'work', role: 'status' }, `Looking at ${app.carrying} …`) : null,
    h(
      'p',
      { class: 'ways' },
      h(
        'label',
        { class: 'main file' },
        'Choose a picture',
        h('input', {
          type: 'file',
          id: 'choose',
          class: 'unseen',
          accept: 'image/*,.heic,.heif,.pmason',
          onchange: (event) => event.target.files.length && app.lay(event.target.files[0]),
        }),
      ),
      h(
        'button',
        { type: 'button', id: 'demo', class: 'plain', onclick: () => app.act('demo', {}, 'picture') },
        'Lay the demo on the table',
      ),
    ),
    h(
      'p',
      { class: 'note' },
      'Or let it fall anywhere on this page. PNG, JPEG, WebP, TIFF, GIF or HEIC; an SVG drawing as a PNG of 2000 pixels or more. The demo is a lighthouse, and a whale who wants the second volume.',
    ),
    jobList(app, 'Or go on with a job'),
    h(
      'p',
      { class: 'promise' },
      'Works with any cutter that opens SVG. Nothing is sent anywhere: picture, job and kit stay on this machine.',
    ),
    h('p', { class: 'note' }, 'May the picture be used for what you plan? If it is not yours, ask its owner.'),
  );
}

/** Asks for the maker's jobs, newest first. */
export function fetchJobs(app) {
  app.ui.jobs = [];
  app.talk
    .ask('jobs')
    .then((reply) => app.set({ jobs: reply.jobs || [] }))
    .catch(() => {}); // the table is there without them
}

/** The jobs to go on with, but for the one on the table; nothing when there are none. */
export function jobList(app, title) {
  const here = app.state && app.state.job && app.state.job.file;
  const known = (app.ui.jobs || []).filter((job) => job.file !== here);
  if (!known.length) return null;
  return h(
    'section',
    { key: 'jobs', class: 'jobs', 'aria-labelledby': 'jobs-head' },
    h('h2', { id: 'jobs-head' }, title),
    h(
      'ul',
      { class: 'tabs' },
      known
        .slice(0, 12)
        .map((job) =>
          h(
            'li',
            { key: job.file },
            h(
              'button',
              { type: 'button', class: 'tab', onclick: () => app.act('open-job', { file: job.file }, 'picture') },
              h('span', { class: 'tab-label' }, job.name),
              job.when && h('span', { class: 'note' }, when(job.when)),
            ),
          ),
        ),
    ),
  );
}

function when(text) {
  const date = new Date(text);
  return Number.isNaN(date.getTime()) ? text : date.toLocaleDateString('en-GB', { day: 'numeric', month: 'long', year: 'numeric' });
}
