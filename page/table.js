// table.js - looking at the table: one scale for everything on it, moved by mouse, touch and keyboard.
// It also tells the open question where it was pressed or dragged, in millimetres of the finished piece.

import { h } from './draw.js';

const STEP = 1.3; // one press of + or -
const LEAST_MM = 40; // nothing is to be seen nearer than that
const MOST_MM = 60000;
const STILL_PX = 5; // a finger that moved less has pressed
const GLIDE_MS = 320;
const LETTER_MS = 60;
const ABOVE_PX = 22; // above all, and below a hint
const BELOW_PX = 52; // the buttons

/**
 * @param {SVGSVGElement} svg
 * @param {HTMLElement} nearby where its buttons stand
 * @param {Object} app
 * @param {() => void} draw
 */
export function openTable(svg, nearby, app, draw) {
  let at = { x: -1400, y: -1000, w: 3000, h: 2400 };
  let shown = '';
  let [wide, high] = [svg.clientWidth || 1, svg.clientHeight || 1]; // asked for once: each asking would lay out the page
  let lettered = 0;
  let lettering = 0;
  let wantsHome = true;
  let glide = 0;
  const fingers = new Map();
  let drag = null;
  const hint = document.getElementById('hint');
  const quiet = matchMedia('(prefers-reduced-motion: reduce)');

  function show(box) {
    at = box;
    const text = `${box.x} ${box.y} ${box.w} ${box.h}`;
    if (text === shown) return;
    shown = text;
    svg.setAttribute('viewBox', text);
    if (scale() === lettered) return;
    clearTimeout(lettering);
    if (!lettered) letter();
    else lettering = setTimeout(letter, LETTER_MS);
  }

  // Names and pins keep their size on the screen; all of them at once cost as much as the drawing, so they wait until the
  // table has come to rest.
  function letter() {
    lettered = scale();
    svg.style.setProperty('--u', String(lettered));
    svg.classList.toggle('far', lettered > 2.2);
  }

  function scale() {
    return Math.max(at.w / (wide || 1), at.h / (high || 1));
  }

  function place(event) {
    const box = svg.getBoundingClientRect();
    const unit = scale();
    const [cx, cy] = [at.x + at.w / 2, at.y + at.h / 2];
    return [cx + (event.clientX - box.left - box.width / 2) * unit, cy + (event.clientY - box.top - box.height / 2) * unit];
  }

  function fitted(box) {
    const side = wide * 0.03;
    const above = ABOVE_PX + (hint.textContent ? hint.offsetHeight : 0);
    const unit = Math.max(box.w / (wide - 2 * side), box.h / Math.max(60, high - above - BELOW_PX));
    const middle = (high + above - BELOW_PX) / 2; // of what hint and buttons leave free
    return { x: box.x + box.w / 2 - (unit * wide) / 2, y: box.y + box.h / 2 - unit * middle, w: unit * wide, h: unit * high };
  }

  function look(box) {
    cancelAnimationFrame(glide);
    const to = fitted(box);
    if (quiet.matches || !shown) return show(to);
    const from = { ...at };
    const begin = performance.now();
    const step = (now) => {
      const t = Math.min(1, (now - begin) / GLIDE_MS);
      const s = 1 - (1 - t) ** 3;
      show({ x: mix(from.x, to.x, s), y: mix(from.y, to.y, s), w: mix(from.w, to.w, s), h: mix(from.h, to.h, s) });
      if (t < 1) glide = requestAnimationFrame(step);
    };
    glide = requestAnimationFrame(step);
  }

  function nearer(factor, [x, y] = [at.x + at.w / 2, at.y + at.h / 2]) {
    cancelAnimationFrame(glide);
    const w = Math.min(MOST_MM, Math.max(LEAST_MM, at.w / factor));
    const real = at.w / w;
    show({ x: x - (x - at.x) / real, y: y - (y - at.y) / real, w, h: at.h / real });
  }

  function move(dx, dy) {
    cancelAnimationFrame(glide);
    show({ ...at, x: at.x + dx, y: at.y + dy });
  }

  const question = () => app.question();

  svg.addEventListener('pointerdown', (event) => {
    if (event.button > 0) return;
    fingers.set(event.pointerId, event);
    const grip = fingers.size === 1 && question() && question().grip && question().grip(app, event.target, place(event), scale());
    drag = { grip, from: [event.clientX, event.clientY], moved: false, target: event.target };
    if (grip || event.target === svg) svg.setPointerCapture(event.pointerId);
    if (grip) event.preventDefault();
  });

  svg.addEventListener('pointermove', (event) => {
    const before = fingers.get(event.pointerId);
    if (!before || !drag) return;
    if (Math.hypot(event.clientX - drag.from[0], event.clientY - drag.from[1]) > STILL_PX) drag.moved = true;
    if (fingers.size === 2) pinch(event, before);
    else if (drag.grip) drag.grip.move(place(event));
    else if (drag.moved) {
      if (!svg.hasPointerCapture(event.pointerId)) svg.setPointerCapture(event.pointerId);
      move((before.clientX - event.clientX) * scale(), (before.clientY - event.clientY) * scale());
    }
    fingers.set(event.pointerId, event);
  });

  function pinch(event, before) {
    const other = [...fingers.values()].find((finger) => finger.pointerId !== event.pointerId);
    const apart = (finger) => Math.hypot(finger.clientX - other.clientX, finger.clientY - other.clientY) || 1;
    const middle = place({ clientX: (event.clientX + other.clientX) / 2, clientY: (event.clientY + other.clientY) / 2 });
    nearer(apart(event) / apart(before), middle);
    move(((before.clientX - event.clientX) * scale()) / 2, ((before.clientY - event.clientY) * scale()) / 2);
    drag.moved = true;
  }

  function lift(event) {
    if (!fingers.delete(event.pointerId) || !drag) return;
    const was = drag;
    if (!fingers.size) drag = null;
    if (was.grip) was.grip.done(event.type === 'pointerup', was.moved);
    else if (!was.moved && event.type === 'pointerup' && question() && question().press)
      question().press(app, was.target, place(event), event, scale());
  }
  svg.addEventListener('pointerup', lift);
  svg.addEventListener('pointercancel', lift);

  svg.addEventListener(
    'wheel',
    (event) => {
      event.preventDefault();
      nearer(Math.exp(-event.deltaY * (event.deltaMode ? 0.05 : 0.0016)), place(event));
    },
    { passive: false },
  );

  svg.addEventListener('keydown', (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    if (question() && question().key && question().key(app, event, scale())) return event.preventDefault();
    const moves = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };
    if (event.target !== svg && event.key.startsWith('Arrow')) return;
    if (moves[event.key]) move((moves[event.key][0] * at.w) / 10, (moves[event.key][1] * at.h) / 10);
    else if (event.key === '+' || event.key === '=') nearer(STEP);
    else if (event.key === '-') nearer(1 / STEP);
    else if (event.key === '0') table.home();
    else return;
    event.preventDefault();
  });

  new ResizeObserver(() => {
    [wide, high] = [svg.clientWidth || 1, svg.clientHeight || 1];
    look(fitBox());
  }).observe(svg);

  function fitBox() {
    const sights = app.sights();
    const asked = question() && question().sight ? question().sight(app) : null;
    return sights[asked] || sights.whole;
  }

  const table = {
    /** Shows what belongs to the open question, once it is drawn. */
    home() {
      wantsHome = true;
      draw();
    },
    look(box) {
      wantsHome = false;
      look(box);
    },
    /** Called when something was drawn: the scene may have changed its size. */
    settle() {
      const key = JSON.stringify(fitBox());
      if (!wantsHome && key === table.homeKey) return;
      wantsHome = false;
      table.homeKey = key;
      look(fitBox());
    },
    buttons() {
      const sights = app.sights();
      return [
        h('button', { type: 'button', id: 'look-nearer', onclick: () => nearer(STEP) }, 'Nearer'),
        h('button', { type: 'button', id: 'look-farther', onclick: () => nearer(1 / STEP) }, 'Farther'),
        sights.piece && h('button', { type: 'button', id: 'look-piece', onclick: () => look(sights.piece) }, 'The piece'),
        h('button', { type: 'button', id: 'look-whole', onclick: () => look(sights.whole) }, 'All of the table'),
      ];
    },
    /** Millimetres a pixel. */
    scale,
  };
  return table;
}

function mix(a, b, t) {
  return a + (b - a) * t;
}
