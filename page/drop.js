// drop.js - a picture may fall anywhere on the page, or be pasted.

/** Listens on the whole page. */
export function openDrop(app) {
  let depth = 0;
  const carriesFile = (event) => [...(event.dataTransfer ? event.dataTransfer.types : [])].includes('Files');
  const mark = (on) => document.body.classList.toggle('carrying', on);
  addEventListener('dragenter', (event) => {
    if (!carriesFile(event)) return;
    depth++;
    mark(true);
  });
  addEventListener('dragleave', (event) => {
    if (!carriesFile(event)) return;
    depth = Math.max(0, depth - 1);
    if (!depth) mark(false);
  });
  addEventListener('dragover', (event) => carriesFile(event) && event.preventDefault());
  addEventListener('drop', (event) => {
    if (!carriesFile(event)) return;
    event.preventDefault();
    depth = 0;
    mark(false);
    if (event.dataTransfer.files.length) app.lay(event.dataTransfer.files[0]);
  });
  addEventListener('paste', (event) => {
    if (event.clipboardData && event.clipboardData.files.length) app.lay(event.clipboardData.files[0]);
  });
}
