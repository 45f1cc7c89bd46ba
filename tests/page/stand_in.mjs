// stand_in.mjs - answers the page's messages from a kit that was built before, without an engine: for what a real one
// seldom does (fall silent, refuse, be slow) and for work on the page alone.
//   node stand_in.mjs KIT [PAGE-FOLDER [PORT]]

import { createServer } from 'node:http';
import { readFileSync, existsSync } from 'node:fs';
import { join, extname } from 'node:path';
import { fileURLToPath } from 'node:url';

const TYPES = { '.html': 'text/html; charset=utf-8', '.js': 'text/javascript; charset=utf-8', '.css': 'text/css; charset=utf-8' };
const POLICY = "default-src 'self'; img-src 'self' data: blob:; frame-ancestors 'none'";

/** Serves the page with a desk made of the kit; {address, desk, close()}. */
export function standIn(kitFolder, pageFolder, port = 0) {
  const desk = makeDesk(kitFolder);
  const listeners = new Set();
  desk.tell = (event, keys = {}) => {
    for (const out of listeners) out.write(`event: ${event}\ndata: ${JSON.stringify({ event, version: desk.state.version, ...keys })}\n\n`);
  };
  const server = createServer((request, answer) => {
    const { pathname, searchParams } = new URL(request.url, 'http://127.0.0.1');
    answer.setHeader('Content-Security-Policy', POLICY);
    if (request.method === 'POST')
      return take(request, (body) => {
        if (desk.refuse && desk.refuse.status && pathname === '/picture') return answer.writeHead(desk.refuse.status).end();
        const reply = pathname === '/picture' ? desk.picture(searchParams.get('name'), body) : desk.answer(JSON.parse(body.toString()));
        setTimeout(() => {
          answer.setHeader('Content-Type', 'application/json');
          answer.end(JSON.stringify(reply));
        }, desk.slow_ms);
      });
    if (pathname === '/events') {
      answer.writeHead(200, { 'Content-Type': 'text/event-stream' });
      answer.write(':\n\n');
      listeners.add(answer);
      return request.on('close', () => listeners.delete(answer));
    }
    const file = join(pageFolder, pathname === '/' ? 'index.html' : pathname.replace(/[^\w.-]/g, ''));
    const inKit = join(kitFolder, pathname.replace(/[^\w.-]/g, ''));
    if (pathname === '/favicon.ico') return answer.writeHead(204).end();
    for (const name of [file, inKit]) {
      if (!existsSync(name)) continue;
      answer.setHeader('Content-Type', TYPES[extname(name)] || 'application/octet-stream');
      return answer.end(readFileSync(name));
    }
    return answer.writeHead(404).end();
  });
  return new Promise((resolve) =>
    server.listen(port, '127.0.0.1', () =>
      resolve({
        address: `http://127.0.0.1:${server.address().port}/?token=none`,
        desk,
        close: () => {
          server.closeAllConnections();
          server.close();
        },
      }),
    ),
  );
}

function take(request, done) {
  const parts = [];
  request.on('data', (part) => parts.push(part));
  request.on('end', () => done(Buffer.concat(parts)));
}

