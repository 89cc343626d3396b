// What the page keeps on the machine: the job being worked on, named presets
// and a few habits. Never a file. Everything read back is checked, because
// other pages may write under the same keys.

const PREFIX = 'sheenlay.1.';
const LARGEST = 1_000_000;

/** A shelf over a Storage-like object; null when there is none. */
export function openShelf(storage) {
  return {
    /** Reads a key that `isRight` accepts, else `otherwise`. */
    read(key, isRight, otherwise) {
      try {
        const text = storage?.getItem(PREFIX + key);
        if (!text || text.length > LARGEST) return otherwise;
        const value = JSON.parse(text);
        return isRight(value) ? value : otherwise;
      } catch {
        return otherwise;
      }
    },

    /** Writes a key; false when it could not be kept. */
    write(key, value) {
      try {
        if (!storage) return false;
        storage.setItem(PREFIX + key, JSON.stringify(value));
        return true;
      } catch {
        return false;
      }
    },
  };
}

/** Reports whether stored data can be a job. */
export function isJob(value) {
  return isRecord(value) && value.sheenlay === 1;
}

/** Reports whether stored data is a list of named machine records. */
export function isPresetList(value) {
  return Array.isArray(value) && value.length <= 200 && value.every((one) => isRecord(one) && typeof one.name === 'string' && isRecord(one.machine));
}

/** Reports whether stored data is the set of habits. */
export function isHabits(value) {
  return isRecord(value);
}

function isRecord(value) {
  return value !== null && typeof value === 'object' && !Array.isArray(value);
}
