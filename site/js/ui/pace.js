// Keeps a moving picture fluent on machines without a graphics card: frames
// that come too slowly are painted with fewer pixels until the motion ends.
// Where frames come easily they are painted finely even while things move.

const SLOW_MS = 45;
const PAUSE_MS = 500;
const FRAMES = 2;
const SMALLEST = 0.45;
/** Frames in a row that come easily before finer ones are tried. */
const EASY_FRAMES = 6;
const EASY_MS = 26;

/** The pace of one canvas; share() is the part of its full side in use. */
export function createPace(now = () => performance.now()) {
  let share = 1;
  let last = 0;
  let slow = 0;
  let easy = 0;
  let mayBeFine = true;

  return {
    share: () => share,

    /** Reports whether a frame may be painted finely while things move. */
    fine: () => mayBeFine && easy >= EASY_FRAMES,

    /** Counts a frame of a motion; several slow ones in a row cost pixels. */
    frame() {
      const time = now();
      const gap = time - last;
      last = time;
      const isSlow = gap > SLOW_MS && gap < PAUSE_MS;
      slow = isSlow ? slow + 1 : 0;
      if (slow >= FRAMES) {
        slow = 0;
        if (easy >= EASY_FRAMES) mayBeFine = false; // it was tried, and is too much here
        else share = Math.max(SMALLEST, share * 0.58);
        easy = 0;
      } else if (gap < EASY_MS && share === 1) easy += 1;
    },

    /** The motion has ended: full pixels again. */
    settle() {
      share = 1;
      slow = 0;
    },
  };
}
