// The tools of the whole job, at the top of the screen.

import { fill, h } from './dom.js';
import { signButton } from './marks.js';

/** Draws the tools; `use` holds one function per entry of the menu. */
export function createTools(root, store, use) {
  const undo = signButton('undo', 'Undo', use.undo, { quiet: true, id: 'undo' });
  const redo = signButton('redo', 'Redo', use.redo, { quiet: true, id: 'redo' });
  const open = signButton('file', 'Open', use.pick, { class: 'bare', title: 'Open a sliced file, a drawing, a picture or a job' });
  const more = h('button', { type: 'button', class: 'bare', 'aria-haspopup': 'menu', 'aria-expanded': 'false', on: { click: toggle } }, 'Job');
  const help = signButton('help', 'Help', use.help, { quiet: true, id: 'help' });
  const menu = h('div', { class: 'menu', role: 'menu', 'aria-label': 'Job', hidden: true });
  fill(root, undo, redo, open, more, help);
  root.after(menu);

  const entries = [
    ['Next file, same job…', use.nextFile],
    null,
    ['Open a job file…', use.openJob],
    ['Save the job as a file', use.saveJob],
    ['Copy a link to these settings', use.copyLink],
    ['Paste a link…', use.pasteLink],
    null,
    ['Start afresh', use.reset],
    ['Keep a copy of this page', use.keepCopy],
    ['Keys…', use.keys],
  ];
  fill(menu, entries.map((entry) => (entry ? h('button', { type: 'button', role: 'menuitem', tabIndex: -1, on: { click: () => { close(); entry[1](); } } }, entry[0]) : h('hr', { role: 'separator' }))));

  const items = () => [...menu.querySelectorAll('[role="menuitem"]')];

  function toggle() {
    if (!menu.hidden) {
      close();
      return;
    }
    const box = more.getBoundingClientRect();
    menu.style.insetBlockStart = `${box.bottom + window.scrollY}px`;
    menu.hidden = false;
    more.setAttribute('aria-expanded', 'true');
    items()[0].focus();
  }

  function close(refocus = false) {
    menu.hidden = true;
    more.setAttribute('aria-expanded', 'false');
    if (refocus) more.focus();
  }

  menu.addEventListener('keydown', (event) => {
    const all = items();
    const at = all.indexOf(document.activeElement);
    const to = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: all.length - 1 }[event.key];
    if (to !== undefined) {
      event.preventDefault();
      all[(to + all.length) % all.length].focus();
    } else if (event.key === 'Escape') {
      event.stopPropagation();
      close(true);
    } else if (event.key === 'Tab') close();
  });
  document.addEventListener('pointerdown', (event) => {
    if (!menu.hidden && !menu.contains(event.target) && !more.contains(event.target)) close();
  });

  return {
    update({ work }) {
      undo.disabled = work.past.length === 0;
      redo.disabled = work.future.length === 0;
      undo.title = work.past.length ? `Undo: ${work.past.at(-1).label}` : 'Nothing to undo';
      redo.title = work.future.length ? `Redo: ${work.future[0].label}` : 'Nothing to redo';
    },
  };
}
