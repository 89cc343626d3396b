// Things that move by themselves when asked: the lamp's slow turn, the lamp
// under the device's tilt, and the play along the line.

import { LARGEST_TILT } from '../state/light.js';

const TURN_DEGREES_PER_S = 24;
const PLAY_S = 24;

/** The movers of a store's look. */
export function createLamp(store) {
  let frame = 0;
  let last = 0;
  let tilting = false;

  function tick(now) {
    const { look } = store.get();
    const seconds = last ? Math.min(0.1, (now - last) / 1000) : 0;
    last = now;
    if (look.turning) store.act('look', { look: { azimuth: (look.azimuth + TURN_DEGREES_PER_S * seconds) % 360 } });
    if (look.playing) {
      const upTo = Math.min(1, look.upTo + seconds / PLAY_S);
      store.act('look', { look: { upTo, playing: upTo < 1 } });
    }
    const { turning, playing } = store.get().look;
    frame = turning || playing ? requestAnimationFrame(tick) : 0;
    if (!frame) last = 0;
  }

  function tilted({ beta, gamma }) {
    if (beta === null || gamma === null) return;
    const x = Math.max(-1, Math.min(1, gamma / 40));
    const y = Math.max(-1, Math.min(1, (beta - 35) / 40));
    const reach = Math.min(1, Math.hypot(x, y));
    const azimuth = ((Math.atan2(y, x) * 180) / Math.PI + 360) % 360;
    store.act('look', { look: { azimuth, tilt: reach * LARGEST_TILT, turning: false } });
  }

  return {
    canTilt: typeof DeviceOrientationEvent === 'function' && navigator.maxTouchPoints > 0,

    /** Switches the device's tilt on or off; some systems ask first. */
    async tilt() {
      if (tilting) {
        removeEventListener('deviceorientation', tilted);
        tilting = false;
        store.act('look', { look: { tilting } });
        return;
      }
      const ask = DeviceOrientationEvent.requestPermission;
      if (ask && (await ask.call(DeviceOrientationEvent)) !== 'granted') return;
      addEventListener('deviceorientation', tilted);
      tilting = true;
      store.act('look', { look: { tilting } });
    },

    /** Plays along the line, from the start again when it is at its end. */
    play() {
      const { look } = store.get();
      store.act('look', { look: { kind: 'lines', playing: !look.playing, upTo: !look.playing && look.upTo >= 1 ? 0 : look.upTo } });
    },

    update(state) {
      if ((state.look.turning || state.look.playing) && !frame) frame = requestAnimationFrame(tick);
    },
  };
}
