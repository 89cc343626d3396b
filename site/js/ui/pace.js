// Keeps a moving picture fluent on machines without a graphics card: frames
// that come too slowly are painted with fewer pixels until the motion ends.

const SLOW_MS = 45;
const PAUSE_MS = 500;
const FRAMES = 2;
const SMALLEST = 0.45;

/** The pace of one canvas; share() is the part of its full side in use. */
export function createPace(now = () => performance.now()) {
  let share = 1;
  let last = 0;
  let slow = 0;
  return {
    share: () => share,

    /** Counts a frame of a motion; several slow ones in a row cost pixels. */
    frame() {
      const time = now();
      const gap = time - last;
      last = time;
      slow = gap > SLOW_MS && gap < PAUSE_MS ? slow + 1 : 0;
      if (slow < FRAMES) return;
      slow = 0;
      share = Math.max(SMALLEST, share * 0.58);
    },

    /** The motion has ended: full pixels again. */
    settle() {
      share = 1;
      slow = 0;
    },
  };
}