function makeDesk(kitFolder) {
  const kit = JSON.parse(readFileSync(join(kitFolder, 'kit.json'), 'utf8'));
  const paperOf = new Map(kit.papers.map((paper) => [paper.id, paper]));
  const whole = {
    job: { name: kit.name, file: `${kit.name}.pmason`, saved: true, picture: { name: `${kit.name}.png`, width_px: 1536, height_px: 2048 } },
    missing: ['height', 'cutter', 'paper'],
    docket: [],
    settings: {
      height_mm: kit.finished_mm.height,
      height: '4ft',
      cutter: null,
      papers: [{ layer: '', words: 'letter' }],
      border_mm: kit.border_mm,
      underlap_mm: 6,
      stack: 'underlap',
      base: null,
      page: 'letter',
      for: 'sheet',
    },
    work: { busy: false },
    answer: 'whole',
    known: 'whole',
    stale: false,
    error: null,
    verdict: { kind: 'good', text: 'a good picture for this: flat colours, clean edges' },
    colours: kit.layers.map((layer) => ({
      colour: layer.colour,
      name: layer.name,
      share: layer.area_mm2 / kit.layers.reduce((sum, one) => sum + one.area_mm2, 0),
      regions: 3,
      fate: 'paper',
      same_as: null,
      layers: [layer.id],
    })),
    ground: { colour: null },
    finished_mm: kit.finished_mm,
    layers: kit.layers.map((layer) => ({
      id: layer.id,
      colour: layer.colour,
      name: layer.name,
      base: layer.base,
      order: layer.order,
      paper: 'letter',
      pieces: kit.pieces.filter((piece) => piece.layer === layer.id).length,
      sheets: kit.sheets.filter((sheet) => layer.papers.includes(sheet.paper)).length,
      over: [],
    })),
    bill: {
      sheets: kit.totals.sheets,
      papers: kit.papers.length,
      pieces: kit.totals.pieces,
      seam_mm: kit.totals.seam_mm,
      visible_seam_mm: kit.totals.visible_seam_mm,
      cutting_minutes: kit.totals.cutting_minutes,
      assembly_minutes: kit.totals.assembly_minutes,
      cost: null,
      says: `${kit.totals.sheets} sheets in ${kit.papers.length} colours, ${kit.totals.pieces} pieces, about 1.5 h cutting and 3 h putting together`,
      worry: kit.findings[1] ? { text: kit.findings[1].text, at_mm: kit.findings[1].at_mm, count: kit.findings.length } : null,
      buy: kit.papers.map((paper) => ({
        paper: 'letter',
        colour: paper.colour,
        sheets: paper.to_buy.sheets - paper.to_buy.spares,
        need: paper.to_buy.sheets,
        have: null,
      })),
      plain_grid: { pieces: kit.totals.pieces + 18, visible_seam_mm: kit.totals.visible_seam_mm * 2.2 },
      offers: [],
    },
    compare: null,
    findings: kit.findings,
    kit: { ready: false, busy: false, proof: null, error: null },
    ticks: {},
  };
  const views = {
    picture: {
      regions: kit.layers.map((layer) => ({ colour: layer.colour, path: layer.outline, at_mm: middle(layer.outline), ground: false })),
    },
    borders: { borders: [] },
    layers: { layers: kit.layers.map(({ id, colour, outline }) => ({ id, colour, outline })) },
    pieces: {
      pieces: kit.pieces.map((piece) => ({
        id: piece.id,
        layer: piece.layer,
        outline: piece.outline,
        at_mm: middle(piece.outline),
        sheet: piece.sheet,
      })),
    },
    seams: { seams: kit.seams.map((seam) => seamView(seam)) },
    sheets: {
      sheets: kit.sheets.map((sheet) => ({
        id: sheet.id,
        paper: sheet.paper,
        colour: paperOf.get(sheet.paper).colour,
        size_mm: paperOf.get(sheet.paper).size_mm,
        usable_mm: paperOf.get(sheet.paper).usable_mm,
        pieces: kit.pieces
          .filter((piece) => piece.sheet === sheet.id)
          .map((piece) => ({ id: piece.id, outline: moved(piece.outline, piece.to_sheet) })),
      })),
    },
    thin: { places: kit.findings.filter((finding) => finding.at_mm).map(({ text, at_mm, kind }) => ({ text, at_mm, kind })) },
    proof: { text: readFileSync(join(kitFolder, 'proof.txt'), 'utf8') },
  };
  const empty = {
    version: 1,
    job: null,
    missing: [],
    docket: [],
    settings: null,
    work: { busy: false },
    answer: 'none',
    known: 'none',
    stale: false,
    error: null,
  };
  let lines = 0;
  const desk = { state: { ...empty }, slow_ms: 0, refuse: null, asked: [], tell: () => {} };
  const lay = () => {
    desk.state = { ...structuredClone(whole), version: desk.state.version + 1 };
    setTimeout(() => desk.tell('answer', { answer: 'whole' }), 20);
  };
  desk.reset = () => Object.assign(desk, { state: { ...empty, version: desk.state.version + 1 }, refuse: null, slow_ms: 0, asked: [] });
  // The same pieces and seams several times over, to see how the page does with a large job.
  desk.times = (times) => {
    const again = (list) =>
      Array.from({ length: times }, (_, i) => list.map((one) => ({ ...one, id: i ? `${one.id}-${i}` : one.id }))).flat();
    views.pieces.pieces = again(views.pieces.pieces);
    views.seams.seams = again(views.seams.seams);
  };
  const answers = {
    state: () => ({ state: desk.state }),
    view: ({ what }) => ({ version: desk.state.version, ...views[what] }),
    demo: () => (lay(), { state: desk.state }),
    jobs: () => ({ jobs: [] }),
    shelf: () => ({ papers: [], cutters: [] }),
    change({ line, lines: several }) {
      const ids = [];
      for (const one of several || [line]) {
        ids.push(++lines);
        desk.state.docket.push({ id: lines, says: one.set ? `${one.set}: ${one.to}` : `${one.edit}`, struck: false, line: one });
        if (one.set) desk.state.missing = desk.state.missing.filter((what) => what !== one.set);
        if (one.set === 'height') desk.state.settings.height = one.to;
        if (one.set === 'cutter') desk.state.settings.cutter = one.to;
      }
      desk.state.version++;
      return { ids };
    },
    strike({ id, struck }) {
      desk.state.docket.find((line) => line.id === id).struck = struck;
      desk.state.version++;
      return {};
    },
    take() {
      desk.state.kit = { ready: true, busy: false, proof: views.proof.text, error: null };
      setTimeout(() => desk.tell('kit', { ready: true }), 50);
      return {};
    },
    tick({ piece, mark }) {
      desk.state.ticks[piece] = mark;
      return {};
    },
    next: ({ hand }) => ({
      says: hand ? `${hand} goes where it is marked` : 'cut A1 first',
      piece: hand || 'A1',
      caution: 'hot glue burns',
    }),
    'find-places': () => ({ places: [] }),
  };
  desk.answer = (message) => {
    desk.asked.push(message);
    if (desk.refuse && desk.refuse.ask === message.ask) return { n: message.n, ok: false, error: desk.refuse.error };
    const answer = answers[message.ask];
    if (!answer) return { n: message.n, ok: false, error: { kind: 'usage', text: `"${message.ask}" is not asked here` } };
    return { n: message.n, ok: true, ...answer(message) };
  };
  desk.picture = () =>
    desk.refuse && desk.refuse.ask === 'picture' ? { ok: false, error: desk.refuse.error } : (lay(), { ok: true, state: desk.state });
  return desk;
}

