// Dropping, pasting and picking: three doors to one handler.

import { chooseOne, kindOfText } from '../state/intake.js';
import { h, isTyping } from './dom.js';

/**
 * Opens the doors on the whole document. `use`: file(file), text(kind, text),
 * say(sentence). Answers {pick(accept)}.
 */
export function openDoors(document, use) {
  const sheet = h('div', { class: 'bench-drop', hidden: true }, h('p', { text: 'Let go to open it here' }));
  const picker = h('input', { type: 'file', hidden: true, tabIndex: -1, 'aria-hidden': 'true' });
  document.body.append(sheet, picker);
  let depth = 0;

  function hide() {
    depth = 0;
    sheet.hidden = true;
  }

  document.addEventListener('dragenter', (event) => {
    if (!event.dataTransfer?.types.includes('Files')) return;
    depth += 1;
    sheet.hidden = false;
  });
  document.addEventListener('dragleave', () => {
    depth = Math.max(0, depth - 1);
    if (depth === 0) hide();
  });
  document.addEventListener('dragover', (event) => event.preventDefault());
  document.addEventListener('drop', (event) => {
    event.preventDefault();
    hide();
    take(event.dataTransfer);
  });
  document.addEventListener('paste', (event) => {
    if (isTyping(event.target)) return;
    event.preventDefault();
    take(event.clipboardData);
  });
  picker.addEventListener('change', () => {
    if (picker.files.length > 0) choose([...picker.files].map((file) => ({ file, name: file.name, size: file.size, isFolder: false })));
    picker.value = '';
  });

  function take(transfer) {
    const items = [...(transfer?.items ?? [])].filter((item) => item.kind === 'file');
    const files = [...(transfer?.files ?? [])];
    if (files.length > 0 || items.length > 0) {
      choose(files.map((file, index) => ({ file, name: file.name, size: file.size, isFolder: items[index]?.webkitGetAsEntry?.()?.isDirectory === true })));
      return;
    }
    const text = transfer?.getData('text/plain') ?? '';
    const kind = kindOfText(text);
    if (kind.sentence) use.say(kind.sentence);
    else use.text(kind, text);
  }

  function choose(items) {
    const answer = chooseOne(items);
    if (answer.sentence) use.say(answer.sentence);
    else use.file(items[answer.take].file);
  }

  return {
    /** Shows the system's file picker. */
    pick(accept = '') {
      picker.accept = accept;
      picker.click();
    },
  };
}
