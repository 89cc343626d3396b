// Working without a net: the service worker of the hosted page. It says once
// that the page is ready, and offers a newer version without forcing it.

import { scriptURL } from './trusted.js';

const TOLD = 'offline-told';

/** Registers the service worker where the page is hosted. */
export async function workOffline(document, toast, shelf) {
  const { navigator, location } = document.defaultView;
  if (!document.querySelector('meta[name="hosted"]') || !navigator.serviceWorker) return;
  let agreed = false;
  navigator.serviceWorker.addEventListener('controllerchange', () => {
    if (agreed) location.reload();
  });
  let registration;
  try {
    registration = await navigator.serviceWorker.register(scriptURL('/sw.js'));
  } catch {
    return;
  }

  function offer(worker) {
    toast({
      text: 'A newer version of this page is ready. Your job is kept.',
      actionWords: 'Use it',
      action() {
        agreed = true;
        worker.postMessage('use the new version');
      },
    });
  }

  if (registration.waiting && navigator.serviceWorker.controller) offer(registration.waiting);
  registration.addEventListener('updatefound', () => {
    const worker = registration.installing;
    worker?.addEventListener('statechange', () => {
      if (worker.state === 'installed' && navigator.serviceWorker.controller) offer(worker);
      if (worker.state === 'activated' && !agreed && !shelf.read(TOLD, (value) => value === true, false)) {
        shelf.write(TOLD, true);
        toast({ text: 'Ready to work offline.' });
      }
    });
  });
}

const ANSWER_MS = 5000;

/** The saved copy of this version as the service worker keeps it, or null. */
export function keptCopy({ navigator }) {
  const worker = navigator.serviceWorker?.controller;
  if (!worker) return Promise.resolve(null);
  return new Promise((done) => {
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => done(data instanceof Blob ? data : null);
    setTimeout(done, ANSWER_MS, null);
    worker.postMessage('the copy to keep', [port2]);
  });
}