function numbers(path) {
  return [...path.matchAll(/(-?[\d.]+)[ ,](-?[\d.]+)/g)].map((pair) => [Number(pair[1]), Number(pair[2])]);
}

function middle(path) {
  const all = numbers(path);
  const [xs, ys] = [all.map((p) => p[0]), all.map((p) => p[1])];
  return [(Math.min(...xs) + Math.max(...xs)) / 2, (Math.min(...ys) + Math.max(...ys)) / 2];
}

function moved(path, [a, b, c, d, e, f]) {
  return path.replace(/(-?[\d.]+)[ ,](-?[\d.]+)/g, (_, x, y) => `${(a * x + c * y + e).toFixed(2)} ${(b * x + d * y + f).toFixed(2)}`);
}

function seamView(seam) {
  const points = numbers(seam.path);
  return {
    id: seam.id,
    layer: seam.layer,
    pieces: seam.pieces,
    ends: [points[0], points[points.length - 1]],
    points: [points[0], points[points.length - 1]],
    visible: seam.visible_mm > 0.5 ? seam.path : null,
    hidden: seam.visible_mm > 0.5 ? null : seam.path,
    visible_mm: seam.visible_mm,
    pinned: null,
  };
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const [kit, page, port] = process.argv.slice(2);
  const { address } = await standIn(kit, page || join(fileURLToPath(import.meta.url), '../../../page'), Number(port) || 0);
  console.log(address);
}
