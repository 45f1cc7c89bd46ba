// draw.js - says what a part of the page looks like, and changes the document only where it differs.
// A view is a plain tree made with h(); patch() makes the children of a host equal to it and keeps what is there already,
// so that the focus, a half-typed word and the place one has scrolled to outlive every answer of the engine.

const SVG = 'http://www.w3.org/2000/svg';
const AS_PROPERTY = new Set(['value', 'checked', 'disabled', 'hidden', 'selected']);

/**
 * One element of a view.
 * @param {string} tag
 * @param {Object|null} props attributes; functions named on... listen; `style` is an object; `key` tells twins apart
 * @param {...*} kids views, texts, lists of them; null and false are left out
 */
export function h(tag, props, ...kids) {
  return { tag, props: props || {}, key: props && props.key, kids: clean(kids) };
}

/**
 * An element whose children are made anew only when one of `known` is another thing than last time: for what is large
 * and seldom changes.
 */
export function kept(tag, props, known, build) {
  return { tag, props: props || {}, key: props && props.key, known, build };
}

function clean(kids) {
  return kids.flat(Infinity).filter((kid) => kid !== null && kid !== undefined && kid !== false && kid !== true && kid !== '');
}

/** Makes the children of `host` equal to `views`. */
export function patch(host, views) {
  const wanted = clean([views]);
  const keys = new Set(wanted.map((view) => view.key).filter((key) => key !== undefined && key !== null));
  const byKey = new Map();
  for (const node of [...host.childNodes]) {
    if (node.pmKey === undefined) continue;
    if (keys.has(node.pmKey)) byKey.set(node.pmKey, node);
    else node.remove();
  }
  let at = host.firstChild;
  for (const view of wanted) {
    const node = find(at, byKey, view) || make(host, view);
    if (node === at) at = at.nextSibling;
    else host.insertBefore(node, at);
    dress(node, view);
  }
  while (at) {
    const next = at.nextSibling;
    at.remove();
    at = next;
  }
}

function find(at, byKey, view) {
  if (typeof view !== 'object') return at && at.nodeType === Node.TEXT_NODE ? at : null;
  const node = view.key !== undefined && view.key !== null ? byKey.get(view.key) : at;
  const fits = node && node.nodeType === Node.ELEMENT_NODE && node.localName === view.tag;
  return fits && (node === at || view.key !== undefined) && (node.pmKey === undefined) === (view.key === undefined) ? node : null;
}

function make(host, view) {
  if (typeof view !== 'object') return document.createTextNode(String(view));
  const space = view.tag === 'svg' || (host.namespaceURI === SVG && host.localName !== 'foreignObject') ? SVG : null;
  const node = space ? document.createElementNS(space, view.tag) : document.createElement(view.tag);
  if (view.key !== undefined && view.key !== null) node.pmKey = view.key;
  return node;
}

function dress(node, view) {
  if (typeof view !== 'object') {
    if (node.data !== String(view)) node.data = String(view);
    return undefined;
  }
  const before = node.pmProps || {};
  for (const name of Object.keys(before)) if (!(name in view.props)) set(node, name, null, before[name]);
  for (const [name, value] of Object.entries(view.props)) if (name !== 'key') set(node, name, value, before[name]);
  node.pmProps = view.props;
  if (!view.build) return patch(node, view.kids);
  if (node.pmKnown && node.pmKnown.length === view.known.length && view.known.every((one, i) => one === node.pmKnown[i])) return undefined;
  node.pmKnown = view.known;
  return patch(node, [view.build()]);
}

function set(node, name, value, before) {
  if (name.startsWith('on'))
    node[name.toLowerCase()] =
      value &&
      ((event) => {
        value(event);
      }); // what it returns is no answer to the browser
  else if (name === 'style') dressStyle(node, value || {}, before || {});
  else if (value === before)
    return; // a field that somebody has filled in meanwhile stays as it is
  else if (AS_PROPERTY.has(name)) setProperty(node, name, value);
  else if (value === null || value === undefined || value === false) node.removeAttribute(name);
  else node.setAttribute(name, value === true ? '' : String(value));
}

// What somebody is typing just now is not taken away by an answer that comes meanwhile.
function setProperty(node, name, value) {
  if (name === 'value' && node === document.activeElement) return;
  if (node[name] !== value) node[name] = value === null ? '' : value;
}

function dressStyle(node, style, before) {
  for (const name of Object.keys(before)) if (!(name in style)) node.style.removeProperty(name);
  for (const [name, value] of Object.entries(style)) if (before[name] !== value) node.style.setProperty(name, value);
}

/** Patches several hosts at once; the element that had the focus keeps it, or the one that has its id now. */
export function patchAll(pairs) {
  const held = document.activeElement && document.activeElement.id;
  for (const [host, views] of pairs) patch(host, views);
  if (!held || (document.activeElement && document.activeElement.id === held)) return;
  const again = document.getElementById(held);
  if (again && (!document.activeElement || document.activeElement === document.body)) again.focus({ preventScroll: true });
}
