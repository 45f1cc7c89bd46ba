// ask.js - a sentence's changeable words, and what may stand in their place.

import { h } from './draw.js';

/** A part of a sentence that can be pressed; it breaks at the line's end as other words do, which a button does not. */
export function pressable({ onclick, ...props }, ...kids) {
  return h(
    'span',
    {
      ...props,
      role: 'button',
      tabindex: 0,
      onclick,
      onkeydown: (event) => {
        if (event.key !== 'Enter' && event.key !== ' ') return;
        event.preventDefault();
        onclick(event);
      },
    },
    ...kids,
  );
}

/**
 * A word of a sentence that can be changed: pressing it shows what may stand there.
 * @param {string} id which word
 * @param {string} text how it stands now
 * @param {{unsaid?: boolean, what?: string}} about unsaid: nobody said it, it is a guess; what: its name for screen readers
 */
export function word(app, id, text, about = {}) {
  const open = app.ui.word === id;
  return pressable(
    {
      id: `word-${id}`,
      class: about.unsaid ? 'word unsaid' : 'word',
      'aria-expanded': open ? 'true' : 'false',
      'aria-controls': open ? `choices-${id}` : null,
      'aria-label': about.what ? `${about.what}: ${text}${about.unsaid ? ', a guess' : ''}` : null,
      onclick: () => {
        app.set({ word: open ? null : id, draft: null });
        if (!open) app.reveal(`#choices-${id}`);
      },
    },
    text,
    about.unsaid ? '?' : '',
  );
}

/**
 * What may stand there, below the sentence; nothing while the word is closed.
 * @param {Array<{label, note?, on?, pick, picture?, id?}>} options
 * @param {{label: string, value?: string, example?: string, done: (text: string) => void}|null} say in one's own words
 */
export function choices(app, id, title, options, say, also) {
  if (app.ui.word !== id) return null;
  const close = () => {
    app.set({ word: null });
    const button = document.getElementById(`word-${id}`);
    if (button) button.focus();
  };
  return h(
    'div',
    {
      key: `choices-${id}`,
      id: `choices-${id}`,
      class: 'choices',
      role: 'group',
      'aria-label': title,
      onkeydown: (event) => event.key === 'Escape' && (event.stopPropagation(), close()),
    },
    h('p', { class: 'choices-title' }, title),
    options.length > 0 &&
      h(
        'ul',
        { class: 'tabs' },
        options.map((option, i) =>
          h(
            'li',
            { key: option.id || i },
            h(
              'button',
              {
                type: 'button',
                class: option.picture ? 'tab drawn' : 'tab',
                'aria-pressed': option.on ? 'true' : 'false',
                onclick: () => {
                  option.pick();
                  close();
                },
              },
              option.picture || null,
              h('span', { class: 'tab-label' }, option.label),
              option.note && h('span', { class: 'note' }, option.note),
            ),
          ),
        ),
      ),
    say && sayIt(id, say, close),
    also || null,
  );
}

function sayIt(id, say, close) {
  return h(
    'form',
    {
      class: 'say',
      onsubmit: (event) => {
        event.preventDefault();
        const text = event.target.elements.text.value.trim();
        if (!text) return;
        say.done(text);
        close();
      },
    },
    h('label', { for: `say-${id}` }, say.label),
    h(
      'span',
      { class: 'say-row' },
      h('input', {
        id: `say-${id}`,
        name: 'text',
        type: 'text',
        autocomplete: 'off',
        spellcheck: 'false',
        placeholder: say.example || '',
        value: say.value || '',
      }),
      h('button', { type: 'submit', class: 'plain' }, 'Put it so'),
    ),
  );
}

/** The engine's no, beside what it is about. */
export function refusal(app, near) {
  if (!app.refusal || app.refusal.near !== near) return null;
  return h('p', { key: `refusal-${near}`, class: 'refusal', role: 'alert' }, sentence(app.refusal.text));
}

/** The engine's texts begin small and end without a full stop, so that they can stand in a line of a terminal. */
export function sentence(text) {
  if (!text) return '';
  const first = text.charAt(0).toUpperCase() + text.slice(1);
  return /[.!?]$/.test(first) ? first : `${first}.`;
}

/** A sentence in the place of what is not known yet; or that it will not be, as the docket stands. */
export function waiting(app, text) {
  return h('p', { class: 'note' }, app.state.error ? 'Not known while something stands in the way: see above.' : text);
}
