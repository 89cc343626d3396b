// The keyboard map. Single keys work only while nothing is being typed, and
// can be switched off.

import { isTyping } from './dom.js';

/** Every key with its words, as the list of keys shows them, and where it works. */
export const KEYS = [
  { keys: 'Ctrl Z', words: 'Undo', name: 'undo' },
  { keys: 'Ctrl Shift Z', words: 'Redo', name: 'redo' },
  { keys: 'Ctrl O', words: 'Open a file', name: 'pick' },
  { keys: 'Ctrl S', words: 'Save the finished file', name: 'save' },
  { keys: 'Escape', words: 'Close the card, or cancel the work', name: 'escape' },
  { keys: '1', words: 'Look: light', name: 'light', single: true },
  { keys: '2', words: 'Look: lines', name: 'lines', single: true },
  { keys: '3', words: 'Look: both layers', name: 'both', single: true },
  { keys: 'B', words: 'From below or from above', name: 'below', single: true },
  { keys: 'F', words: 'Show the whole face', name: 'fit', single: true },
  { keys: 'T', words: 'Turn the lamp slowly', name: 'turn', single: true },
  { keys: 'P', words: 'Play along the line', name: 'play', single: true },
  { keys: 'N', words: 'Next file, same job', name: 'nextFile', single: true },
  { keys: '?', words: 'This list', name: 'keys', single: true },
  { keys: 'Arrows', words: 'Move the lamp, go along the line, or move the pattern', within: 'On the face' },
  { keys: 'Ctrl Arrows', words: 'Pan', within: 'On the face' },
  { keys: '+ −', words: 'Zoom', within: 'On the face' },
  { keys: 'Enter', words: 'Lay of the zone in the middle', within: 'On the face' },
  { keys: 'Up Down', words: 'One step', within: 'In a number' },
  { keys: 'Shift Up', words: 'Ten steps', within: 'In a number' },
];

/** The name of what a key event asks for, or null. */
export function keyAction(event, singleKeys) {
  const control = event.ctrlKey || event.metaKey;
  const key = event.key.toLowerCase();
  if (key === 'escape') return 'escape';
  if (control && !event.altKey) {
    if (key === 'o') return 'pick';
    if (key === 's') return 'save';
    if (isTyping(event.target)) return null;
    if (key === 'z') return event.shiftKey ? 'redo' : 'undo';
    if (key === 'y') return 'redo';
    return null;
  }
  if (!singleKeys || event.altKey || control || isTyping(event.target)) return null;
  return KEYS.find((one) => one.single && one.keys.toLowerCase() === key)?.name ?? null;
}
