
// guide.js - ticks, what next, what is this in my hand. What there is to know stands in the document; nothing is asked for.
'use strict';
(() => {
  const SVG = 'http://www.w3.org/2000/svg';
  const RANK = { cut: 1, taped: 2, glued: 3 };
  const MARKS = [['cut', 'Cut'], ['taped', 'Taped'], ['glued', 'Glued'], ['spoiled', 'Spoiled, cut it again']];
  const NAMED_MOST = 8;
  const TAPE_MOST = 200; // 20 mm: about what tape is wide
  const at = (id) => document.getElementById(id);
  const all = (what, within = document) => [...within.querySelectorAll(what)];
  const { name: KIT, key: KEY, blade: BLADE } = document.body.dataset;
  const STORE = `papermason guide ${KIT} ${KEY}`;

  // ---- what the kit has ----

  const picture = at('picture');
  const WIDE = Number(picture.dataset.wide);
  const TALL = Number(picture.dataset.tall);
  const layers = all('#layers > g');
  const layerAt = new Map(layers.map((group, index) => [group.dataset.layer, index]));
  const paths = new Map(all('#layers path').map((path) => [path.dataset.piece, path]));
  const layerOf = (piece) => paths.get(piece).parentNode.dataset.layer;
  const words = (text) => (text ? text.split(' ') : []);
  const sheets = all('.sheet').map((item) => ({ id: item.dataset.sheet, pieces: words(item.dataset.pieces), item }));
  const sheetOf = new Map(sheets.flatMap((sheet) => sheet.pieces.map((piece) => [piece, sheet])));
  const steps = all('.step').map((item) => ({
    id: item.id,
    item,
    kind: item.dataset.kind,
    layer: item.dataset.layer,
    pieces: words(item.dataset.pieces),
    to: ['join', 'unite', 'strips'].includes(item.dataset.kind) ? 'taped' : 'glued',
    says: (item.querySelector('.words') || { textContent: '' }).textContent,
    title: item.querySelector('h4').textContent.replace(/^\d+\. /, ''),
    lines: all('.lines li', item).map((line) => line.textContent),
    checks: all('.checks li', item).map((line) => line.textContent),
    care: (item.querySelector('.care') || { textContent: '' }).textContent,
    stop: item.previousElementSibling && item.previousElementSibling.matches('.stop') ? item.previousElementSibling.textContent : '',
  }));

  // A seam is taped in the first step that has both its pieces.
  const stepOf = new Map(
    all('#tape path').map((seam) => [seam, steps.find((step) => step.to === 'taped' && words(seam.dataset.of).every((piece) => step.pieces.includes(piece)))]),
  );

  // ---- ticks ----

  const empty = () => ({ marks: {}, done: {}, lines: {} });
  let ticks = empty();
  let keeps = true;
  const before = []; // to take back
  const ui = { piece: null, step: null, behind: false, closer: false };

  function load() {
    try {
      const text = localStorage.getItem(STORE);
      ticks = empty();
      if (text) read(text);
      localStorage.setItem(STORE, write());
    } catch {
      keeps = false;
    }
  }

  function save() {
    try {
      localStorage.setItem(STORE, write());
    } catch {
      keeps = false;
    }
  }

  /** "cut A1 A2", a line a mark; the same text is kept and taken along. */
  function write() {
    const rows = [`papermason ticks of ${KIT} ${KEY}`];
    for (const [mark] of MARKS) {
      const those = [...paths.keys()].filter((piece) => ticks.marks[piece] === mark);
      if (those.length) rows.push(`${mark} ${those.join(' ')}`);
    }
    for (const list of ['done', 'lines']) if (Object.keys(ticks[list]).length) rows.push(`${list} ${Object.keys(ticks[list]).join(' ')}`);
    return `${rows.join('\n')}\n`;
  }

  /** What it has is taken, and how many names this kit does not know is told; null when it is no such text. */
  function read(text) {
    const rows = text.trim().split(/\s*\n\s*/);
    if (!/^papermason ticks of /.test(rows[0])) return null;
    const found = empty();
    const known = new Set(steps.flatMap((step) => [step.id, ...step.lines.map((_, i) => `${step.id}.${i}`)]));
    let strange = 0;
    for (const row of rows.slice(1)) {
      const [what, ...names] = row.split(/\s+/);
      for (const one of names) {
        if (MARKS.some(([mark]) => mark === what) && paths.has(one)) found.marks[one] = what;
        else if ((what === 'done' || what === 'lines') && known.has(one)) found[what][one] = 1;
        else strange++;
      }
    }
    ticks = found;
    return { strange, other: !rows[0].endsWith(KEY) };
  }

  function change(how) {
    before.push(write());
    how();
    save();
    draw();
  }

  const rank = (piece) => RANK[ticks.marks[piece]] || 0;
  const isDone = (step) =>
    Boolean(ticks.done[step.id]) || step.pieces.every((piece) => rank(piece) >= (step.kind === 'join' ? RANK.taped : RANK.glued));
  const isOpenFor = (step, piece) => !ticks.done[step.id] && rank(piece) < (step.kind === 'join' ? RANK.taped : RANK.glued);

  function setStep(step, done) {
    if (done) ticks.done[step.id] = 1;
    else delete ticks.done[step.id];
    for (const piece of step.pieces) {
      if (done && rank(piece) < RANK[step.to]) ticks.marks[piece] = step.to;
      if (done || rank(piece) < RANK[step.to] || step.kind === 'unite') continue;
      const joined = steps.some((other) => other !== step && other.to === 'taped' && ticks.done[other.id] && other.pieces.includes(piece));
      ticks.marks[piece] = joined ? 'taped' : 'cut';
    }
  }

  function setSheet(sheet, cut) {
    for (const piece of sheet.pieces) {
      if (cut && rank(piece) === 0) ticks.marks[piece] = 'cut';
      if (!cut && ticks.marks[piece] === 'cut') delete ticks.marks[piece];
    }
  }

  // ---- what next ----

  function answer() {
    const held = ui.piece;
    const step = ui.step || (held ? steps.find((one) => one.pieces.includes(held) && isOpenFor(one, held)) : steps.find((one) => !isDone(one)));
    if (ui.step) return { kind: 'step', step, pieces: step.pieces };
    if (held && rank(held) === 0) return { kind: 'cut', piece: held, pieces: [held] };
    if (held && !step) return { kind: 'placed', piece: held, pieces: [held] };
    if (!step) return { kind: 'end', pieces: [] };
    const uncut = held ? null : step.pieces.find((piece) => rank(piece) === 0);
    if (uncut) return { kind: 'cut', piece: uncut, pieces: [uncut] };
    return { kind: 'step', step, pieces: step.pieces };
  }

  function saysCut(piece) {
    const sheet = sheetOf.get(piece);
    const others = sheet.pieces.filter((other) => other !== piece && rank(other) === 0);
    const named = others.slice(0, NAMED_MOST).join(', ') + (others.length > NAMED_MOST ? ` and ${others.length - NAMED_MOST} more` : '');
    return `Cut ${piece}${ticks.marks[piece] === 'spoiled' ? ' again' : ''}: it lies on sheet ${sheet.id}${others.length ? `, and with it ${named}` : ''}.`;
  }

  function says(now) {
    if (now.kind === 'cut') return saysCut(now.piece);
    if (now.kind === 'placed') return `${now.piece} is in its place.`;
    if (now.kind === 'end') return `Everything is in its place. ${at('end').textContent}`;
    return `${now.step.title}.`;
  }

  // ---- the slip ----

  function make(tag, more = {}, ...children) {
    const node = document.createElement(tag);
    for (const [name, value] of Object.entries(more)) {
      if (name.startsWith('on')) node.addEventListener(name.slice(2), value);
      else if (name in node && name !== 'list') node[name] = value;
      else node.setAttribute(name, value);
    }
    node.append(...children.filter((child) => child !== null && child !== undefined && child !== ''));
    return node;
  }

  const button = (id, text, press, more = {}) => make('button', { type: 'button', id, onclick: press, ...more }, text);

  function tickLine(step, index, line, id) {
    const name = `${step.id}.${index}`;
    const box = make('input', { type: 'checkbox', id, checked: Boolean(ticks.lines[name]) });
    box.addEventListener('change', () =>
      change(() => {
        if (box.checked) ticks.lines[name] = 1;
        else delete ticks.lines[name];
      }),
    );
    box.dataset.line = name;
    return make('li', ui.piece && line.split(/[\s:,]+/)[0] === ui.piece ? { className: 'mine' } : {}, make('label', { className: 'tick' }, box, make('span', {}, line)));
  }

  function markRow(piece) {
    const now = ticks.marks[piece];
    const press = (mark) => () =>
      change(() => {
        if (now === mark) delete ticks.marks[piece];
        else ticks.marks[piece] = mark;
        ui.piece = piece;
      });
    return make(
      'div',
      { role: 'group', 'aria-label': `Piece ${piece} is` },
      make('p', {}, `Piece ${piece} is:`),
      make('p', { className: 'row' }, ...MARKS.map(([mark, label]) => button(`mark-${mark}`, label, press(mark), { 'aria-pressed': String(now === mark) }))),
    );
  }

  function ofStep(step) {
    const uncut = step.pieces.filter((piece) => rank(piece) === 0);
    return [
      step.stop && !ui.piece ? make('p', { className: 'stop-here' }, step.stop) : null,
      step.says ? make('p', { className: 'words' }, step.says) : null,
      step.lines.length ? make('ul', { className: 'lines' }, ...step.lines.map((line, i) => tickLine(step, i, line, `now-${i}`))) : null,
      step.checks.length ? make('p', {}, 'Then measure it from dot to dot, before it is turned:') : null,
      step.checks.length ? make('ul', { className: 'checks' }, ...step.checks.map((line) => make('li', {}, line))) : null,
      uncut.length ? make('p', {}, `First cut ${uncut.map((piece) => `${piece} from sheet ${sheetOf.get(piece).id}`).join(', ')}.`) : null,
      step.care ? make('p', { className: 'care' }, step.care) : null,
      make(
        'p',
        { className: 'row' },
        button(
          'do-it',
          isDone(step) ? 'It is not done yet' : 'This step is done',
          () =>
            goOn(() => {
              setStep(step, !isDone(step));
              ui.piece = null;
              ui.step = null;
            }),
          { className: 'main' },
        ),
      ),
    ];
  }

  function ofCut(piece) {
    const sheet = sheetOf.get(piece);
    return [
      make('p', { className: 'care' }, make('strong', {}, 'Care: '), BLADE),
      make(
        'p',
        { className: 'row' },
        button('do-it', `All of sheet ${sheet.id} is cut`, () => goOn(() => setSheet(sheet, true)), { className: 'main' }),
      ),
    ];
  }

  function more(now) {
    const parts = [];
    if (now.kind === 'step') parts.push(...ofStep(now.step));
    if (now.kind === 'cut') parts.push(...ofCut(now.piece));
    if (ui.piece) parts.push(markRow(ui.piece));
    if (before.length) parts.push(make('p', { className: 'row' }, button('take-back', 'Take that back', takeBack)));
    if (now.kind === 'step' || now.kind === 'placed') parts.push(fromBehind(now));
    return parts.filter(Boolean);
  }

  function takeBack() {
    read(before.pop());
    save();
    draw();
  }

  function progress() {
    const sum = (mark) => [...paths.keys()].filter((piece) => ticks.marks[piece] === mark).length;
    const there = ['cut', 'taped', 'glued'].map((mark) => [mark, sum(mark)]);
    const open = paths.size - there.reduce((total, [, count]) => total + count, 0);
    return `${[`${open} ${open === 1 ? 'piece' : 'pieces'} to cut`, ...there.filter(([, count]) => count).map(([mark, count]) => `${count} ${mark}`)].join(
      ', ',
    )}. In the picture: bare is to cut, pale is cut, full colour is glued.`;
  }

  function drawLists() {
    for (const step of steps) {
      const done = isDone(step);
      step.item.classList.toggle('done', done);
      step.box.checked = done;
    }
    for (const box of all('#all-steps [data-line]')) box.checked = Boolean(ticks.lines[box.dataset.line]);
    for (const sheet of sheets) sheet.box.checked = sheet.pieces.every((piece) => rank(piece) > 0);
    for (const one of all('#names button')) {
      one.className = `piece is-${ticks.marks[one.dataset.of] || 'bare'}`;
      one.setAttribute('aria-pressed', String(one.dataset.of === ui.piece));
    }
    if (document.activeElement !== at('ticks')) at('ticks').value = write();
  }

  // ---- the picture ----

  const places = new Map();

  /** Where a name stands in a piece: of a few places inside it, the one with most paper round it. */
  function placeIn(piece) {
    if (places.has(piece)) return places.get(piece);
    const path = paths.get(piece);
    const box = path.getBBox();
    const inside = (x, y) => path.isPointInFill(new DOMPoint(x, y));
    let best = { x: box.x + box.width / 2, y: box.y + box.height / 2, room: -1 };
    const reach = Math.min(box.width, box.height) / 2;
    for (let row = 1; row < 10; row++)
      for (let column = 1; column < 10; column++) {
        const x = box.x + (box.width * column) / 10;
        const y = box.y + (box.height * row) / 10;
        let room = 0;
        if (!inside(x, y)) continue;
        while (room < 6 && [0, 1, 2, 3, 4, 5, 6, 7].every((k) => inside(x + (Math.cos((k * Math.PI) / 4) * reach * (room + 1)) / 6, y + (Math.sin((k * Math.PI) / 4) * reach * (room + 1)) / 6))) room++;
        const middle = Math.hypot(x - box.x - box.width / 2, y - box.y - box.height / 2) / (box.width + box.height + 1);
        if (room - middle > best.room) best = { x, y, room: room - middle };
      }
    places.set(piece, best);
    return best;
  }

  function drawn(tag, more) {
    const node = document.createElementNS(SVG, tag);
    for (const [name, value] of Object.entries(more)) node.setAttribute(name, value);
    return node;
  }

  function name(words, x, y, size, mirrored) {
    const text = drawn('text', { transform: `translate(${x} ${y}) scale(${mirrored ? -size : size} ${size})` });
    text.textContent = words;
    return text;
  }

  function boxOf(pieces) {
    const boxes = pieces.map((piece) => paths.get(piece).getBBox());
    const x = Math.min(...boxes.map((box) => box.x));
    const y = Math.min(...boxes.map((box) => box.y));
    return { x, y, width: Math.max(...boxes.map((box) => box.x + box.width)) - x, height: Math.max(...boxes.map((box) => box.y + box.height)) - y };
  }

  function viewOf(now) {
    const whole = { x: -WIDE * 0.02, y: -TALL * 0.02, width: WIDE * 1.04, height: TALL * 1.04 };
    if (!ui.closer || !now.pieces.length) return whole;
    const box = boxOf(ui.piece ? [ui.piece] : now.pieces);
    const side = Math.max(box.width, box.height, TALL / 12) * 1.8;
    const x = box.x + box.width / 2;
    return { x: (ui.behind ? WIDE - x : x) - side / 2, y: box.y + box.height / 2 - side / 2, width: side, height: side };
  }

  function drawPicture(now) {
    const current = now.pieces.length ? layerAt.get(layerOf(now.pieces[0])) : -1;
    const view = viewOf(now);
    picture.setAttribute('viewBox', `${view.x} ${view.y} ${view.width} ${view.height}`);
    const pixel = Math.max(view.width / (picture.clientWidth || 800), view.height / (picture.clientHeight || 600));
    layers.forEach((group, index) => {
      group.setAttribute('class', `layer${ui.behind && current >= 0 && index !== current ? ' away' : !ui.behind && current >= 0 && index > current ? ' above' : ''}`);
    });
    for (const [piece, path] of paths) path.setAttribute('class', `part ${ticks.marks[piece] || 'bare'}`);
    for (const seam of all('#tape path')) {
      const layer = layerAt.get(seam.dataset.layer);
      const step = stepOf.get(seam);
      const taped = step.kind === 'join' ? words(seam.dataset.of).every((piece) => rank(piece) >= RANK.taped) : isDone(step);
      seam.style.display = taped && (current < 0 || (ui.behind ? layer === current : layer <= current)) ? '' : 'none';
    }
    const tape = Math.min(9 * pixel, TAPE_MOST);
    at('tape').setAttribute('stroke-width', tape);
    at('tape').setAttribute('stroke-dasharray', `${tape * 1.3} ${tape * 0.7}`);
    for (const part of ['layers', 'tape', 'held', 'dots']) at(part).setAttribute('transform', ui.behind ? `translate(${WIDE} 0) scale(-1 1)` : '');
    drawHeld(now, pixel);
    drawDots(now, pixel);
  }

  function drawHeld(now, pixel) {
    const held = at('held');
    held.replaceChildren();
    const inHand = ui.piece || (now.kind === 'cut' ? now.piece : null);
    for (const piece of new Set([...now.pieces, ...(inHand ? [inHand] : [])])) {
      const box = paths.get(piece).getBBox();
      held.append(drawn('path', { class: piece === inHand ? 'in-hand' : 'of-step', d: paths.get(piece).getAttribute('d') }));
      if (piece === inHand && Math.max(box.width, box.height) < 30 * pixel)
        held.append(drawn('circle', { class: 'ring', cx: box.x + box.width / 2, cy: box.y + box.height / 2, r: 26 * pixel }));
    }
    const many = now.pieces.length > 40;
    for (const piece of many ? (inHand ? [inHand] : []) : now.pieces) {
      const place = placeIn(piece);
      held.append(name(piece, place.x, place.y, (piece === inHand ? 19 : 14) * pixel, ui.behind));
    }
  }

  function drawDots(now, pixel) {
    for (const dot of all('#dots > g')) {
      dot.replaceChildren();
      if (now.kind !== 'step' || !now.step.checks.length) continue;
      const { x, y } = { x: Number(dot.dataset.x), y: Number(dot.dataset.y) };
      dot.append(drawn('circle', { class: 'dot', cx: x, cy: y, r: 6 * pixel }));
      const inX = x < WIDE / 2 ? 16 : -16;
      dot.append(name(dot.dataset.dot, x + inX * pixel, y + (y < TALL / 2 ? 14 : -14) * pixel, 15 * pixel, ui.behind));
    }
  }

  /** The layer alone, mirrored: how its pieces lie face down. */
  function fromBehind(now) {
    const group = layers[layerAt.get(layerOf(now.pieces[0]))];
    const near = boxOf(now.pieces);
    const air = Math.max(near.width, near.height) * (now.pieces.length > 1 ? 0.08 : 0.5);
    const box = { x: near.x - air, y: near.y - air, width: near.width + 2 * air, height: near.height + 2 * air };
    const pixel = Math.max(box.width / 380, box.height / 240);
    const small = drawn('svg', { viewBox: `${WIDE - box.x - box.width} ${box.y} ${box.width} ${box.height}`, role: 'img', 'aria-label': `Layer ${group.dataset.layer} seen from behind` });
    const copy = drawn('g', { transform: `translate(${WIDE} 0) scale(-1 1)` });
    copy.style.setProperty('--part', group.dataset.colour);
    for (const path of all('path', group)) copy.append(drawn('path', { class: `part ${ticks.marks[path.dataset.piece] || 'bare'}`, d: path.getAttribute('d') }));
    for (const piece of now.pieces) {
      copy.append(drawn('path', { class: piece === ui.piece ? 'in-hand' : 'of-step', d: paths.get(piece).getAttribute('d') }));
      if (now.pieces.length > 20 && piece !== ui.piece) continue;
      copy.append(name(piece, placeIn(piece).x, placeIn(piece).y, 13 * pixel, true));
    }
    small.append(copy);
    return make('figure', {}, small, make('figcaption', {}, `Layer ${group.dataset.layer} seen from behind: how its pieces lie face down.`));
  }

  // ---- all of it ----

  function draw() {
    const focus = document.activeElement && document.activeElement.id;
    const now = answer();
    at('progress').textContent = progress();
    at('says').textContent = says(now);
    at('more').replaceChildren(...more(now));
    at('keeps').hidden = keeps;
    at('hand').value = ui.piece || '';
    at('no-piece').hidden = true;
    at('behind').setAttribute('aria-pressed', String(ui.behind));
    at('behind').textContent = ui.behind ? 'Look from the front' : 'Look from behind';
    at('closer').setAttribute('aria-pressed', String(ui.closer));
    at('closer').textContent = ui.closer ? 'See it whole' : 'Look closer';
    drawLists();
    drawPicture(now);
    if (focus && document.activeElement.id !== focus) (at(focus) || at('says')).focus({ preventScroll: true });
  }

  function show(what) {
    ui.piece = what.piece || null;
    ui.step = what.step || null;
    draw();
  }

  function bring() {
    at('says').scrollIntoView({ block: 'nearest' });
    at('says').focus({ preventScroll: true });
  }

  /** A change after which something else is next. */
  function goOn(how) {
    change(how);
    bring();
  }

  function hold(said) {
    const known = [...paths.keys()].find((piece) => piece.toUpperCase() === said);
    if (known) {
      show({ piece: known });
      bring();
      return;
    }
    at('no-piece').textContent = `There is no piece ${said}. A piece has the letter of its layer and a number, such as ${[...paths.keys()].pop()}.`;
    at('no-piece').hidden = false;
  }

  function prepareLists() {
    for (const step of steps) {
      step.box = make('input', { type: 'checkbox' });
      step.box.addEventListener('change', () => change(() => setStep(step, step.box.checked)));
      const list = step.item.querySelector('.lines');
      if (list) list.replaceChildren(...step.lines.map((line, i) => tickLine(step, i, line, `line-${step.id}.${i}`)));
      const label = make('label', { className: 'tick' }, step.box, make('span', {}, 'Done'));
      const press = () => {
        show({ step });
        bring();
      };
      step.item.append(make('div', { className: 'row' }, label, button(`show-${step.id}`, 'Show it', press, { 'aria-label': `Show it: ${step.title}` })));
      step.box.setAttribute('aria-label', `Done: ${step.title}`);
    }
    for (const sheet of sheets) {
      sheet.box = make('input', { type: 'checkbox', 'aria-label': `All of sheet ${sheet.id} is cut` });
      sheet.box.addEventListener('change', () => change(() => setSheet(sheet, sheet.box.checked)));
      sheet.item.append(make('label', { className: 'tick' }, sheet.box, make('span', {}, 'All of it is cut')));
    }
    for (const group of layers) {
      const heading = document.querySelector(`.of-layer[data-layer="${group.dataset.layer}"] h3`).textContent;
      const list = make('p', { className: 'pieces' }, `${heading}: `);
      for (const path of all('path', group)) {
        const { piece } = path.dataset;
        const one = button(`piece-${piece}`, piece, () => {
          show({ piece });
          bring();
        });
        one.dataset.of = piece;
        list.append(one, ' ');
        path.append(drawn('title', {}));
        path.lastChild.textContent = piece;
      }
      at('names').append(list);
      group.style.setProperty('--part', group.dataset.colour);
    }
  }

  function listen() {
    at('ask').addEventListener('submit', (event) => {
      event.preventDefault();
      const said = at('hand').value.trim().toUpperCase();
      if (said) hold(said);
      else show({});
    });
    at('what-next').addEventListener('click', () => show({}));
    at('behind').addEventListener('click', () => {
      ui.behind = !ui.behind;
      draw();
    });
    at('closer').addEventListener('click', () => {
      ui.closer = !ui.closer;
      draw();
    });
    picture.addEventListener('click', (event) => {
      const { piece } = (event.target.dataset && event.target) ? event.target.dataset : {};
      if (piece) show({ piece });
    });
    at('copy').addEventListener('click', copyTicks);
    at('take').addEventListener('click', takeTicks);
    window.addEventListener('storage', (event) => {
      if (event.key !== STORE) return;
      load();
      draw();
    });
    window.addEventListener('resize', draw);
  }

  async function copyTicks() {
    at('ticks').value = write();
    at('ticks').select();
    try {
      await navigator.clipboard.writeText(at('ticks').value);
      at('taken').textContent = 'Copied.';
    } catch {
      at('taken').textContent = 'The text is chosen: copy it with the browser.';
    }
  }

  function takeTicks() {
    const was = write();
    const found = read(at('ticks').value);
    if (found) before.push(was);
    save();
    draw();
    at('ticks').value = write();
    at('taken').textContent = !found
      ? 'This text has no ticks: its first line should begin with “papermason ticks of”.'
      : `Taken.${found.other ? ' They are of another kit, or of this one before a change.' : ''}${found.strange ? ` ${found.strange} ${found.strange === 1 ? 'name is' : 'names are'} not known here and left out.` : ''}`;
  }

  load();
  prepareLists();
  listen();
  for (const part of ['live', 'looks', 'along']) at(part).hidden = false;
  at('all-steps').open = false;
  draw();
})();
