// talk.js - carries messages to the engine and its events back (docs/desk.md). It knows nothing of what they mean.

const EVENTS = ['work', 'answer', 'error', 'saved', 'kit', 'recut', 'rest'];
const PATIENCE_MS = 3000; // how long the program may be silent before the page says that it has ended

/** A reply that says no: the engine's own sentence, and its kind. */
export class Refusal extends Error {
  constructor(error) {
    super(error.text);
    this.kind = error.kind;
  }
}

/**
 * @param {(name: string, event: Object) => void} onEvent an event of the engine
 * @param {(there: boolean) => void} onPresence the program has ended, or is there again
 */
export function openTalk(onEvent, onPresence) {
  const token = new URLSearchParams(location.search).get('token') || '';
  let number = 0;
  let there = true;
  let silentSince = 0;

  function present(is) {
    if (is === there) return;
    there = is;
    onPresence(is);
  }

  async function carry(path, body) {
    let answer;
    try {
      answer = await fetch(path, { method: 'POST', headers: { 'X-Papermason-Token': token }, body });
    } catch {
      present(false);
      throw new Refusal({ kind: 'gone', text: '' });
    }
    present(true);
    let reply = null;
    try {
      reply = await answer.json();
    } catch {
      throw new Refusal({ kind: 'system', text: refusalOf(answer.status) });
    }
    if (!reply.ok) throw new Refusal(reply.error || { kind: 'system', text: refusalOf(answer.status) });
    return reply;
  }

  function listen() {
    const source = new EventSource(`events?token=${encodeURIComponent(token)}`);
    const take = (name) => (message) => {
      if (!message.data) return; // the connection's own trouble is called 'error' too, and carries nothing
      const event = JSON.parse(message.data);
      onEvent(event.event || name, event);
    };
    for (const name of EVENTS) source.addEventListener(name, take(name));
    source.addEventListener('message', take('message'));
    source.onopen = () => {
      silentSince = 0;
      present(true);
      onEvent('open', {});
    };
    source.onerror = (event) => {
      if (event.data) return;
      if (!silentSince) silentSince = Date.now();
      if (Date.now() - silentSince >= PATIENCE_MS) present(false);
      else setTimeout(() => silentSince && Date.now() - silentSince >= PATIENCE_MS && present(false), PATIENCE_MS + 100);
      if (source.readyState === EventSource.CLOSED) setTimeout(listen, PATIENCE_MS);
    };
  }

  listen();
  return {
    /** Asks one thing; the reply, or a Refusal is thrown. */
    ask: (what, keys = {}) => carry('message', JSON.stringify({ ...keys, ask: what, n: ++number })),
    /** Lays a picture on the table: its bytes, as they are. */
    picture: (file) => carry(`picture?name=${encodeURIComponent(file.name)}`, file),
    /** The address of a file of the kit. */
    address: (name) => `${name}?token=${encodeURIComponent(token)}`,
    /** The text of a file of the kit. */
    async text(name) {
      const answer = await fetch(name, { headers: { 'X-Papermason-Token': token } });
      if (!answer.ok) throw new Refusal({ kind: 'system', text: refusalOf(answer.status) });
      return answer.text();
    },
  };
}

// Only for replies that are none: the engine's own sentences come first.
function refusalOf(status) {
  if (status === 413) return 'That is larger than the program takes; a picture may have 200 MB.';
  if (status === 403) return 'This page does not belong to the running program any more: use the address that it printed last.';
  return `The program could not answer (${status}).`;
}
