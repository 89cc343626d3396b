// Owns the state and wires engine, views and doors to one another. The only
// module that knows them all.

import { createKeeper } from './keeper.js';
import { createPictures } from './pictures.js';
import { choiceOf, createPieces } from './pieces.js';
import { createRunner } from './run.js';
import { asFinding } from './state/finding.js';
import { openShelf } from './state/shelf.js';
import { initial, jobOf, NOTHING } from './state/state.js';
import { createStore } from './state/store.js';
import { createBench } from './ui/bench.js';
import { breath, painted } from './ui/breath.js';
import { openDoors } from './ui/intake.js';
import { keyAction } from './ui/keys.js';
import { createLamp } from './ui/lamp.js';
import { createLooks } from './ui/looks.js';
import { createMilestones } from './ui/milestones.js';
import { createSentence } from './ui/sentence.js';
import { createSpeaker, createToast } from './ui/status.js';
import { createTools } from './ui/tools.js';
import { createVerdict, spoken } from './ui/verdict.js';
import { createWorkBar } from './ui/work-bar.js';

/**
 * Brings the page to life over an engine: first what is seen, each part of it
 * in a task of its own, so that a slow machine answers between them; then the
 * engine, whose start would take the processor away from the first paint.
 */
export async function startPage(engine, document) {
  await painted(document);
  const find = (id) => document.getElementById(id);
  const shelf = openShelf(storageOf(document.defaultView));
  const store = createStore(initial(shelf.read('habits', (value) => value !== null && typeof value === 'object', {})));
  const act = store.act;
  const speak = createSpeaker(find('status'));
  const pieces = createPieces(engine, store);
  const pictures = createPictures(engine, trouble);
  const keeper = createKeeper(shelf, store);
  let coarse = false;
  let following = null; // key of the piece whose file is followed again
  let turn = 0; // counts what the runner begins and ends

  const runner = createRunner((options) => engine.lay(jobOf(store.get()), options), (news) => {
    if (news.begun) {
      turn += 1;
      act('run', { run: { phase: 'laying', share: 0, stage: '' } });
    } else if (news.progress) {
      act('run', { run: news.progress });
      speak(`${news.progress.stage} ${Math.round(news.progress.share * 100)} %`);
    } else if (news.report) finished(news);
    else if (news.failed) failed(news.failed);
  });

  const wiring = {
    engine, store, pieces, pictures, shelf, document, speak,
    undo: () => stepTo('undo'),
    redo: () => stepTo('redo'),
    pick: () => doors.pick(),
    save,
    openCard,
    closeCard: () => openCard(null),
    openField: (path) => openCard(cardOf(path), path),
    goTo: (at) => bench.goTo(at),
    changing: (on) => runner.setDragging(on),
    openFile,
    openSample,
    dismiss: () => act('problem', { problem: null }),
    toast: (toast) => act('toast', { toast }),
    trouble,
    run: () => runner.now(),
    painted: () => bench.painted(),
    canvas: () => bench.canvas(),
    anchor: (section) => sentence.anchor(section),
    benchElement: find('bench'),
    coverBench: (span) => bench.setCovered(span),
    toPixels: (at) => bench.toPixels(at),
    scrubbed: (answer, upTo) => looks.scrubbed(answer, upTo),
    picked: (at, x, y) => later('pickPlace', wiring, at, x, y),
    dialZone: (zone) => later('dialZone', wiring, zone),
    picture: () => later('savePicture', wiring),
    film: () => later('saveFilm', wiring),
    sheet: (format, paper) => later('saveSheet', wiring, format, paper),
    copy: (text, said) => later('copyText', wiring, text, said),
    pickArt: (kind, accept) => doors.pick(accept),
    trialKey: () => later('saveKey', wiring),
    usePatch: () => later('usePatch', wiring),
    help: () => later('showHelp', wiring),
    keys: () => later('showKeys', wiring),
    nextFile: () => later('nextFile', wiring),
    openJob: () => doors.pick('.json,application/json'),
    saveJob: () => later('saveJob', wiring),
    copyLink: () => later('copyLink', wiring),
    pasteLink: () => later('pasteLink', wiring),
    keepCopy: () => later('keepCopy', wiring),
    reset: () => {
      act('job', { job: {}, label: 'start afresh' });
      act('toast', { toast: { text: 'All settings stand at their defaults.', undo: true } });
    },
  };
  engine.onSilence = fellSilent;
  const lamp = createLamp(store);
  Object.assign(wiring, { canTilt: lamp.canTilt, tilt: lamp.tilt, play: lamp.play });

  await breath();
  const bench = createBench(find('bench'), store, wiring);
  await breath();
  const sentence = createSentence(find('sentence'), store, openCard);
  const looks = createLooks(find('looks'), store, wiring);
  await breath();
  const verdict = createVerdict(find('verdict'), store, wiring);
  await breath();
  const tools = createTools(find('tools'), store, wiring);
  const bar = createWorkBar(find('bench'), cancel);
  const toast = createToast(find('toast'), store, wiring.undo);
  const doors = openDoors(document, {
    file: openFile,
    text: (kind, text) => (kind === 'link' ? later('openLink', wiring, text) : openFile(new File([text], kind === 'drawing' ? 'pasted.svg' : kind === 'job' ? 'pasted.json' : 'pasted.gcode'))),
    say: (sentenceOfRefusal) => refuse(sentenceOfRefusal),
  });
  const milestones = createMilestones(document.documentElement);
  const views = [bench, sentence, looks, verdict, tools, bar, toast, lamp, keeper, milestones];
  store.on((state, before) => {
    for (const view of views) view.update(state, before);
    followChanges(state, before);
  });

  function followChanges(state, before) {
    if (state.card !== before.card) later('showCard', wiring, state.card);
    if (jobOf(state) !== jobOf(before) && state.piece && state.run.phase !== 'starting' && state.work.present.pieceKey === state.piece.key) jobChanged(state, before);
    if (['report', 'survey', 'givenUp'].some((key) => state[key] !== before[key])) later('drawFolds', wiring, verdict.folds);
    if (state.report && state.report !== before.report && !coarse) speak(`${spoken(state).lead} ${spoken(state).rest}`);
  }

  async function jobChanged(state, before) {
    if (JSON.stringify(choiceOf(jobOf(state))) !== JSON.stringify(choiceOf(jobOf(before)))) await catchUp();
    else if (!needsChoice(state)) runner.changed();
  }

  /** Makes the engine hold the piece of the present step, then lays. */
  async function catchUp() {
    try {
      if (await pieces.follow()) act('run', { run: { phase: 'idle', share: 0, stage: '' } });
    } catch (error) {
      failed(error);
      return;
    }
    if (store.get().piece && !needsChoice(store.get())) runner.now();
  }

  function openCard(section, field = null) {
    const same = store.get().card === section && !field;
    act('card', { card: same ? null : section });
    if (field) later('focusField', wiring, field);
  }

  async function finished({ report, coarse: isCoarse }) {
    coarse = isCoarse;
    turn += 1;
    const mine = turn;
    act('report', { report, coarse: isCoarse });
    if (report.whole?.again) followAgain(store.get().piece.key);
    await bench.renew(isCoarse);
    if (turn !== mine || store.get().run.phase === 'opening') return; // something else has begun meanwhile
    if (!isCoarse) act('run', { run: { phase: 'idle', share: 1, stage: '' } });
    else act('run', { run: { phase: 'laying', stage: 'A first glimpse', share: 0 } });
  }

  function failed(error) {
    act('givenUp');
    act('run', { run: { phase: 'idle', share: 0, stage: '' } });
    if (!store.get().piece) find('bench-wait').textContent = 'No face yet.';
    if (error?.name !== 'AbortError') trouble(error);
  }

  function trouble(error) {
    const problem = asFinding(error);
    act('problem', { problem });
    speak(`${problem.text} ${problem.remedy ?? ''}`);
  }

  /** The engine gives no sign of life, or does again. */
  function fellSilent(isSilent) {
    if (isSilent) trouble({ ...SILENCE, action: startAnew, actionWords: 'Start the engine anew' });
    else if (store.get().problem?.code === SILENCE.code) act('problem', { problem: null });
  }

  /** Ends the engine and begins again with the same file and the same job. */
  function startAnew() {
    if (!store.get().schema) {
      document.defaultView.location.reload(); // nothing was begun that could be lost
      return;
    }
    cancel();
    if (store.get().piece && !needsChoice(store.get())) runner.now();
  }

  function refuse(text) {
    act('problem', { problem: null });
    act('toast', { toast: { text } });
    speak(text);
  }

  function cancel() {
    const { phase } = store.get().run;
    runner.cancel();
    pieces.cancel();
    engine.cancel();
    act('givenUp');
    if (phase !== 'starting') act('run', { run: { phase: 'idle', share: 0, stage: '' } });
    speak('Cancelled.');
  }

  async function openFile(file, options = {}) {
    act('toast', { toast: null });
    act('problem', { problem: null });
    const kind = await pieces.kind(file).catch((error) => ({ sentence: `“${file.name}” could not be read: ${error.message}` }));
    if (kind.sentence) {
      refuse(kind.sentence);
      return;
    }
    if (kind !== 'piece') {
      await later('openArt', wiring, kind, file);
      return;
    }
    await openPiece(file, options);
  }

  async function openPiece(file, options) {
    runner.cancel();
    const before = store.get().piece;
    try {
      await pieces.open(file, options);
    } catch (error) {
      failed(error);
      if (before) await catchUp();
      return;
    }
    act('run', { run: { phase: 'idle', share: 0, stage: '' } });
    find('bench-wait')?.remove();
    if (before && !options.silent) act('toast', { toast: { text: `Opened ${file.name}.`, undo: true } });
    if (needsChoice(store.get())) openCard('piece');
    else runner.now();
    surveyPiece(store.get().piece.key);
  }

  /** Reads the file on to its end in the background; a fault there is said. */
  async function surveyPiece(key) {
    const isOpen = () => store.get().piece?.key === key;
    const told = (survey) => {
      if (!isOpen()) return;
      act('survey', { survey });
      if (survey.laid?.whole.again) followAgain(key);
    };
    try {
      told(await engine.surveyPiece({ onWhole: told }));
    } catch (error) {
      if (isOpen() && error?.name !== 'AbortError') trouble(error);
    }
  }

  /** Works out the time of the whole file for the machine as it is now, until it is the one laid for. */
  async function followAgain(key) {
    if (following === key) return;
    following = key;
    const isWanted = () => store.get().piece?.key === key && store.get().survey;
    try {
      for (let again = true; again && isWanted();) {
        const survey = await engine.followPiece();
        again = survey.laid?.whole.again;
        if (isWanted()) act('survey', { survey: Object.assign(store.get().survey, survey) });
      }
    } catch (error) {
      if (isWanted() && error?.name !== 'AbortError') trouble(error);
    } finally {
      if (following === key) following = null;
    }
  }

  async function openSample(id, options = {}) {
    try {
      const { name, buffers } = await engine.sample(id);
      await openPiece(new File(buffers, name), options);
    } catch (error) {
      failed(error);
    }
  }

  async function stepTo(type) {
    runner.cancel();
    act(type);
    await catchUp();
  }

  async function save() {
    const state = store.get();
    if (!state.report?.ok || state.stale || state.run.phase !== 'idle') return;
    await later('saveFinished', wiring);
  }

  document.addEventListener('keydown', (event) => {
    const name = keyAction(event, store.get().habits.singleKeys !== false);
    if (!name || document.querySelector('dialog[open]')) return;
    const { look, card, run } = store.get();
    const acts = {
      escape: () => (card ? closeCardTo(card) : run.phase === 'laying' ? cancel() : null),
      light: () => act('look', { look: { kind: 'light' } }),
      lines: () => act('look', { look: { kind: 'lines' } }),
      both: () => act('look', { look: { kind: 'both' } }),
      below: () => act('look', { look: { below: !look.below } }),
      turn: () => act('look', { look: { turning: !look.turning } }),
      fit: () => bench.showAll(),
    };
    if (name !== 'escape') event.preventDefault();
    (acts[name] ?? wiring[name])?.();
  });

  function closeCardTo(section) {
    openCard(null);
    sentence.anchor(section).focus();
  }

  for (const view of views) {
    view.update(store.get(), NOTHING);
    await breath();
  }
  try {
    act('schema', { schema: await engine.hello() });
  } catch (error) {
    failed(error);
    return;
  }
  const kept = keeper.restore();
  await openSample(store.get().schema.samples[0].id, { silent: true });
  if (kept) act('restored', { job: kept.job });
  if (kept && !needsChoice(store.get())) {
    runner.now();
    if (kept.pieceName) act('toast', { toast: { text: `Your settings are back. Drop ${kept.pieceName} again to go on with it.` } });
  }
  later('workOffline', document, wiring.toast, shelf);
  const { hash } = document.defaultView.location;
  if (hash.length > 1) later('openLink', wiring, hash);
}

const SILENCE = {
  code: 'engine-silent',
  level: 'stop',
  text: 'The engine has given no sign of life for some time: it may have ended.',
  remedy: 'Start it anew, or wait a little if this machine is slow. Your file and your settings are kept.',
};

/** Reports whether the piece waits for its first layer to be chosen. */
function needsChoice(state) {
  return state.piece?.report.boundaries?.needsChoice === true && !choiceOf(jobOf(state))?.firstLine;
}

/** The card that holds a field. */
function cardOf(path) {
  const section = String(path).split('.')[0];
  return { layers: 'keep', join: 'prime' }[section] ?? section;
}

/** Calls what is not needed for the first view; its module is fetched when first used. */
async function later(name, ...given) {
  const module = await import('./later.js');
  return module[name](...given);
}

function storageOf(window) {
  try {
    return window.localStorage;
  } catch {
    return null;
  }
}
