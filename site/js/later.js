// What the page needs only after its first view, as one module: it is fetched
// when the first of it is used. One file, because each that is shared between
// several would be one more to load before the first view.

export { openArt } from './art-files.js';
export { copyLink, keepCopy, nextFile, openLink, pasteLink, saveJob } from './job-files.js';
export { workOffline } from './offline.js';
export { saveKey, usePatch } from './trial-plate.js';
export { focusField, showCard } from './ui/cards.js';
export { showHelp, showKeys } from './ui/dialogs.js';
export { drawFolds } from './ui/folds.js';
export { copyText, saveFilm, saveFinished, savePicture, saveSheet } from './ui/take-away.js';
export { dialZone, pickPlace } from './ui/zone-dial.js';
